"""The word table proposes; how people speak of faults is common practice, the sentences are invented."""

import pytest

from registry.visits.sayings import proposals

ZONES = ("Café", "Café terrace", "Gift room", "Tills")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("The café is dead", [("silent", "Café")]),
        ("There is no sound on the Café terrace!", [("silent", "Café terrace")]),
        ("It hums at the tills", [("distorted", "Tills")]),
        ("There's a buzz in the gift room", [("distorted", "Gift room")]),
        ("Music too loud in the gift room, quieter in the café", [("louder", "Gift room"), ("quieter", "Café")]),
        ("The café cuts out when it is loud", [("cuts out when loud", "Café")]),
        ("Sounds tinny at the tills", [("no bass", "Tills")]),
        ("Tills are fine but the café is silent", [("as usual", "Tills"), ("silent", "Café")]),
        ("We can’t hear anything in the café", [("silent", "Café")]),
        ("No music anywhere", [("silent", "")]),
        ("The human at the tills asked when you come", []),
        ("", []),
    ],
)
def test_the_words_propose(text: str, expected: list[tuple[str, str]]) -> None:
    assert [each.said[:2] for each in proposals(text, ZONES)] == expected


def test_where_the_words_name_no_zone_it_is_the_one_that_the_call_is_about() -> None:
    (proposed,) = proposals("It is dead since noon", ZONES, about=["Café"])
    assert (proposed.said.says, proposed.words) == ("Café: silent", "dead")
