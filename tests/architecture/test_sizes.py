"""Small files and small functions stay small only where a test holds them."""

import ast
from pathlib import Path

import pytest

from tests.architecture.source import ROOT, body_lines, functions, production_files, shown, tree

FILE_LINES = 300
FUNCTION_LINES = 30
VIEW_LINES = 20
TEMPLATE_LINES = 120


@pytest.mark.parametrize("path", production_files(), ids=shown)
def test_file_is_at_most_300_lines(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= FILE_LINES


@pytest.mark.parametrize("path", production_files(), ids=shown)
def test_functions_are_at_most_30_lines_and_views_20(path: Path) -> None:
    limit = VIEW_LINES if path.name == "views.py" else FUNCTION_LINES
    too_long = {function.name: body_lines(function) for function in functions(path) if body_lines(function) > limit}
    assert not too_long


@pytest.mark.parametrize("path", production_files(), ids=shown)
def test_file_says_what_lives_in_it(path: Path) -> None:
    assert ast.get_docstring(tree(path)) or not path.read_text(encoding="utf-8").strip()


@pytest.mark.parametrize("path", sorted((ROOT / "templates").rglob("*.html")), ids=shown)
def test_template_is_at_most_120_lines(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= TEMPLATE_LINES


@pytest.mark.parametrize("path", production_files(), ids=shown)
def test_functions_take_at_most_five_positional_arguments(path: Path) -> None:
    # Field classes and Django's own hooks take *args; what counts here is named.
    many = [f.name for f in functions(path) if len([a for a in f.args.args if a.arg not in {"self", "cls"}]) > 6]
    assert not many
