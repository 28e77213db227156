"""A fold plan as tables: what is on every channel, how far each zone is off, the alternatives, what forbids fewer."""

from collections.abc import Sequence

from registry.engineering.folding import FoldedAmplifier, FoldPlan, Refusal
from registry.web.workbench.declaring import Column, Table, Value

CHANNELS = (
    Column("amplifier", "Amplifier"),
    Column("channel", "Channel"),
    Column("strings", "Strings, + is in series"),
    Column("load_ohm", "Load", "ohm"),
    Column("level_db", "Level, re 2.83 V", "dB"),
)
ZONES = (
    Column("zone", "Zone"),
    Column("amplifier", "Amplifier"),
    Column("per_string", "In series"),
    Column("wanted_db", "Wanted", "dB"),
    Column("got_db", "Gets", "dB"),
    Column("error_db", "Error", "dB"),
)
SILENCED = (Column("zone", "Zone"), Column("says", "With one open coil"))
PLANS = (
    Column("amplifiers", "Amplifiers", "amplifiers"),
    Column("worst_zone", "Furthest off"),
    Column("worst_error_db", "By", "dB"),
    Column("level_error_db", "Sum of errors", "dB"),
    Column("in_series", "Zones in series strings"),
)


def plan_tables(best: FoldPlan, plans: Sequence[FoldPlan]) -> tuple[Table, ...]:
    """The best plan channel by channel and zone by zone, then the best plan for each number of amplifiers."""
    return (
        Table("channels", "The best plan, channel by channel", CHANNELS, _channels(best.amplifiers)),
        Table("zones", "Zone by zone", ZONES, _zones(best.amplifiers)),
        *_silenced(best.single_faults),
        Table("plans", "The best plan for each number of amplifiers", PLANS, tuple(_plan(plan) for plan in plans)),
    )


def _channels(amplifiers: Sequence[FoldedAmplifier]) -> tuple[tuple[Value, ...], ...]:
    return tuple(
        (
            f"Amplifier {amplifier.number}",
            channel.channel,
            "; ".join(f"{' + '.join(string.coils)}" for string in channel.strings) or "nothing",
            channel.load_ohm if channel.strings else "none",
            amplifier.level_db,
        )
        for amplifier in amplifiers
        for channel in amplifier.channels
    )


def _zones(amplifiers: Sequence[FoldedAmplifier]) -> tuple[tuple[Value, ...], ...]:
    return tuple(
        (zone.zone, f"Amplifier {amplifier.number}", zone.per_string, zone.wanted_db, zone.got_db, zone.error_db)
        for amplifier in amplifiers
        for zone in amplifier.zones
    )


def _silenced(single_faults: Sequence[str]) -> tuple[Table, ...]:
    if not single_faults:
        return ()
    rows = tuple(tuple(says.split(": ", 1)) for says in single_faults)
    return (Table("single_faults", "What one open coil silences", SILENCED, rows),)


def _plan(plan: FoldPlan) -> tuple[Value, ...]:
    worst = plan.worst
    return (len(plan.amplifiers), worst.zone, worst.error_db, plan.level_error_db, len(plan.in_series))


def refusal_table(refusals: Sequence[Refusal]) -> tuple[Table, ...]:
    """What forbids fewer amplifiers; nothing where nothing does."""
    if not refusals:
        return ()
    columns = (Column("constraint", "Limit"), Column("says", "What it forbids"))
    rows = tuple((each.constraint, each.says) for each in refusals)
    return (Table("refusals", "Why not fewer", columns, rows),)
