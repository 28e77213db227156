"""Measuring a line at its terminals: what commissioning and visits share."""

import math
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from registry.audio.loads import load_of, with_wiring
from registry.audio.models import Line
from registry.engineering.line_result import LineLoad
from registry.planning.impedance import judge
from registry.planning.models import LineMeasurement
from registry.planning.sequence import Subject, hands_off, wired_at
from sites.models import Site, User
from sites.put import refuse

Values = Mapping[str, Any]
Excluded = Mapping[tuple[Subject, int], str]


def measure_line(
    *, by: User, line: Line, values: Values, at: datetime, key: str, replaces: LineMeasurement | None = None
) -> LineMeasurement:
    """Record an impedance of a line, judged against what is computed for it now; `key` names it in a refusal."""
    ohm, hertz = _measured(key, values)
    load = _load(line)
    judged = judge(math.inf if ohm is None else ohm, hertz, load)
    return LineMeasurement.objects.create(
        line=line,
        taken_at=at,
        impedance_ohm=ohm,
        is_open=ohm is None,
        frequency_hz=hertz,
        computed_ohm=load.impedance_ohm if load else None,
        verdict=judged.verdict,
        says=judged.says,
        recorded_by=by,
        replaces=replaces,
    )


def _measured(key: str, values: Values) -> tuple[float | None, float]:
    """Return ohm (None when the line is open) and hertz, or refuse what says too little or too much."""
    ohm, hertz = values["impedance_ohm"], values["frequency_hz"]
    if hertz is None:
        raise refuse("measurement", (key,), "frequency_hz", "A value without its test frequency can't be compared.")
    if (ohm is None) != bool(values["is_open"]):
        raise refuse("measurement", (key,), "impedance_ohm", "Give a value, or say that the line is open: not both.")
    return ohm, hertz


def _load(line: Line) -> LineLoad | None:
    wired = with_wiring(Line.objects.filter(pk=line.pk)).get()
    return load_of(wired) if wired.coils.all() else None


def excluded_at(site: Site) -> Excluded:
    """Return the lines and amplifiers of a site that life safety keeps hands off, and why. One query."""
    return hands_off(wired_at(site))
