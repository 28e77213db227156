"""The project's own source files, parsed: what the tests of the house rules read."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@cache
def production_files() -> tuple[Path, ...]:
    """Return every Python file of registry/ and sites/ except migrations."""
    files = [path for top in ("registry", "sites") for path in sorted((ROOT / top).rglob("*.py"))]
    return tuple(path for path in files if "migrations" not in path.parts)


@cache
def tree(path: Path) -> ast.Module:
    """Return the syntax tree of a file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Return every function and method of a file."""
    return (node for node in ast.walk(tree(path)) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Return how many lines a function has without its docstring."""
    body = function.body
    if (
        isinstance(body[0], ast.Expr)
        and isinstance(body[0].value, ast.Constant)
        and isinstance(body[0].value.value, str)
    ):
        body = body[1:]
    if not body:
        return 0
    return (body[-1].end_lineno or 0) - body[0].lineno + 1


def shown(path: Path) -> str:
    """Return a path as people read it."""
    return str(path.relative_to(ROOT))
