"""What makers sell, with its ratings: shared by all clients."""

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from sites.fields import Quantity


class Kind(models.TextChoices):
    """What a model is."""

    AMPLIFIER = "amplifier", "Amplifier"
    ENDPOINT = "endpoint", "Endpoint"
    LOUDSPEAKER = "loudspeaker", "Loudspeaker"
    SWITCH = "switch", "Switch"
    UPS = "ups", "UPS"
    SOURCE = "source", "Source"
    OTHER = "other", "Other"


class Make(models.Model):
    """Who makes it."""

    name = models.CharField(max_length=80, unique=True)

    class Meta:
        """By name."""

        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class MakeModel(models.Model):
    """What a maker sells: the catalogue entry with its ratings."""

    make = models.ForeignKey(Make, models.PROTECT, related_name="models")
    name = models.CharField("model", max_length=80)
    kind = models.CharField(max_length=12, choices=Kind)
    rack_units = models.PositiveSmallIntegerField(null=True, blank=True)
    weight_kg = Quantity("weight", unit="kg")
    idle_w = Quantity("power when idle", unit="W")
    max_w = Quantity("greatest power", unit="W")
    poe_w = Quantity("power over Ethernet", unit="W", maximum=100.0)
    life_years = Quantity("useful life", unit="year", minimum=None, above=0.0, maximum=100.0)
    support_until = models.DateField("end of the maker's support", null=True, blank=True)
    price = models.DecimalField(
        max_digits=12, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    currency = models.CharField(
        max_length=3, blank=True, validators=[RegexValidator("^[A-Z]{3}$", "three capital letters, for example EUR")]
    )
    history = HistoricalRecords()
    edited_with = ("ratings", "loudspeaker")

    class Meta:
        """One of each name per make."""

        ordering = ["make__name", "name"]
        constraints = [
            models.UniqueConstraint(fields=["make", "name"], name="model_name_once_per_make"),
            models.CheckConstraint(condition=Q(kind__in=Kind.values), name="model_kind_known"),
            models.CheckConstraint(condition=Q(price__isnull=True) | Q(price__gte=0), name="model_price_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.make} {self.name}"


class Rating(models.Model):
    """One rated load of an amplifier: low-impedance (`load_ohm`) or constant-voltage (`line_v`)."""

    make_model = models.ForeignKey(MakeModel, models.CASCADE, related_name="ratings")
    channels = models.PositiveSmallIntegerField(null=True, blank=True)
    load_ohm = Quantity("rated load", unit="ohm", minimum=None, above=0.0)
    line_v = Quantity("line voltage", unit="V", minimum=None, above=0.0, maximum=200.0)
    power_w = Quantity("rated power", unit="W", minimum=None, above=0.0)
    min_load_ohm = Quantity("lowest allowed load", unit="ohm", minimum=None, above=0.0)
    history = HistoricalRecords()

    class Meta:
        """A row rates one load or one line voltage, each once per model."""

        ordering = ["load_ohm", "line_v"]
        constraints = [
            models.CheckConstraint(
                condition=Q(load_ohm__isnull=False, line_v__isnull=True)
                | Q(load_ohm__isnull=True, line_v__isnull=False),
                name="rating_load_or_line",
            ),
            models.UniqueConstraint(
                fields=["make_model", "load_ohm"], condition=Q(load_ohm__isnull=False), name="rating_load_once"
            ),
            models.UniqueConstraint(
                fields=["make_model", "line_v"], condition=Q(line_v__isnull=False), name="rating_line_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.power_w:g} W into {self._into()}"

    def in_set(self) -> str:
        """Return all of the rating, as one of its model's."""
        power = f"{self.power_w:g} W" if self.power_w is not None else "unknown power"
        lowest = f", {self.min_load_ohm:g} Ω or more" if self.min_load_ohm is not None else ""
        return f"{power} into {self._into()}{lowest}{f', {self.channels} channels' if self.channels else ''}"

    def _into(self) -> str:
        return f"{self.load_ohm:g} Ω" if self.load_ohm else f"{self.line_v:g} V line"


class LoudspeakerSpec(models.Model):
    """What the maker says of a loudspeaker."""

    make_model = models.OneToOneField(MakeModel, models.CASCADE, related_name="loudspeaker")
    impedance_ohm = Quantity("impedance of each coil", unit="ohm", minimum=None, above=0.0)
    min_impedance_ohm = Quantity("lowest impedance", unit="ohm", minimum=None, above=0.0)
    power_w = Quantity("rated power", unit="W", minimum=None, above=0.0)
    sensitivity_db = Quantity("sensitivity at 1 m", unit="dB", minimum=0.0, maximum=150.0)
    coverage_deg = Quantity("coverage angle", unit="degree", minimum=None, above=0.0, maximum=360.0)
    coils = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    taps_w = models.JSONField("transformer taps in watts", default=list, blank=True)
    insertion_loss_db = Quantity("transformer insertion loss", unit="dB", maximum=20.0)
    history = HistoricalRecords()

    def __str__(self) -> str:
        return str(self.make_model)
