"""What stands on labels: recorded names only, both ends of every cable (ANSI/TIA-606 and AVIXA F501.01: both ends)."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.demo.factories import FilledPlaceFactory, LoudspeakerFactory, PlacementFactory
from registry.equipment.models import Place, Status
from registry.reports.labels import Label, LabelKind, counts_of, labels_of
from sites.models import Rack, Site, Units


def address_of(of: Rack | Place) -> str:
    return f"https://register.example/{type(of).__name__.lower()}s/{of.pk}/"


def plain(site: Site, kind: LabelKind, rack: Rack | None = None) -> list[tuple[str, tuple[str, ...]]]:
    """Return identifier and details of every label, hard spaces made ordinary ones."""
    made = labels_of(site, [kind], address=address_of, rack=rack)
    return [
        (label.identifier.replace("\u00a0", " "), tuple(words.replace("\u00a0", " ") for words in label.details))
        for label in made
    ]


def test_racks_and_places_carry_their_names_where_they_are_and_a_code(site: Site) -> None:
    rack = site.racks.get()
    place = site.places.get(name="Amplifier 1")
    assert labels_of(site, [LabelKind.RACKS], address=address_of) == [
        Label("Rack A", ("mill-lane, Cupboard, 12\u00a0U",), f"https://register.example/racks/{rack.pk}/")
    ]
    assert Label(
        "Amplifier 1", ("mill-lane, Rack A, U2",), f"https://register.example/places/{place.pk}/"
    ) in labels_of(site, [LabelKind.PLACES], address=address_of)


def test_each_piece_of_cable_has_a_label_for_each_end_in_the_order_of_the_wire(site: Site) -> None:
    cable = ("L1 Bar, string 1", "1.5 mm², 9 m, + red, − black")
    assert plain(site, LabelKind.CABLES)[:4] == [
        ("Amplifier 1 ch 1 → LS-01", ("this end: Amplifier 1 ch 1", *cable)),
        ("Amplifier 1 ch 1 → LS-01", ("this end: LS-01", *cable)),
        ("LS-01 → LS-02", ("this end: LS-01", *cable)),
        ("LS-01 → LS-02", ("this end: LS-02", *cable)),
    ]


def test_each_string_begins_at_the_amplifier_and_two_coils_are_told_apart(site: Site) -> None:
    identifiers = [identifier for identifier, _ in plain(site, LabelKind.CABLES)]
    assert identifiers[4:8] == ["Amplifier 1 ch 2 → LS-03 coil 1"] * 2 + ["Amplifier 1 ch 2 → LS-03 coil 2"] * 2


def test_what_is_not_recorded_says_so(site: Site) -> None:
    assert plain(site, LabelKind.CABLES)[4][1] == (
        "this end: Amplifier 1 ch 2",
        "L2 Hall, string 1",
        "size not known, length not known",
    )
    assert ("LS-03", ("L2 Hall, string 1, coil 1, tap 10 W", "L2 Hall, string 2, coil 2, tap not known")) in plain(
        site, LabelKind.LOUDSPEAKERS
    )
    LoudspeakerFactory(site=site, label="LS-99", zone=site.zones.first())
    assert ("LS-99", ("not connected",)) in plain(site, LabelKind.LOUDSPEAKERS)


def test_what_may_serve_life_safety_is_not_to_be_altered(site: Site) -> None:
    flagged = [label for label in plain(site, LabelKind.CABLES) if "L3 Stairs, string 1" in label[1]]
    assert len(flagged) == 2
    assert all(details[-1] == "Fire or voice alarm? Do not alter" for _, details in flagged)
    assert plain(site, LabelKind.LOUDSPEAKERS)[-1][1][-1] == "Fire or voice alarm? Do not alter"
    assert "Fire or voice alarm? Do not alter" not in plain(site, LabelKind.CABLES)[0][1]


def test_lengths_stand_in_the_units_of_the_site(site: Site) -> None:
    # The international foot is 0.3048 m exactly: 9 m = 29.5 ft.
    site.units = Units.US
    assert "1.5 mm², 29.5 ft, + red, − black" in plain(site, LabelKind.CABLES)[0][1]


def test_a_rack_takes_its_own_places_and_what_its_amplifiers_drive(site: Site) -> None:
    FilledPlaceFactory(site=site, name="Till player")
    rack = site.racks.get()
    assert [name for name, _ in plain(site, LabelKind.PLACES, rack)] == ["Amplifier 1", "Amplifier 2"]
    assert len(plain(site, LabelKind.CABLES, rack)) == 10
    empty = Rack.objects.create(site=site, name="Rack B", height_u=6)
    assert plain(site, LabelKind.CABLES, empty) == plain(site, LabelKind.LOUDSPEAKERS, empty) == []


def test_what_was_taken_out_for_good_needs_no_label(site: Site) -> None:
    gone = FilledPlaceFactory(site=site, name="Old player", filling__item__status=Status.REMOVED)
    once = PlacementFactory(place__site=site, place__name="Older player", current=False)
    Place.objects.create(site=site, name="Player to come")
    names = [name for name, _ in plain(site, LabelKind.PLACES)]
    assert gone.name not in names
    assert once.place.name not in names
    assert "Player to come" in names


def test_the_counts_are_those_of_the_labels(site: Site) -> None:
    counts = counts_of(site)
    assert counts == {kind: len(plain(site, kind)) // (2 if kind == LabelKind.CABLES else 1) for kind in LabelKind}


@pytest.mark.parametrize("more", [0, 5])
def test_labels_cost_five_queries_however_many_there_are(site: Site, more: int) -> None:
    for _ in range(more):
        FilledPlaceFactory(site=site)
        LoudspeakerFactory(site=site, zone=site.zones.first())
    with CaptureQueriesContext(connection) as captured:
        labels_of(site, list(LabelKind), address=address_of)
    assert len(captured) == 5
