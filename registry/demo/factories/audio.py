"""Factories of zones, lines, loudspeakers and coils."""

from factory.declarations import SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from registry.audio.models import Coil, Line, LineKind, Loudspeaker, Zone
from registry.demo import words
from registry.demo.factories.equipment import FilledPlaceFactory, LoudspeakerModelFactory
from registry.demo.factories.places import SiteFactory
from sites.models import YesNoUnknown


class ZoneFactory(DjangoModelFactory[Zone]):
    """A zone with source and spot."""

    class Meta:
        """Table."""

        model = Zone

    site = SubFactory(SiteFactory)
    name = Sequence(lambda n: words.word(words.SPACES, n))
    source = "Stream 1"
    spot = Sequence(lambda n: f"P1 {words.SPOTS[n % len(words.SPOTS)]}")


class LineFactory(DjangoModelFactory[Line]):
    """A low-impedance line on an amplifier that is there, known not to serve life safety. It has no verdict yet."""

    class Meta:
        """Table."""

        model = Line

    site = SubFactory(SiteFactory)
    name = Sequence(lambda n: f"Line {n + 1}")
    amplifier = SubFactory(FilledPlaceFactory, site=SelfAttribute("..site"))
    channel = "1"
    life_safety = YesNoUnknown.NO
    kind = LineKind.LOW


class LoudspeakerFactory(DjangoModelFactory[Loudspeaker]):
    """An 8 Ω loudspeaker in a zone of the same site."""

    class Meta:
        """Table."""

        model = Loudspeaker

    site = SubFactory(SiteFactory)
    label = Sequence(lambda n: f"LS-{n + 1:03d}")
    make_model = SubFactory(LoudspeakerModelFactory)
    zone = SubFactory(ZoneFactory, site=SelfAttribute("..site"))


class CoilFactory(DjangoModelFactory[Coil]):
    """The only coil of a string of its own, in parallel with the other strings of its line."""

    class Meta:
        """Table."""

        model = Coil

    line = SubFactory(LineFactory)
    loudspeaker = SubFactory(LoudspeakerFactory, site=SelfAttribute("..line.site"))
    string = Sequence(lambda n: f"{n + 1}")
    order = 1
    plus = "red"
    minus = "black"
    cable = "1.5 mm2"
    cable_m = 10.0
