"""What a calculation of the Workbench is made of: its inputs, its answer, and how the two hang together."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Literal, Protocol, TypeAlias

from registry.audio.formulas import Term
from registry.engineering.checks import Check, Verdict

__all__ = [
    "Answer",
    "Calculation",
    "Check",
    "Column",
    "Download",
    "Drawing",
    "Input",
    "InputError",
    "Kind",
    "Result",
    "Table",
    "Term",
    "Value",
    "Verdict",
]

Widget: TypeAlias = Literal["line", "lines", "choice"]
Drift: TypeAlias = Literal["", "within", "out", "undecided"]
Value: TypeAlias = float | str | None


class Kind(Protocol):
    """How one input is read: `allowed` says in words what may be typed, `nothing` is what an empty field means."""

    widget: ClassVar[Widget]
    nothing: ClassVar[Any]

    @property
    def longest(self) -> int:
        """Characters that may be typed at most."""

    @property
    def allowed(self) -> str:
        """What may be typed, with range and unit."""

    def read(self, text: str) -> Any:
        """Return the value; ValueError says what is wrong and what is allowed."""


class InputError(ValueError):
    """A value that is fine by itself but not beside the others; `field` is the input that has to change."""

    def __init__(self, field: str, says: str) -> None:
        super().__init__(says)
        self.field = field


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One thing to be typed. `default` None: it must be given; "": it may be left out; else what an empty field means.

    `example` is part of the calculation's worked example.
    """

    name: str
    label: str
    kind: Kind
    example: str = ""
    default: str | None = None
    help: str = ""

    @property
    def required(self) -> bool:
        """Whether the calculation is impossible without it."""
        return self.default is None

    def read(self, text: str) -> Any:
        """Return the value that a text stands for; ValueError says what is wrong and what is allowed."""
        typed = text.strip() or self.default
        if typed is None:
            such = f", for example {self.example.splitlines()[0]}" if self.example else ""
            raise ValueError(f"missing: give {self.kind.allowed}{such}")
        if not typed:
            return self.kind.nothing
        if len(typed) > self.kind.longest:
            raise ValueError(f"{len(typed)} characters: allowed is {self.kind.longest} at most")
        return self.kind.read(typed)


@dataclass(frozen=True, slots=True)
class Result:
    """One figure of an answer: `name` for scripts, `label` for people; None is not known, a text stands for itself."""

    name: str
    label: str
    value: Value
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table; a column of verdicts holds pass, warn, fail or unknown."""

    name: str
    label: str
    unit: str = ""
    is_verdict: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Figures that come in rows."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """An SVG for a desk and one for a phone; `narrow` is empty where one serves both."""

    wide: str
    narrow: str = ""


@dataclass(frozen=True, slots=True)
class Download:
    """A file that belongs to an answer, made only when somebody asks for it."""

    filename: str
    content_type: str
    words: str
    make: Callable[[], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a calculation found: the sentence first, then figures, formula with numbers, cautions, drawings, checks."""

    says: str
    results: tuple[Result, ...]
    formula: tuple[Term, ...]
    verdict: Verdict | None = None
    drift: Drift = ""  # instead of a verdict, for a reading against its baseline
    cautions: tuple[str, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    checks: tuple[Check, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    download: Download | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculation:
    """One page of the Workbench and one name of `manage.py calc`."""

    name: str
    title: str
    question: str
    inputs: tuple[Input, ...]
    compute: Callable[..., Answer]
    source: str
    notes: tuple[str, ...] = ()
    tables_first: bool = False  # where the tables are the answer, they stand before the formula

    @property
    def example(self) -> Mapping[str, str]:
        """What to type for the worked example."""
        return {field.name: field.example for field in self.inputs}
