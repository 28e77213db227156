"""Which reference rows are tested, and why the others are not: python -m tests.engineering.reference_report."""

import importlib
import sys
from pathlib import Path

from tests.engineering import reference

# These uses ask for a test; "info" rows are context and are not asserted.
TESTED_USES = ("check", "bound", "trap")


def load_every_test_module() -> None:
    """Import the test modules beside this one: their decorators say which rows they ask for."""
    for path in sorted(Path(__file__).parent.glob("test_*.py")):
        importlib.import_module(f"tests.engineering.{path.stem}")


def tables() -> list[str]:
    """Names of the reference tables, without .csv."""
    return sorted(path.stem for path in reference.FOLDER.glob("*.csv"))


def missing(file: str) -> list[str]:
    """Rows of a table that ask for a test and are neither tested nor explained."""
    return [
        row.id
        for row in reference.table(file)
        if row.use in TESTED_USES and row.id not in reference.USED and row.id not in reference.WHY_UNUSED
    ]


def lines() -> list[str]:
    """The report: for each table how many rows of each use are tested, then every row that is not, and why."""
    text = []
    for file in tables():
        rows = reference.table(file)
        for use in sorted({row.use for row in rows}):
            ids = [row.id for row in rows if row.use == use]
            text.append(f"{file}: {sum(i in reference.USED for i in ids)} of {len(ids)} {use} rows tested")
        text += [f"  {i}: {reference.WHY_UNUSED[i]}" for i in (r.id for r in rows) if i in reference.WHY_UNUSED]
        text += [f"  {i}: neither tested nor explained" for i in missing(file)]
    return text


if __name__ == "__main__":
    load_every_test_module()
    sys.stdout.write("\n".join(lines()) + "\n")
