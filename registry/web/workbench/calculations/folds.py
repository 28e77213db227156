"""Fold plans: many zones on few amplifiers."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple

from registry.engineering.folding import AmplifierType, FoldCoil, FoldResult, FoldZone, LifeSafety, Mode, ZoneFit, fold
from registry.engineering.folding_work import work_of
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.calculations.levels import LEVEL, loud
from registry.web.workbench.declaring import Answer, Calculation, Input, InputError, Result, Term, Widget
from registry.web.workbench.fold_tables import plan_tables, refusal_table
from registry.web.workbench.kinds import Choice, Quantity, Whole, Word
from registry.web.workbench.kinds_joined import OHM, Cell, Rows
from registry.web.workbench.showing import db

MOST_ZONES = 14
MOST_LOUDSPEAKERS = 12
LIFE_SAFETY = "life safety"
DEFAULT_TOLERANCE_DB = 2.0
_LOUDSPEAKERS = re.compile(r"([0-9]{1,2})( *[x×] *2)?")


class Units(NamedTuple):
    """So many loudspeakers, each with one or two inputs."""

    number: int
    inputs: int


@dataclass(frozen=True, slots=True)
class Loudspeakers:
    """A number of loudspeakers: "4", or "1 x 2" for one with two inputs."""

    widget: ClassVar[Widget] = "line"
    nothing: ClassVar[Any] = None

    @property
    def longest(self) -> int:
        """A few characters."""
        return 10

    @property
    def allowed(self) -> str:
        """The range."""
        return f"1 to {MOST_LOUDSPEAKERS}, with x 2 behind it for two inputs each"

    def read(self, text: str) -> Units:
        """Return number and inputs."""
        found = _LOUDSPEAKERS.fullmatch(text)
        if not found or not 1 <= int(found[1]) <= MOST_LOUDSPEAKERS:
            raise ValueError(f"{text[:10]!r} is out of range: allowed is {self.allowed}")
        return Units(int(found[1]), 2 if found[2] else 1)


Typed = tuple[str, Units, float, float, float, float | None, str]


def fold_plan(
    *,
    zones: tuple[Typed, ...],
    life_safety: LifeSafety,
    channels: str,
    minimum: float,
    max_drive: float | None,
    longest_string: int,
) -> Answer:
    """Put the typed zones on as few amplifiers as loads, levels and classes allow."""
    made = _zones(zones, life_safety, longest_string=longest_string)
    mode = Mode("mono", int(channels), minimum, max_drive_db=max_drive)
    explain = _explainable(made, mode)
    try:
        result = fold(made, [AmplifierType("Amplifier", (mode,))], explain=explain)
    except ValueError as error:
        raise InputError("zones", str(error)) from error
    best = result.best
    return Answer(
        says=best.says if best else "No plan serves these zones: see below what forbids it.",
        verdict=None if best else "fail",
        results=_results(result),
        formula=_formula(zones, best.zones if best else ()),
        cautions=(result.caution, *(CAUTIONS["life-safety"],) * bool(result.excluded), *loud(max(z[3] for z in zones))),
        tables=(*(plan_tables(best, result.plans) if best else ()), *refusal_table(result.refusals)),
        notes=_notes(result, explained=explain),
    )


def _formula(typed: tuple[Typed, ...], fits: Sequence[ZoneFit]) -> tuple[Term, ...]:
    """The drive that each zone needs, as it is wired, in dB re 2.83 V."""
    at_283 = {name: level for name, _, _, _, level, *_ in typed}
    found = [
        Term(
            zone.zone,
            f"wanted − level at 2.83 V + 20 lg n = {figure(zone.wanted_db)} − {figure(at_283[zone.zone])} "
            f"+ 20 lg {zone.per_string} = {db(zone.need_db)} dB",
        )
        for zone in fits
    ]
    return tuple(found) or (Term("Drive needed", "wanted − level at 2.83 V + 20 lg n, n loudspeakers in series"),)


def _explainable(zones: Sequence[FoldZone], mode: Mode) -> bool:
    """Refuse what would take too long, and say whether there is time to explain the answer."""
    searched = [zone for zone in zones if zone.life_safety == "no"]
    sources = {zone.source for zone in searched}
    parts = [work_of([zone for zone in searched if zone.source == source], mode) for source in sources]
    if not all(work.within(groups=5e5, ways=1e5) for work in parts):  # about two seconds
        raise InputError(
            "zones",
            "there are too many ways to fold these zones for one page: give classes to zones that don't belong "
            "together, take fewer zones or loudspeakers, or shorter strings",
        )
    return work_of(searched, mode).within(groups=2e4, ways=1e4)


def _zones(typed: tuple[Typed, ...], life_safety: LifeSafety, *, longest_string: int) -> list[FoldZone]:
    try:
        return [_zone(each, life_safety, longest_string=longest_string) for each in typed]
    except ValueError as error:
        raise InputError("zones", str(error)) from error


def _zone(typed: Typed, life_safety: LifeSafety, *, longest_string: int) -> FoldZone:
    name, units, ohm, wanted, at_283, tolerance, group = typed
    coils = tuple(
        FoldCoil(f"{name} {number}", ohm, coil=str(coil), model="alike")
        for number in range(1, units.number + 1)
        for coil in range(1, units.inputs + 1)
    )
    return FoldZone(
        name=name,
        coils=coils,
        wanted_db=wanted,
        level_at_283_db=at_283,
        life_safety="yes" if group.lower() == LIFE_SAFETY else life_safety,
        tolerance_db=DEFAULT_TOLERANCE_DB if tolerance is None else tolerance,
        source=group.lower(),
        longest_string=longest_string,
    )


def _results(result: FoldResult) -> tuple[Result, ...]:
    best, plans = result.best, result.plans
    return (
        Result("amplifiers", "Amplifiers in the best plan", len(best.amplifiers) if best else None),
        Result("fewest", "Fewest that are possible", len(plans[0].amplifiers) if plans else None),
        Result("worst_error_db", "Furthest off, got less wanted", best.worst.error_db if best else None, "dB"),
        Result("level_error_db", "Sum of all errors", best.level_error_db if best else None, "dB"),
        Result("in_series", "Zones in series strings", len(best.in_series) if best else None),
        Result("left_out", "Zones left out", len(result.excluded)),
    )


def _notes(result: FoldResult, *, explained: bool) -> tuple[str, ...]:
    unsearched = "What forbids one amplifier fewer was not searched: there are too many ways to fold these zones."
    return (
        *(f"{each.zone} {each.says}." for each in result.excluded),
        *result.notes,
        *(() if explained else (unsearched,)),
    )


FOLD_PLAN = Calculation(
    name="fold-plan",
    title="Fold plan",
    question="How few amplifiers serve these zones, each at its own level, and what forbids one fewer?",
    inputs=(
        Input(
            name="zones",
            label="Zones",
            kind=Rows(
                cells=(
                    Cell("name", Word(30)),
                    Cell("loudspeakers", Loudspeakers()),
                    Cell("ohm", OHM),
                    Cell("wanted dB", LEVEL),
                    Cell("dB at 2.83 V", LEVEL),
                    Cell("tolerance dB", Quantity(unit="dB", high=6), required=False),
                    Cell("class", Word(20), required=False),
                ),
                most=MOST_ZONES,
            ),
            example=(
                "Lobby, 2, 8, 60, 80, 2\nStacks, 6, 8, 58, 81, 2\nChildren, 4, 8, 61, 82, 2\n"
                "Reading room, 4, 8, 50, 81, 2\nCafé corner, 2, 6, 64, 82, 2\n"
                "Meeting room, 2, 8, 60, 80, 2, own source\nWorkroom, 1 x 2, 8, 57, 78, 2\n"
                "Restrooms, 2, 8, 58, 80, 2\nTerrace, 2, 8, 64, 72, 2, own hours"
            ),
            help=(
                "One a line: name, loudspeakers (1 x 2 is one with two inputs), ohms of each, wanted level, level at "
                "2.83 V, tolerance, class. Zones share an amplifier only within one class: same source, hours and "
                "control. The class “life safety” leaves a zone out."
            ),
        ),
        Input(
            name="life_safety",
            label="Does any other zone serve fire alarm, voice alarm or emergency paging?",
            kind=Choice({"no": "no, that is certain", "unknown": "not known", "yes": "yes"}),
            example="no",
            help="Unknown counts as yes: no change is offered then.",
        ),
        Input(
            name="channels",
            label="Channels of the amplifier",
            kind=Choice({"1": "one", "2": "two, one level for both"}),
            default="2",
            example="2",
        ),
        Input(
            name="minimum",
            label="Lowest load of each channel",
            kind=Quantity(unit="ohm", low=1, high=100),
            default="4",
            example="4 ohm",
        ),
        Input(
            name="max_drive",
            label="Highest mean drive, re 2.83 V",
            kind=Quantity(unit="dB", low=-40, high=40),
            default="",
            help="Left empty, the drive is not checked.",
        ),
        Input(
            name="longest_string",
            label="Loudspeakers in series at most",
            kind=Whole(low=1, high=4),
            default="2",
            example="2",
            help="One open coil silences a whole string.",
        ),
    ),
    compute=fold_plan,
    source="Exact search over wirings and groups (derived); limits and the order of preferences are common practice.",
    tables_first=True,
    notes=("The loudspeakers of a zone are taken as one model; every amplifier runs mono, with one level.",),
)
