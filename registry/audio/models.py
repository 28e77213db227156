"""Zones (acoustic), lines (electrical), and the loudspeakers whose coils hang on them."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from simple_history.models import HistoricalRecords

from registry.equipment.models import MakeModel, Place
from sites.fields import Quantity
from sites.models import Site, Space, YesNoUnknown

DEFAULT_POSITION_PERCENT = 50.0  # common practice: the middle of the travel is easy to remember
TOLERANCE_DB = 2.0  # common practice; a change of 3 dB is easily noticed by most listeners
# Unknown ones last, in words that both databases take for a query and for its index.
LARGEST_DRIFT_FIRST = Coalesce("drift_db", models.Value(-1000.0)).desc()


class Verdict(models.TextChoices):
    """What a check says."""

    PASS = "pass", "Pass"
    WARN = "warn", "Warning"
    FAIL = "fail", "Fail"
    UNKNOWN = "unknown", "Unknown"


class Drift(models.TextChoices):
    """How a zone's last reading stands against its baseline."""

    WITHIN = "within", "Within tolerance"
    OUT = "out", "Out of tolerance"
    UNDECIDED = "undecided", "Undecided"
    NOT_MEASURED = "not measured", "Not measured"
    NO_BASELINE = "no baseline", "No baseline"


class Zone(models.Model):
    """Loudspeakers meant to have the same programme and level. Its drift is derived, and stored for lists."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="zones")
    name = models.CharField(max_length=80)
    space = models.ForeignKey(Space, models.PROTECT, null=True, blank=True, related_name="zones")
    source = models.CharField(max_length=120, blank=True)
    spot = models.CharField(max_length=120, blank=True)
    default_position = Quantity("default position", unit="%", maximum=100.0, default=DEFAULT_POSITION_PERCENT)
    tolerance_db = Quantity("tolerance", unit="dB", minimum=None, above=0.0, maximum=20.0, default=TOLERANCE_DB)
    drift = models.CharField(max_length=12, choices=Drift, default=Drift.NO_BASELINE, editable=False)
    drift_db = models.FloatField(null=True, editable=False)
    history = HistoricalRecords(excluded_fields=["drift", "drift_db"])

    class Meta:
        """One of each name in a site."""

        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["site", "name"], name="zone_name_once_per_site"),
            models.CheckConstraint(condition=Q(drift__in=Drift.values), name="zone_drift_known"),
        ]
        indexes = [
            models.Index(fields=["name", "id"], name="zone_by_name"),
            models.Index(fields=["drift", "name", "id"], name="zone_by_drift"),
            models.Index(fields=["site", "drift", "drift_db"], name="zone_drift_per_site"),
            models.Index(LARGEST_DRIFT_FIRST, "id", name="zone_by_largest_drift"),
        ]

    def __str__(self) -> str:
        return self.name


class LineKind(models.TextChoices):
    """Low impedance, or the nominal voltage of a constant-voltage line."""

    LOW = "low", "Low impedance"
    V25 = "25", "25 V line"
    V70 = "70.7", "70.7 V line"
    V100 = "100", "100 V line"


class Line(models.Model):
    """Everything wired to one channel. Its verdict is derived, and stored for lists."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="lines")
    name = models.CharField("line", max_length=80)
    amplifier = models.ForeignKey(Place, models.PROTECT, related_name="lines")
    channel = models.CharField(max_length=20)
    life_safety = models.CharField(
        "life-safety related", max_length=7, choices=YesNoUnknown, default=YesNoUnknown.UNKNOWN
    )
    kind = models.CharField(max_length=4, choices=LineKind)
    verdict = models.CharField(max_length=7, choices=Verdict, default=Verdict.UNKNOWN, editable=False)
    says = models.TextField(blank=True, editable=False)
    history = HistoricalRecords(excluded_fields=["verdict", "says"])

    class Meta:
        """One of each name in a site, one line per channel."""

        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["site", "name"], name="line_name_once_per_site"),
            models.UniqueConstraint(fields=["amplifier", "channel"], name="one_line_per_channel"),
            models.CheckConstraint(condition=Q(kind__in=LineKind.values), name="line_kind_known"),
            models.CheckConstraint(condition=Q(life_safety__in=YesNoUnknown.values), name="line_life_safety_known"),
            models.CheckConstraint(condition=Q(verdict__in=Verdict.values), name="line_verdict_known"),
        ]
        indexes = [
            models.Index(fields=["name", "id"], name="line_by_name"),
            models.Index(fields=["verdict", "name", "id"], name="line_by_verdict"),
            models.Index(fields=["site", "verdict"], name="line_verdict_per_site"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def may_change(self) -> bool:
        """Whether this tool may offer a change: only where life safety is known not to be touched."""
        return self.life_safety == YesNoUnknown.NO


class Loudspeaker(models.Model):
    """A driver or cabinet, known by its label."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="loudspeakers")
    label = models.CharField(max_length=60)
    make_model = models.ForeignKey(MakeModel, models.PROTECT, null=True, blank=True, related_name="loudspeakers")
    zone = models.ForeignKey(Zone, models.PROTECT, related_name="loudspeakers")
    history = HistoricalRecords()

    class Meta:
        """One of each label in a site."""

        ordering = ["label"]
        constraints = [models.UniqueConstraint(fields=["site", "label"], name="loudspeaker_label_once_per_site")]
        indexes = [models.Index(fields=["label", "id"], name="loudspeaker_by_label")]

    def __str__(self) -> str:
        return self.label


class Coil(models.Model):
    """One electrical input of a loudspeaker, connected to a line, with the piece of cable that feeds it."""

    loudspeaker = models.ForeignKey(Loudspeaker, models.CASCADE, related_name="coils")
    coil = models.CharField(max_length=12, default="1")
    line = models.ForeignKey(Line, models.CASCADE, related_name="coils")
    string = models.CharField(max_length=40)
    order = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    tap_w = Quantity("transformer tap", unit="W", minimum=None, above=0.0)
    plus = models.CharField(max_length=40, blank=True)
    minus = models.CharField(max_length=40, blank=True)
    cable = models.CharField(max_length=20, blank=True)
    cable_m = Quantity("cable length, one way", unit="m", maximum=10000.0)
    history = HistoricalRecords()

    class Meta:
        """No coil on two lines."""

        ordering = ["string", "order"]
        constraints = [
            models.UniqueConstraint(fields=["loudspeaker", "coil"], name="coil_on_one_line"),
            models.CheckConstraint(condition=Q(order__gte=1), name="coil_order_from_1"),
        ]

    def __str__(self) -> str:
        return f"{self.loudspeaker} coil {self.coil}"
