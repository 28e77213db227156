"""Factories of people, clients, sites, spaces and racks."""

from factory.declarations import LazyAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory, Password

from registry.demo import words
from sites.models import Client, Membership, Rack, Role, Site, Space, User, YesNoUnknown


class UserFactory(DjangoModelFactory[User]):
    """A tech who can't sign in until `password=` is given."""

    class Meta:
        """Table."""

        model = User

    username = Sequence(lambda n: f"person-{n + 1}")
    email = LazyAttribute(lambda user: f"{user.username}@example.com")
    password = Password(None)
    role = Role.TECH


class ClientFactory(DjangoModelFactory[Client]):
    """A shop named after its street."""

    class Meta:
        """Table."""

        model = Client

    name = Sequence(lambda n: f"{words.STREETS[n // 10 % 10]} {words.word(words.TRADES, n % 10 + n // 100 * 10)}")
    contact = "Manager on duty"
    email = Sequence(lambda n: f"client-{n + 1}@example.com")
    phone = Sequence(lambda n: f"555-01{n % 100:02d}")


class MembershipFactory(DjangoModelFactory[Membership]):
    """An owner of a client."""

    class Meta:
        """Table."""

        model = Membership

    user = SubFactory(UserFactory, role=Role.OWNER)
    client = SubFactory(ClientFactory)


class SiteFactory(DjangoModelFactory[Site]):
    """A site without a voice alarm."""

    class Meta:
        """Table."""

        model = Site

    client = SubFactory(ClientFactory)
    code = Sequence(lambda n: f"site-{n + 1}")
    name = Sequence(lambda n: words.word(words.STREETS, n))
    address = Sequence(lambda n: f"{n + 1} {words.STREETS[n % 10]}, Exampleford")
    time_zone = "Europe/London"
    voice_alarm = YesNoUnknown.NO


class SpaceFactory(DjangoModelFactory[Space]):
    """A room of ordinary height."""

    class Meta:
        """Table."""

        model = Space

    site = SubFactory(SiteFactory)
    name = Sequence(lambda n: words.word(words.SPACES, n))
    ceiling_m = 2.8
    listener_height_m = 1.6
    area_m2 = 60.0


class RackFactory(DjangoModelFactory[Rack]):
    """A wall rack with a UPS and a circuit of its own."""

    class Meta:
        """Table."""

        model = Rack

    site = SubFactory(SiteFactory)
    name = Sequence(lambda n: f"Rack {n + 1}")
    height_u = 12
    max_load_kg = 60.0
    circuit_v = 230.0
    circuit_a = 16.0
    ups_va = 1000.0
    ups_w = 700.0
    ups_wh = 160.0
