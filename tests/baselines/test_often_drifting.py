"""Settings that differ: the ten that drift most first, and each only where it belongs."""

import pytest

from registry.baselines.often_drifting import (
    LAST,
    TEN_FIRST,
    Feed,
    drifted,
    drifted_elsewhere,
    drifted_in,
    rank_of,
)
from registry.baselines.snapshot import Difference

# The ten that drift most, ranked by experience (common practice).
RANKED = [
    "volume",
    "input",
    "group",
    "firmware",
    "connection",
    "address",
    "tone",
    "account owner",
    "wall control",
    "router",
]


def setting(key: str, place: str = "Amplifier 1") -> Difference:
    return Difference("places", place, f"setting: {key}", "a", "b")


def test_the_ten_stand_in_their_order() -> None:
    assert list(TEN_FIRST) == RANKED
    found = drifted([setting(key) for key in (*reversed(RANKED), "auto-standby")])
    assert [each.difference.key.removeprefix("setting: ") for each in found] == [*RANKED, "auto-standby"]
    assert [each.is_one_of_ten for each in found] == [True] * 10 + [False]


@pytest.mark.parametrize(
    ("key", "of"),
    [
        ("channel 2 volume", "volume"),
        ("power-on level", "volume"),
        ("channel 1 cap", "volume"),
        ("source", "input"),
        ("firmware version", "firmware"),
        ("Wi-Fi", "connection"),
        ("address mode", "address"),
        ("bass", "tone"),
        ("wall panel lock", "wall control"),
    ],
)
def test_a_setting_ranks_by_the_words_of_its_name(key: str, of: str) -> None:
    assert rank_of(setting(key)) == RANKED.index(of)


def test_an_address_that_a_place_has_ranks_as_one() -> None:
    assert rank_of(Difference("places", "Amplifier 1", "ip", "192.0.2.10", "192.0.2.77")) == RANKED.index("address")


def test_words_that_only_look_alike_do_not_rank() -> None:
    assert [rank_of(setting(key)) for key in ("content mode", "auto-standby", "groupset", "limiter")] == [LAST] * 4


def test_a_routers_own_settings_rank_as_the_router() -> None:
    assert rank_of(setting("channel plan", place="Router")) == RANKED.index("router")


def test_what_the_last_reading_says_is_not_a_setting() -> None:
    rows = [Difference("zones", "Bar", key, 1, 2) for key in ("level_db", "drive_v", "track", "dial", "source")]
    rows.append(Difference("lines", "L1", "impedance_ohm", 4.0, 8.0))
    assert [each.difference.key for each in drifted(rows)] == ["dial", "source"]


def test_a_setting_stands_where_it_is_heard() -> None:
    feeds = [Feed("Bar", "Amplifier 1", "1", True), Feed("Hall", "Amplifier 1", "2", True)]
    rows = [
        setting("channel 1 volume"),
        setting("channel 2 volume"),
        setting("output mode"),
        setting("bass"),
        setting("firmware", place="Router"),
        Difference("zones", "Hall", "dial", 40.0, 50.0),
    ]
    found = drifted(rows)

    def keys(zone: str) -> set[str]:
        return {each.difference.key.removeprefix("setting: ") for each in drifted_in(zone, found, feeds)}

    assert keys("Bar") == {"channel 1 volume", "output mode", "bass"}
    assert keys("Hall") == {"channel 2 volume", "output mode", "bass", "dial"}
    assert keys("Yard") == set()
    assert [each.difference.name for each in drifted_elsewhere(found, feeds)] == ["Router"]
