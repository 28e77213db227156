"""`manage.py calc [NAME [KEY=VALUE ...]] [--json] [--save FILE]`: the Workbench for scripts."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from registry.web.workbench.catalogue import CALCULATIONS, THEMES
from registry.web.workbench.declaring import Answer, Calculation, Table
from registry.web.workbench.showing import as_data, shown
from registry.web.workbench.working import WHOLE, worked

WRONG = 2


class Command(BaseCommand):
    """Lists, explains and does every calculation of the Workbench; a fault exits 2 with one line for each."""

    help = "Calculate. Alone it lists the calculations; with a name alone it explains the inputs."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the calculation, its inputs and the form of the answer."""
        parser.add_argument("name", nargs="?", help="calculation, as the list names it")
        parser.add_argument(
            "inputs", nargs="*", metavar="KEY=VALUE", help='inputs, for example cable="60 ft of 16 AWG"'
        )
        parser.add_argument("--json", action="store_true", help="answer in JSON, figures unrounded")
        parser.add_argument("--save", metavar="FILE", help="write the file that belongs to the answer")

    def handle(self, *args: Any, name: str | None, inputs: list[str], **options: Any) -> None:
        """List, explain or calculate."""
        if name is None:
            return self._list()
        if name not in CALCULATIONS:
            raise CommandError(f"there is no calculation {name!r}; manage.py calc lists them", returncode=WRONG)
        calculation = CALCULATIONS[name]
        if not inputs:
            return self._explain(calculation)
        typed, strange = _typed(calculation, inputs)
        outcome = worked(calculation, typed)
        if strange or outcome.answer is None:
            raise CommandError("\n".join([*strange, *_faults(outcome.faults)]), returncode=WRONG)
        if options["save"]:
            _save(outcome.answer, Path(options["save"]))
        if options["json"]:
            data = as_data(calculation, outcome.answer, typed=typed)
            self.stdout.write(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))
        else:
            self._say(calculation, outcome.answer)
        return None

    def _list(self) -> None:
        for theme in THEMES:
            self.stdout.write(theme.title)
            for calculation in theme.calculations:
                self.stdout.write(f"  {calculation.name:<24} {calculation.question}")

    def _explain(self, calculation: Calculation) -> None:
        self.stdout.write(f"{calculation.title}. {calculation.question}")
        for field in calculation.inputs:
            must = {None: "must be given", "": "may be left out"}.get(field.default, f"left out: {field.default}")
            self.stdout.write(f"  {field.name:<18} {field.label}: {field.kind.allowed} ({must})")
            if field.help:
                self.stdout.write(f"  {'':<18} {field.help}")
        example = " ".join(f"{name}={_quoted(text)}" for name, text in calculation.example.items() if text)
        self.stdout.write(f"Example: manage.py calc {calculation.name} {example}")
        self.stdout.write(f"Source: {calculation.source}")

    def _say(self, calculation: Calculation, answer: Answer) -> None:
        verdict = answer.drift or answer.verdict
        self.stdout.write(f"{verdict}: {answer.says}" if verdict else answer.says)
        lines = [f"{result.label}: {shown(result.value, result.unit)}" for result in answer.results]
        lines += [f"{check.code}: {check.verdict}. {check.says}" for check in answer.checks]
        lines += [f"{term.name}: {term.text}" for term in answer.formula]
        for table in answer.tables:
            lines += _table_lines(table)
        lines += [*calculation.notes, *answer.notes, *(f"Caution: {words}" for words in answer.cautions)]
        for line in (*lines, f"Source: {calculation.source}"):
            self.stdout.write(line)


def _typed(calculation: Calculation, inputs: list[str]) -> tuple[dict[str, str], list[str]]:
    """What was typed by name, and what is no KEY=VALUE of this calculation."""
    names = [field.name for field in calculation.inputs]
    typed: dict[str, str] = {}
    strange = []
    for text in inputs:
        name, sign, value = text.partition("=")
        if not sign or name not in names:
            strange.append(f"{text}: no such input; write one of {', '.join(f'{known}=…' for known in names)}")
        elif name in typed:
            strange.append(f"{name}: given twice")
        else:
            typed[name] = value.replace("\\n", "\n")
    return typed, strange


def _faults(faults: dict[str, str]) -> list[str]:
    return [says if name == WHOLE else f"{name}: {says}" for name, says in faults.items()]


def _save(answer: Answer, path: Path) -> None:
    if answer.download is None:
        raise CommandError("--save: there is no file for this calculation", returncode=WRONG)
    try:
        path.write_bytes(answer.download.make())
    except OSError as error:
        raise CommandError(f"--save: cannot write {path}: {error.strerror}", returncode=WRONG) from error


def _table_lines(table: Table) -> list[str]:
    rows = [
        "  " + ", ".join(f"{c.label} {shown(v, c.unit)}" for c, v in zip(table.columns, row, strict=True))
        for row in table.rows
    ]
    return [f"{table.title}:", *rows]


def _quoted(text: str) -> str:
    """A value as a shell takes it; the lines of a table are parted by \\n."""
    return '"' + text.replace("\n", "\\n") + '"'
