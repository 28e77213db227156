"""Power over Ethernet: what a port gives, what a device gets, and whether a switch's budget holds."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from registry.engineering.amplifier import ROUNDING
from registry.engineering.checks import Check
from registry.engineering.limits import above_zero, zero_or_more
from registry.engineering.wording import figure

Basis: TypeAlias = Literal["pse", "pd"]


@dataclass(frozen=True, slots=True)
class PoeClass:
    """Power of a class: pse_w at the switch's port, pd_w at the device at the end of the worst cable [W]."""

    pse_w: float
    pd_w: float


# IEEE 802.3af, at, bt, as public restatements give them.
POE_CLASSES: Final[dict[int, PoeClass]] = {
    0: PoeClass(15.4, 12.95),
    1: PoeClass(4.0, 3.84),
    2: PoeClass(7.0, 6.49),
    3: PoeClass(15.4, 12.95),
    4: PoeClass(30.0, 25.5),
    5: PoeClass(45.0, 40.0),
    6: PoeClass(60.0, 51.0),
    7: PoeClass(75.0, 62.0),
    8: PoeClass(90.0, 71.3),
}


@dataclass(frozen=True, slots=True)
class PoeBudget:
    """Watts that the ports need at the switch, its budget [W] (None when not known), and the verdict."""

    needed_w: float
    budget_w: float | None
    check: Check


def poe_class(number: int) -> PoeClass:
    """Power of a PoE class at the port and at the device.

    Parameters:
        number: 0 to 8.
    Returns:
        PoeClass [W].
    Raises:
        ValueError: no such class.
    Source: IEEE 802.3af, at, bt, as public restatements give them.

    >>> poe_class(4)
    PoeClass(pse_w=30.0, pd_w=25.5)
    """
    if number not in POE_CLASSES:
        raise ValueError(f"a PoE class is a whole number from 0 to 8, got {number}")
    return POE_CLASSES[number]


def poe_needed_w(ports: Mapping[int, int], *, basis: Basis = "pse") -> float:
    """Power of a number of ports, each counted at its class's maximum.

    Parameters:
        ports: number of ports, 0 or more, by class 0 to 8.
        basis: "pse" at the switch, which is what a budget is about; "pd" at the devices.
    Returns:
        Power [W].
    Raises:
        ValueError: no such class or basis, or a number below 0.
    Source: as `poe_class`.

    >>> poe_needed_w({3: 6, 4: 4, 6: 1})
    272.4
    """
    if basis not in ("pse", "pd"):
        raise ValueError(f'basis must be "pse" (at the switch) or "pd" (at the device), got {basis!r}')
    zero_or_more(**{f"number of ports of class {number}": count for number, count in ports.items()})
    classes = [(poe_class(number), count) for number, count in ports.items()]
    return math.fsum(count * (power.pse_w if basis == "pse" else power.pd_w) for power, count in classes)


def poe_budget(*, ports: Mapping[int, int], budget_w: float | None, unknown_ports: int = 0) -> PoeBudget:
    """Whether a switch can power its ports: the sum at the switch against its budget.

    Parameters:
        ports: number of ports by class 0 to 8.
        budget_w: the switch's PoE budget, 0 or more [W]; None when not known.
        unknown_ports: powered ports whose class is not known, 0 or more; the sum is then a least.
    Returns:
        PoeBudget with the check "poe".
    Raises:
        ValueError: a value out of range.
    Source: IEEE 802.3 classes; over budget a switch shuts low-priority ports first (common practice).

    >>> poe_budget(ports={3: 6, 4: 4}, budget_w=200.0).check.says
    'The PoE ports need 212 W; the switch has 200 W.'
    """
    zero_or_more(unknown_ports=unknown_ports)
    needed_w = poe_needed_w(ports)
    needs = f"The PoE ports need {'at least ' * bool(unknown_ports)}{figure(needed_w)} W"
    if budget_w is None:
        return PoeBudget(needed_w, None, Check("poe", "unknown", f"{needs}; the switch's budget is not known."))
    zero_or_more(budget_w=budget_w)
    says = f"{needs}; the switch has {figure(budget_w)} W."
    if needed_w > budget_w * (1 + ROUNDING):
        return PoeBudget(needed_w, budget_w, Check("poe", "fail", says))
    if unknown_ports:
        return PoeBudget(needed_w, budget_w, Check("poe", "unknown", f"{says} {unknown_ports} have no known class."))
    return PoeBudget(needed_w, budget_w, Check("poe", "pass", says))


def poe_delivered_w(*, pse_w: float, pse_v: float, pairset_loop_ohm: float, pairsets: int = 1) -> float:
    """Power left at the device after the cable: P − n I² R, with I = P/(n V) in each pairset.

    Parameters:
        pse_w: power at the switch's port, above 0 [W].
        pse_v: voltage at the port, above 0 [V].
        pairset_loop_ohm: loop resistance of one pairset, 0 or more [Ω]: at most 20 Ω (class 0 to 3) or 12.5 Ω.
        pairsets: 1 or 2.
    Returns:
        Power at the device [W].
    Raises:
        ValueError: a value out of range, or a cable that would take all of it.
    Source: Ohm's law; with the worst cable it gives the device powers of IEEE 802.3 (12.95, 25.5, 71.3 W).

    >>> round(poe_delivered_w(pse_w=30.0, pse_v=50.0, pairset_loop_ohm=12.5), 2)
    25.5
    """
    above_zero(pse_w=pse_w, pse_v=pse_v)
    zero_or_more(pairset_loop_ohm=pairset_loop_ohm)
    if pairsets not in (1, 2):
        raise ValueError(f"pairsets must be 1 or 2, got {pairsets}")
    lost_w = pairsets * (pse_w / (pairsets * pse_v)) ** 2 * pairset_loop_ohm
    if lost_w >= pse_w:
        raise ValueError(f"the cable would take {figure(lost_w)} W of {figure(pse_w)} W; check its loop resistance")
    return pse_w - lost_w
