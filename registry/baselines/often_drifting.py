"""The ten settings that drift most in the field, in their order, and how far they stand from the newest baseline."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from registry.baselines.snapshot import SETTING, Difference

# Ranked by experience (common practice): a visit reads these ten first, in this order.
TEN_FIRST: Mapping[str, frozenset[str]] = {
    "volume": frozenset({"volume", "dial", "cap", "maximum", "level"}),
    "input": frozenset({"input", "source", "stream", "trim"}),
    "group": frozenset({"group", "grouping", "leader"}),
    "firmware": frozenset({"firmware"}),
    "connection": frozenset({"connection", "wired", "wireless", "wi-fi", "wifi"}),
    "address": frozenset({"address", "ip", "hostname", "subnet", "gateway"}),
    "tone": frozenset({"tone", "bass", "treble", "eq", "equaliser", "loudness", "high-pass"}),
    "account owner": frozenset({"account", "owner", "subscription"}),
    "wall control": frozenset({"wall"}),
    "router": frozenset({"router"}),
}
RANKS = {word: rank for rank, words in enumerate(TEN_FIRST.values()) for word in words}
LAST = len(TEN_FIRST)
WORDS = re.compile(r"[a-z]+(?:-[a-z]+)*")
CHANNEL = re.compile(r"\b(?:channel|output) ([^ ]+)")
# What the last reading says is in the level strip; it isn't a setting.
READ = frozenset({"level_db", "drive_v", "track"})


class Drifted(NamedTuple):
    """One setting that differs, and its rank among those that drift most (LAST for the others)."""

    rank: int
    difference: Difference

    @property
    def is_one_of_ten(self) -> bool:
        """Whether it is one of the ten that drift most."""
        return self.rank < LAST


def rank_of(difference: Difference) -> int:
    """Return the rank of a setting by the words of its key; a router's own settings rank as the router's.

    >>> rank_of(Difference("places", "Amplifier 1", "setting: channel 1 volume", "40 %", "55 %"))
    0
    """
    words = WORDS.findall(difference.key.removeprefix(SETTING).lower().replace("_", " "))
    if difference.subject == "places":
        words += [word for word in WORDS.findall(difference.name.lower()) if word in {"router", "wall"}]
    return min((RANKS[word] for word in words if word in RANKS), default=LAST)


def drifted(differences: Iterable[Difference]) -> list[Drifted]:
    """Return the settings that differ, the ten that drift most first and in their order."""
    found = [Drifted(rank_of(each), each) for each in differences if each.subject != "lines" and each.key not in READ]
    return sorted(found, key=lambda each: (each.rank, each.difference[:3]))


class Feed(NamedTuple):
    """One channel that feeds a zone: the amplifier's place, the channel, and whether its line may be changed."""

    zone: str
    place: str
    channel: str
    may_change: bool


def drifted_in(zone: str, found: Sequence[Drifted], feeds: Sequence[Feed]) -> list[Drifted]:
    """Return what differs at a zone and at the places that feed it; another channel's own settings are left out."""
    places = {feed.place for feed in feeds if feed.zone == zone}
    own = {(feed.place, feed.channel.lower()) for feed in feeds if feed.zone == zone}
    others = {(feed.place, feed.channel.lower()) for feed in feeds} - own
    return [each for each in found if _belongs(each.difference, zone, places, others)]


def _belongs(difference: Difference, zone: str, places: set[str], others: set[tuple[str, str]]) -> bool:
    if difference.subject == "zones":
        return difference.name == zone
    channel = CHANNEL.search(difference.key.lower())
    elsewhere = channel is not None and (difference.name, channel[1]) in others
    return difference.name in places and not elsewhere


def drifted_elsewhere(found: Sequence[Drifted], feeds: Sequence[Feed]) -> list[Drifted]:
    """Return what differs at places that feed no zone: routers, switches, endpoints without a line."""
    feeding = {feed.place for feed in feeds}
    return [each for each in found if each.difference.subject == "places" and each.difference.name not in feeding]
