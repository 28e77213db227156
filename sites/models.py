"""People, clients, sites, spaces and racks."""

import zoneinfo
from functools import cache

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from sites.fields import Quantity


class Role(models.TextChoices):
    """What a person may do: managers and techs see every site, an owner sees their own and writes nothing.

    What another program may do says its token.
    """

    MANAGER = "manager", "Manager"
    TECH = "tech", "Tech"
    OWNER = "owner", "Client owner"
    PROGRAM = "program", "Another program"


class User(AbstractUser):
    """A person who signs in."""

    role = models.CharField(max_length=10, choices=Role, default=Role.OWNER)

    class Meta(AbstractUser.Meta):
        """A role outside the list never reaches the table."""

        constraints = [models.CheckConstraint(condition=Q(role__in=Role.values), name="user_role_known")]

    @property
    def may_write(self) -> bool:
        """Whether this person may change the register."""
        if self.role == Role.PROGRAM:
            return self.is_active and self.token.may_write
        return self.is_active and self.role in {Role.MANAGER, Role.TECH}

    @property
    def sees_every_client(self) -> bool:
        """Whether this person's view ends at no client: others see those that they are members of."""
        if self.role == Role.PROGRAM:
            return self.is_active and self.token.every_client
        return self.is_active and self.role in {Role.MANAGER, Role.TECH}

    @property
    def manages_people(self) -> bool:
        """Whether this person may invite people, change their roles and end their sign-ins."""
        return self.is_active and (self.role == Role.MANAGER or self.is_superuser)

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Client(models.Model):
    """The business that pays."""

    name = models.CharField(max_length=120, unique=True)
    contact = models.CharField(max_length=200, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=60, blank=True)
    history = HistoricalRecords()

    class Meta:
        """By name."""

        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    """Which client an owner belongs to."""

    user = models.ForeignKey(User, models.CASCADE, related_name="memberships")
    client = models.ForeignKey(Client, models.CASCADE, related_name="memberships")

    class Meta:
        """Once each."""

        constraints = [models.UniqueConstraint(fields=["user", "client"], name="membership_once")]

    def __str__(self) -> str:
        return f"{self.user} at {self.client}"


class YesNoUnknown(models.TextChoices):
    """Unknown is a value like any other; where it touches life safety it counts as yes."""

    YES = "yes", "Yes"
    NO = "no", "No"
    UNKNOWN = "unknown", "Unknown"


class Units(models.TextChoices):
    """The system in which quantities are shown."""

    METRIC = "metric", "Metric"
    US = "us", "US customary"


@cache
def time_zones() -> frozenset[str]:
    """Return the names of the IANA time zones on this machine."""
    return frozenset(zoneinfo.available_timezones())


def validate_time_zone(name: str) -> None:
    """Refuse what is not an IANA time zone."""
    if name not in time_zones():
        raise ValidationError(f"{name!r} is not an IANA time zone: write one such as Europe/London or America/Chicago")


class Site(models.Model):
    """One address of a client."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="sites")
    code = models.SlugField("short code", max_length=40, unique=True, help_text="Letters, digits, - and _.")
    name = models.CharField(max_length=120)
    address = models.TextField(max_length=400, blank=True)
    time_zone = models.CharField(max_length=60, validators=[validate_time_zone])
    units = models.CharField(max_length=6, choices=Units, default=Units.METRIC)
    access_notes = models.TextField(
        max_length=2000, blank=True, help_text="How to get in and who holds the keys. Never a code or a password."
    )
    voice_alarm = models.CharField(max_length=7, choices=YesNoUnknown, default=YesNoUnknown.UNKNOWN)
    history = HistoricalRecords()

    class Meta:
        """By name; choices are held by the database too."""

        ordering = ["name", "code"]
        constraints = [
            models.CheckConstraint(condition=Q(units__in=Units.values), name="site_units_known"),
            models.CheckConstraint(condition=Q(voice_alarm__in=YesNoUnknown.values), name="site_voice_alarm_known"),
        ]
        indexes = [models.Index(fields=["name", "code"], name="site_by_name")]

    def __str__(self) -> str:
        return self.name

    @property
    def zone_info(self) -> zoneinfo.ZoneInfo:
        """The site's time zone."""
        return zoneinfo.ZoneInfo(self.time_zone)


class Space(models.Model):
    """A room or outdoor area of a site."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="spaces")
    name = models.CharField(max_length=80)
    ceiling_m = Quantity("ceiling height", unit="m", minimum=None, above=0.0, maximum=100.0)
    listener_height_m = Quantity("listener height", unit="m", minimum=None, above=0.0, maximum=100.0)
    area_m2 = Quantity("area", unit="m2", minimum=None, above=0.0)
    use = models.CharField(max_length=80, blank=True)
    notes = models.TextField(max_length=2000, blank=True)
    history = HistoricalRecords()

    class Meta:
        """One of each name in a site."""

        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["site", "name"], name="space_name_once_per_site")]
        indexes = [models.Index(fields=["name", "id"], name="space_by_name")]

    def __str__(self) -> str:
        return self.name


class Rack(models.Model):
    """An IEC 60297 enclosure with its limits: units, weight, circuit and UPS."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="racks")
    name = models.CharField(max_length=80)
    space = models.ForeignKey(Space, models.PROTECT, null=True, blank=True, related_name="racks")
    height_u = models.PositiveSmallIntegerField(
        "height in rack units", validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    max_load_kg = Quantity("greatest load", unit="kg", minimum=None, above=0.0)
    circuit_v = Quantity("mains circuit voltage", unit="V", minimum=None, above=0.0, maximum=1000.0)
    circuit_a = Quantity("mains circuit breaker", unit="A", minimum=None, above=0.0, maximum=1000.0)
    ups_va = Quantity("UPS apparent power", unit="VA", minimum=None, above=0.0)
    ups_w = Quantity("UPS power", unit="W", minimum=None, above=0.0)
    ups_wh = Quantity("UPS energy", unit="Wh", minimum=None, above=0.0)
    history = HistoricalRecords()

    class Meta:
        """One of each name in a site."""

        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["site", "name"], name="rack_name_once_per_site"),
            models.CheckConstraint(condition=Q(height_u__gte=1, height_u__lte=60), name="rack_height_1_to_60"),
        ]
        indexes = [models.Index(fields=["name", "id"], name="rack_by_name")]

    def __str__(self) -> str:
        return self.name


class Receipt(models.Model):
    """What was answered to a request that named itself, so that sending it again does nothing twice."""

    user = models.ForeignKey(User, models.CASCADE, related_name="+")
    key = models.CharField(max_length=100)
    digest = models.CharField("SHA-256 of what was sent", max_length=64)
    answer = models.JSONField(null=True)
    received_at = models.DateTimeField(auto_now_add=True, db_index=True)

    class Meta:
        """One per person and key: the database decides between two that arrive at once."""

        constraints = [models.UniqueConstraint(fields=["user", "key"], name="receipt_once")]

    def __str__(self) -> str:
        return f"{self.key} from {self.user}"


from sites.history_models import Deed, HistoryEntry  # noqa: E402
from sites.sign_in_models import AccountEvent, Happening, RecoveryCode, RecoverySheet, SignIn  # noqa: E402
from sites.token_models import IntegrationToken  # noqa: E402

__all__ = [
    "AccountEvent",
    "Client",
    "Deed",
    "Happening",
    "HistoryEntry",
    "IntegrationToken",
    "Membership",
    "Rack",
    "Receipt",
    "RecoveryCode",
    "RecoverySheet",
    "Role",
    "SignIn",
    "Site",
    "Space",
    "Units",
    "User",
    "YesNoUnknown",
    "time_zones",
    "validate_time_zone",
]
