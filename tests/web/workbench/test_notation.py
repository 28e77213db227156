"""The text notation of networks: what binds first, what it names, what it refuses and where."""

from math import inf
from typing import Any

import pytest

from registry.engineering.network import Parallel, Resistor, Series, Tree, impedance
from registry.web.workbench.notation import Network
from tests.engineering.reference import Row, close, each


def shape(tree: Tree) -> Any:
    if isinstance(tree, Resistor):
        return tree.ohm
    return ("S" if isinstance(tree, Series) else "P", *map(shape, tree.parts))


def written(net: Any) -> str:
    """A network of the reference tables, nested lists, in the notation."""
    if isinstance(net, int | float):
        return f"{net:g}"
    sign = " + " if net[0] == "S" else " | "
    return "(" + sign.join(written(part) for part in net[1:]) + ")"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("8", 8.0),
        ("8 + 8 | 8", ("P", ("S", 8.0, 8.0), 8.0)),
        ("8 + (8 | 8)", ("S", 8.0, ("P", 8.0, 8.0))),
        ("8|8+8|8", ("P", 8.0, ("S", 8.0, 8.0), 8.0)),
        ("8 ohm + 1 kohm", ("S", 8.0, 1000.0)),
        ("((8))", 8.0),
        ("open | 8", ("P", inf, 8.0)),
        ("short + 8", ("S", 0.0, 8.0)),
    ],
)
def test_series_binds_before_parallel_and_brackets_before_both(text: str, expected: Any) -> None:
    assert shape(Network().read(text)) == expected


@each("loudspeaker_networks", "Z_total")
def test_published_networks_are_read_and_give_their_impedance(row: Row) -> None:
    assert close(row, impedance(Network().read(written(row.inputs["net"]))))


def test_parts_are_named_or_numbered() -> None:
    tree = Network().read("LS1 = 8 ohm | 4")
    assert isinstance(tree, Parallel)
    assert [part.label for part in tree.parts if isinstance(part, Resistor)] == ["LS1", "part 2"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("8 +", "a part is missing after +"),
        ("| 8", "a part is missing at the beginning"),
        ("(8 | 8", "a bracket is not closed after 8"),
        ("8)", ") is not expected after 8"),
        ("8 (8)", "( is not expected after 8"),
        ("8 8", "two numbers with a space between"),
        ("8,5", "use a point, not a comma"),
        ("-8", "-8 is out of range: allowed is 0 to 1000000 Ω"),
        ("= 8", "a name is missing"),
        (" | ".join(["8"] * 61), "more than 60 parts"),
        ("(" * 21 + "8" + ")" * 21, "nested more than 20 deep"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text: str, says: str) -> None:
    with pytest.raises(ValueError, match="^.*" + "".join(f"[{c}]" if c in "()+|.?" else c for c in says)):
        Network().read(text)
