"""Commissioning: one run through a site's lines, zones and amplifiers, until it is frozen and handed over."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.audio.models import Line, Verdict, Zone
from registry.baselines.models import Baseline, MeterClass, Reading
from registry.equipment.models import ConfigurationRecord
from sites.facts import Fact
from sites.fields import Quantity
from sites.models import Site
from sites.secret_scan import refuse_secret

SHA256 = RegexValidator("^[0-9a-f]{64}$", "64 hexadecimal digits, as a SHA-256 program prints them")


class Commissioning(models.Model):
    """One run. Once its baseline is frozen only the hand-over is left; `exceptions` is what was accepted as missing."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="commissionings")
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    started_at = models.DateTimeField()
    track_name = models.CharField("reference track", max_length=120, blank=True)
    track_sha256 = models.CharField("SHA-256 of the file", max_length=64, blank=True, validators=[SHA256])
    track_level_dbfs = Quantity("level re full scale", unit="dB", minimum=-120.0, maximum=0.0)
    baseline = models.OneToOneField(
        Baseline, models.PROTECT, null=True, blank=True, related_name="commissioning", editable=False
    )
    signature = models.CharField(max_length=120, blank=True)
    exceptions = models.JSONField(default=list, blank=True)
    handed_to = models.CharField(max_length=200, blank=True, validators=[refuse_secret])
    training = models.TextField(max_length=2000, blank=True, validators=[refuse_secret])
    stopped_because = models.TextField(max_length=1000, blank=True, validators=[refuse_secret])
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    history = HistoricalRecords()

    class Meta:
        """One open run per site, so that two techs, or two devices, see the same steps."""

        ordering = ["-started_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["site"], condition=Q(closed_at__isnull=True), name="one_open_commissioning"
            ),
            models.CheckConstraint(
                condition=Q(baseline__isnull=True, signature="") | (Q(baseline__isnull=False) & ~Q(signature="")),
                name="commissioning_frozen_with_a_name",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, handed_to="", stopped_because="")
                | (Q(closed_at__isnull=False, stopped_because="") & ~Q(handed_to=""))
                | (Q(closed_at__isnull=False, handed_to="") & ~Q(stopped_because="")),
                name="commissioning_handed_over_or_stopped",
            ),
            models.CheckConstraint(
                condition=Q(handed_to="") | Q(baseline__isnull=False), name="commissioning_frozen_before_hand_over"
            ),
        ]

    def __str__(self) -> str:
        return f"Commissioning of {self.site}"

    @property
    def is_open(self) -> bool:
        """Whether it is neither handed over nor stopped."""
        return self.closed_at is None

    @property
    def is_working(self) -> bool:
        """Whether its steps can still be recorded."""
        return self.is_open and self.baseline_id is None


class Polarity(models.TextChoices):
    """What a polarity test of a line gave."""

    OK = "ok", "Correct at every loudspeaker"
    REVERSED = "reversed", "Reversed at some"
    NOT_TESTED = "not tested", "Not tested"


class LineMeasurement(Fact):
    """What was measured at a line's terminals, or its polarity, with what was computed and said then."""

    line = models.ForeignKey(Line, models.PROTECT, related_name="measurements")
    taken_at = models.DateTimeField()
    impedance_ohm = Quantity("impedance", unit="ohm", maximum=1e6)
    is_open = models.BooleanField("no continuity", default=False)
    frequency_hz = Quantity("test frequency", unit="Hz", maximum=100000.0)
    computed_ohm = Quantity("computed impedance", unit="ohm", maximum=1e6)
    verdict = models.CharField(max_length=7, choices=Verdict, default=Verdict.UNKNOWN)
    says = models.TextField(blank=True)
    polarity = models.CharField(max_length=10, choices=Polarity, blank=True)
    polarity_note = models.CharField("which loudspeakers", max_length=400, blank=True, validators=[refuse_secret])
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="correction")

    class Meta:
        """An impedance has a test frequency; a row says an impedance, an open line or a polarity."""

        ordering = ["-taken_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(is_open=False) | Q(impedance_ohm__isnull=True), name="measurement_open_has_no_value"
            ),
            models.CheckConstraint(
                condition=Q(impedance_ohm__isnull=True, is_open=False) | Q(frequency_hz__isnull=False),
                name="measurement_has_a_frequency",
            ),
            models.CheckConstraint(
                condition=Q(impedance_ohm__isnull=False) | Q(is_open=True) | ~Q(polarity=""),
                name="measurement_says_something",
            ),
            models.CheckConstraint(
                condition=Q(polarity="") | Q(polarity__in=Polarity.values), name="measurement_polarity_known"
            ),
            models.CheckConstraint(condition=Q(verdict__in=Verdict.values), name="measurement_verdict_known"),
        ]
        indexes = [models.Index(fields=["line", "-taken_at"], name="measurement_newest_per_line")]

    def __str__(self) -> str:
        what = "open" if self.is_open else f"{self.impedance_ohm:g} Ω" if self.impedance_ohm is not None else ""
        return f"{self.line} {what or self.polarity} {self.taken_at:%Y-%m-%d %H:%M}"


class Trial(Fact):
    """A level read while a zone was being matched. The accepted one becomes the zone's reading as left."""

    commissioning = models.ForeignKey(Commissioning, models.PROTECT, related_name="trials")
    zone = models.ForeignKey(Zone, models.PROTECT, related_name="trials")
    taken_at = models.DateTimeField()
    dial = Quantity("dial", unit="%", maximum=100.0, null=False, blank=False)
    cap = Quantity("cap", unit="%", minimum=None, above=0.0, maximum=100.0, null=False, blank=False)
    level_db = Quantity("level", unit="dB(A)", minimum=0.0, maximum=150.0, null=False, blank=False)
    background_db = Quantity("background level", unit="dB(A)", minimum=0.0, maximum=150.0)
    drive_v = Quantity("drive at the terminals", unit="V", minimum=None, above=0.0, maximum=300.0)
    spot = models.CharField(max_length=120, blank=True)
    meter = models.CharField(max_length=80, blank=True)
    meter_class = models.CharField(max_length=5, choices=MeterClass, blank=True)
    track = models.CharField(max_length=120, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        """In the order in which they were read."""

        ordering = ["taken_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(meter_class="") | Q(meter_class__in=MeterClass.values), name="trial_meter_class_known"
            )
        ]

    def __str__(self) -> str:
        return f"{self.zone} {self.level_db:g} dB at dial {self.dial:g} %, cap {self.cap:g} %"


class ZoneTarget(models.Model):
    """The level that a zone is matched to, without background."""

    commissioning = models.ForeignKey(Commissioning, models.CASCADE, related_name="targets")
    zone = models.ForeignKey(Zone, models.PROTECT, related_name="targets")
    wanted_db = Quantity("wanted level", unit="dB(A)", minimum=0.0, maximum=150.0, null=False, blank=False)
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        """One per zone and run."""

        constraints = [models.UniqueConstraint(fields=["commissioning", "zone"], name="zone_target_once")]

    def __str__(self) -> str:
        return f"{self.zone} {self.wanted_db:g} dB"


class CommissioningStep(models.Model):
    """The answer to one step: done, with the fact that it left behind, or why it could not be done."""

    commissioning = models.ForeignKey(Commissioning, models.CASCADE, related_name="steps")
    key = models.CharField(max_length=80)
    done = models.BooleanField(default=False)
    could_not = models.CharField(max_length=400, blank=True, validators=[refuse_secret])
    measurement = models.ForeignKey(LineMeasurement, models.PROTECT, null=True, blank=True, related_name="+")
    reading = models.ForeignKey(Reading, models.PROTECT, null=True, blank=True, related_name="+")
    record = models.ForeignKey(ConfigurationRecord, models.PROTECT, null=True, blank=True, related_name="+")
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    history = HistoricalRecords()

    class Meta:
        """One row per step; a step is not both done and impossible."""

        ordering = ["changed_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["commissioning", "key"], name="commissioning_step_once"),
            models.CheckConstraint(condition=Q(done=False) | Q(could_not=""), name="commissioning_step_done_or_not"),
        ]

    def __str__(self) -> str:
        return f"{self.key}: {'done' if self.done else self.could_not or 'open'}"

    @property
    def is_answered(self) -> bool:
        """Whether it is done, or somebody said why not."""
        return self.done or bool(self.could_not)

    @property
    def version(self) -> str:
        """What tells one answer from a later one, for two techs or a form that was sent twice."""
        return self.changed_at.isoformat()


class SpotPhoto(models.Model):
    """A photo of the spot where a zone is read, kept outside the static files. It can be removed again."""

    zone = models.ForeignKey(Zone, models.PROTECT, related_name="spot_photos")
    image = models.FileField(upload_to="spots")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    spot = models.CharField(max_length=120, blank=True)
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    history = HistoricalRecords(excluded_fields=["image"])

    class Meta:
        """The newest first."""

        ordering = ["-taken_at", "-pk"]

    def __str__(self) -> str:
        return f"Photo of {self.spot or 'the spot'} in {self.zone}"
