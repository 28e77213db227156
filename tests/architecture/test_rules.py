"""House rules with no exception list: the ladder's leaves, docstrings, settings, templates, words."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.architecture.source import ROOT, functions, production_files, shown, tree

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "manage.py", "registry", "sites", "templates", "tests"}
IN_WEB = [path for path in production_files() if {"web", "api"} & set(path.parts) and "commands" not in path.parts]
ENGINEERING = [path for path in production_files() if {"engineering", "drawings"} & set(path.parts)]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


def tracked_files() -> list[str]:
    found = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    return found.stdout.split("\n")[:-1]


def test_the_top_level_holds_what_the_readme_says_and_nothing_else() -> None:
    # Build and cache folders are dotfiles; what an editable install leaves behind is not ours.
    present = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.suffix != ".egg-info"}
    assert present - {"build", "__pycache__"} == TOP_LEVEL


def test_imports_go_down_the_ladder_only() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    result = subprocess.run([lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.parametrize("path", IN_WEB, ids=shown)
def test_the_web_layer_never_builds_a_query_of_its_own(path: Path) -> None:
    managers = [
        node
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute) and node.attr in {"objects", "_default_manager", "_base_manager"}
    ]
    assert not [ast.unparse(node) for node in managers]


@pytest.mark.parametrize("path", ENGINEERING, ids=shown)
def test_engineering_and_drawings_know_nothing_of_django(path: Path) -> None:
    imported = {
        name
        for node in ast.walk(tree(path))
        for name in (
            [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else []
        )
    }
    foreign = {name for name in imported if name.startswith(("django", "sites", "registry."))}
    allowed = ("registry.engineering", "registry.drawings") if "drawings" in path.parts else ("registry.engineering",)
    assert not {name for name in foreign if not name.startswith(allowed)}


@pytest.mark.parametrize("path", [path for path in ENGINEERING if "engineering" in path.parts], ids=shown)
def test_every_public_calculation_tells_its_source_its_errors_and_an_example(path: Path) -> None:
    lacking = {}
    for node in tree(path).body:
        if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
            continue
        docstring = ast.get_docstring(node) or ""
        missing = [word for word in ("Raises:", "Source:", ">>> ") if word not in docstring]
        if missing:
            lacking[node.name] = missing
    assert not lacking


@pytest.mark.parametrize("path", production_files(), ids=shown)
def test_every_public_class_and_function_has_a_docstring(path: Path) -> None:
    public = [
        node
        for node in tree(path).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]
    assert not [node.name for node in public if not ast.get_docstring(node)]


@pytest.mark.parametrize("path", production_files(), ids=shown)
def test_every_function_says_what_it_returns(path: Path) -> None:
    assert not [function.name for function in functions(path) if function.returns is None]


def test_every_environment_variable_is_described_in_developers_md() -> None:
    text = (ROOT / "registry" / "settings.py").read_text(encoding="utf-8")
    read = set(re.findall(r'"((?:EVENKEEL_|DATABASE_)[A-Z_]+)"', text))
    described = set(re.findall(r"`([A-Z_]+)`", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))
    assert read
    assert read <= described


@pytest.mark.parametrize("path", TEMPLATES, ids=shown)
def test_templates_keep_to_the_content_security_policy(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=\"|javascript:", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)
    assert not re.search(r"(src|href)=\"https?://", text)


def test_facts_say_so_and_are_guarded() -> None:
    from registry.baselines.models import Baseline, Reading
    from registry.equipment.models import ConfigurationRecord, Setting
    from sites.facts import Fact

    assert all(issubclass(model, Fact) for model in (Baseline, Reading, ConfigurationRecord, Setting))


def test_no_unfinished_work_is_left_in_the_source() -> None:
    words = re.compile(r"\b(TO" + r"DO|FIX" + r"ME|XX" + r"X)\b")
    assert not [shown(path) for path in production_files() if words.search(path.read_text(encoding="utf-8"))]
