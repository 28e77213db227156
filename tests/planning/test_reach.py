"""Source reach by the rules that are written down: streams reach a group, a local input its own unit only."""

import pytest

from registry.planning.reach import FedZone, Reach, Unit, reach


def unit(name: str, **settings: str) -> Unit:
    return Unit(name, {key.replace("_", " "): value for key, value in settings.items()})


def heard(source: str, *units: Unit, by: str = "Amplifier 1") -> tuple[str, str]:
    (zone,) = reach([FedZone("Bar", source, (by,))], units).zones
    return zone.hears, zone.says


def test_a_stream_that_is_chosen_on_the_unit_is_heard() -> None:
    assert heard("Stream 1", unit("Amplifier 1", source="Stream 1", input="network"))[0] == "yes"


def test_a_stream_reaches_every_unit_of_the_group() -> None:
    master, follower = unit("Endpoint 1", source="Stream 1", group="Shop"), unit("Amplifier 1", group="Shop")
    assert heard("Stream 1", master, follower) == ("yes", "Amplifier 1 plays Stream 1 through group Shop")
    alone = unit("Amplifier 1")
    assert heard("Stream 1", master, alone)[0] == "unknown"


def test_another_stream_is_not_the_one_that_is_wanted() -> None:
    says = "it is meant to play Stream 1, and Amplifier 1 plays Stream 2"
    assert heard("Stream 1", unit("Amplifier 1", source="Stream 2")) == ("no", says)


def test_a_local_input_reaches_its_own_unit() -> None:
    own = unit("Amplifier 1", input="Line in")
    assert heard("Line in of Amplifier 1", own)[0] == "yes"
    assert heard("Line in", own)[0] == "yes"


def test_a_local_input_does_not_reach_another_unit_of_its_group() -> None:
    owner = unit("Endpoint 1", input="Line in", group="Shop")
    other = unit("Amplifier 1", source="Line in of Endpoint 1", group="Shop")
    says = "Line in of Endpoint 1 reaches only Endpoint 1: split it, or send it on to the group"
    assert heard("Line in of Endpoint 1", owner, other) == ("no", says)
    on_stream = unit("Amplifier 1", source="Stream 1", group="Shop")
    assert heard("Line in of Endpoint 1", owner, on_stream) == ("no", says)


def test_a_local_input_that_is_sent_on_reaches_the_group_and_nobody_else() -> None:
    owner = unit("Endpoint 1", input="Line in", group="Shop", line_in_goes_to="group")
    inside = unit("Amplifier 1", source="Line in of Endpoint 1", group="Shop")
    outside = unit("Amplifier 1", source="Line in of Endpoint 1", group="Café")
    assert heard("Line in of Endpoint 1", owner, inside) == (
        "yes",
        "Amplifier 1 plays Line in of Endpoint 1 sent on by Endpoint 1",
    )
    assert heard("Line in of Endpoint 1", owner, outside)[0] == "no"


def test_a_cable_carries_what_the_unit_before_it_plays() -> None:
    endpoint = unit("Endpoint 1", source="Stream 1", group="Shop")
    old = unit("Old amplifier", input="Endpoint 1")
    assert heard("Stream 1", endpoint, old, by="Old amplifier") == (
        "yes",
        "Old amplifier plays Stream 1 from Endpoint 1 by cable",
    )
    local = unit("Endpoint 1", input="Line in")
    assert heard("Line in of Endpoint 1", local, old, by="Old amplifier")[0] == "yes"


def test_cables_in_a_circle_are_silent() -> None:
    one, two = unit("One", input="Two"), unit("Two", input="One")
    hears, says = heard("Stream 1", one, two, by="One")
    assert (hears, says) == ("no", "One, Two and One are cabled in a circle: look at their inputs")


@pytest.mark.parametrize(
    ("zone", "units", "says"),
    [
        (FedZone("Bar", "Stream 1", ()), [], "no line feeds it"),
        (FedZone("Bar", " ", ("A",)), [unit("A", source="Stream 1")], "no source is recorded for it"),
        (
            FedZone("Bar", "Stream 1", ("A",)),
            [unit("A")],
            "what A plays is not recorded: record its source, or its input",
        ),
        (FedZone("Bar", "Stream 1", ("A",)), [], "nothing is recorded of A"),
    ],
)
def test_what_is_not_recorded_is_not_known_and_said(zone: FedZone, units: list[Unit], says: str) -> None:
    found = reach([zone], units)
    assert [(answer.hears, answer.says) for answer in found.zones] == [("unknown", says)]
    assert found.unknown
    assert not found.unheard


def test_a_zone_on_two_units_is_as_good_as_the_worse_of_them() -> None:
    zone = FedZone("Bar", "Stream 1", ("A", "B"))
    assert reach([zone], [unit("A", source="Stream 1"), unit("B", source="Stream 2")]).unheard
    assert reach([zone], [unit("A", source="Stream 1"), unit("B")]).unknown


SHOP = (
    unit("Amplifier 1", source="Stream 1", group="Shop"),
    unit("Amplifier 2", source="Stream 1", group="shop"),
    unit("Amplifier 3", source="Stream 2"),
    unit("Endpoint 1", source="Stream 1", group="Shop", output_mode="variable"),
    unit("Old amplifier", input="Endpoint 1"),
)
FED = (
    FedZone("Tills", "Stream 1", ("Amplifier 1",)),
    FedZone("Floor", "Stream 1", ("Amplifier 2",)),
    FedZone("Café", "Stream 2", ("Amplifier 3",)),
    FedZone("Yard", "Stream 1", ("Old amplifier",)),
)


def controls(found: Reach) -> dict[tuple[str, bool], tuple[str, ...]]:
    return {(control.name, control.is_master): control.zones for control in found.controls}


def test_a_master_moves_its_group_and_what_is_cabled_to_it_a_unit_only_its_own() -> None:
    assert controls(reach(FED, SHOP)) == {
        ("Shop", True): ("Tills", "Floor", "Yard"),
        ("Amplifier 1", False): ("Tills",),
        ("Amplifier 2", False): ("Floor",),
        ("Amplifier 3", False): ("Café",),
        ("Endpoint 1", False): ("Yard",),
        ("Old amplifier", False): ("Yard",),
    }


def test_a_fixed_output_is_moved_by_no_level_before_it() -> None:
    fixed = [
        unit("Endpoint 1", source="Stream 1", group="Shop", output_mode="fixed line level")
        if u.name == "Endpoint 1"
        else u
        for u in SHOP
    ]
    found = controls(reach(FED, fixed))
    assert found["Shop", True] == ("Tills", "Floor")
    assert ("Endpoint 1", False) not in found
    assert found["Old amplifier", False] == ("Yard",)


def test_a_group_that_is_set_to_two_streams_contradicts_itself() -> None:
    (says,) = reach(
        (), [unit("A", source="Stream 1", group="Shop"), unit("B", source="Stream 2", group="Shop")]
    ).conflicts
    assert says == "Group Shop plays one source, yet its units are set apart: A to Stream 1; B to Stream 2."
    assert reach(FED, SHOP).conflicts == ()
