"""Places, and the items that fill them over time."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from registry.equipment.models.catalogue import Make, MakeModel
from sites.models import Rack, Site


class Face(models.TextChoices):
    """The side of a rack on which an item is mounted."""

    FRONT = "front", "Front"
    REAR = "rear", "Rear"


class Place(models.Model):
    """Where an item does its work: settings, lines, levels and baselines belong to it."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="places")
    name = models.CharField("place", max_length=80)
    rack = models.ForeignKey(Rack, models.PROTECT, null=True, blank=True, related_name="places")
    position_u = models.PositiveSmallIntegerField("lowest rack unit", null=True, blank=True)
    face = models.CharField(max_length=5, choices=Face, default=Face.FRONT)
    ip = models.GenericIPAddressField("IP address", null=True, blank=True)
    hostname = models.CharField(max_length=120, blank=True)
    switch = models.CharField(max_length=80, blank=True)
    port = models.CharField(max_length=40, blank=True)
    history = HistoricalRecords()

    class Meta:
        """One of each name in a site; a position needs a rack."""

        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["site", "name"], name="place_name_once_per_site"),
            models.CheckConstraint(
                condition=Q(position_u__isnull=True) | Q(rack__isnull=False, position_u__gte=1),
                name="place_position_needs_rack",
            ),
            models.CheckConstraint(condition=Q(face__in=Face.values), name="place_face_known"),
        ]
        indexes = [models.Index(fields=["name", "id"], name="place_by_name")]

    def __str__(self) -> str:
        return self.name


class OccupiedUnit(models.Model):
    """One rack unit taken on one face: the table in which two items can't collide."""

    rack = models.ForeignKey(Rack, models.CASCADE, related_name="occupied_units")
    unit = models.PositiveSmallIntegerField()
    face = models.CharField(max_length=5, choices=Face)
    place = models.ForeignKey(Place, models.CASCADE, related_name="occupied_units")

    class Meta:
        """One place per unit and face."""

        constraints = [models.UniqueConstraint(fields=["rack", "unit", "face"], name="one_place_per_unit_and_face")]

    def __str__(self) -> str:
        return f"{self.rack} U{self.unit} {self.face}"


class Status(models.TextChoices):
    """The state of an item."""

    IN_SERVICE = "in service", "In service"
    SPARE = "spare", "Spare"
    FAULTY = "faulty", "Faulty"
    REMOVED = "removed", "Removed"


class Item(models.Model):
    """One physical piece of equipment. `make` repeats the model's, so that the database can hold serials unique."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="items")
    tag = models.CharField(max_length=60)
    make = models.ForeignKey(Make, models.PROTECT, related_name="items")
    make_model = models.ForeignKey(MakeModel, models.PROTECT, related_name="items")
    serial = models.CharField(max_length=80, blank=True)
    mac = models.CharField(
        "MAC address",
        max_length=17,
        blank=True,
        validators=[
            RegexValidator("^([0-9a-f]{2}:){5}[0-9a-f]{2}$", "six pairs of hex digits, for example 02:00:5e:10:00:01")
        ],
    )
    warranty_until = models.DateField(null=True, blank=True)
    status = models.CharField(max_length=10, choices=Status, default=Status.IN_SERVICE)
    history = HistoricalRecords()
    edited_with = ("placements",)

    class Meta:
        """Tags are unique in a site, serials within a make."""

        ordering = ["tag"]
        constraints = [
            models.UniqueConstraint(fields=["site", "tag"], name="item_tag_once_per_site"),
            models.UniqueConstraint(
                fields=["make", "serial"], condition=~Q(serial=""), name="item_serial_once_per_make"
            ),
            models.CheckConstraint(condition=Q(status__in=Status.values), name="item_status_known"),
        ]
        indexes = [
            models.Index(fields=["tag", "id"], name="item_by_tag"),
            models.Index(fields=["status"], name="item_by_status"),
            models.Index(fields=["mac"], name="item_by_mac"),
            models.Index(fields=["warranty_until", "status"], name="item_by_warranty"),
        ]

    def __str__(self) -> str:
        return self.tag


class Placement(models.Model):
    """An item filling a place from one day to another; `current` while it does."""

    place = models.ForeignKey(Place, models.CASCADE, related_name="placements")
    item = models.ForeignKey(Item, models.CASCADE, related_name="placements")
    installed_on = models.DateField(null=True, blank=True)
    removed_on = models.DateField(null=True, blank=True)
    current = models.BooleanField(default=True)
    history = HistoricalRecords()

    class Meta:
        """No item in two places, no place with two items, dates in order."""

        ordering = ["-current", "-installed_on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["item"], condition=Q(current=True), name="item_in_one_place"),
            models.UniqueConstraint(fields=["place"], condition=Q(current=True), name="place_with_one_item"),
            models.CheckConstraint(
                condition=Q(installed_on__isnull=True)
                | Q(removed_on__isnull=True)
                | Q(removed_on__gte=F("installed_on")),
                name="placement_dates_in_order",
            ),
            models.CheckConstraint(
                condition=Q(current=False) | Q(removed_on__isnull=True), name="current_placement_not_removed"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} in {self.place}"

    def in_set(self) -> str:
        """Return the placement as one of its item's."""
        if not self.current:
            return f"{self.place} until {self.removed_on or 'a day not known'}"
        return f"{self.place} since {self.installed_on or 'a day not known'}"
