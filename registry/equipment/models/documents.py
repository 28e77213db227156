"""Manuals, drawings and exported configuration of a site or a place, and where its secrets are kept (never they)."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from registry.equipment.models.places import Place
from sites.facts import Fact
from sites.models import Site
from sites.secret_scan import refuse_secret, refuse_secret_itself


class DocumentKind(models.TextChoices):
    """What a document is."""

    MANUAL = "manual", "Manual"
    DRAWING = "drawing", "Drawing"
    CONFIGURATION = "configuration", "Configuration"
    PHOTO = "photo", "Photo"
    OTHER = "other", "Other"


class Document(Fact):
    """One file as it was sent. A new version names the one that it replaces."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="documents")
    place = models.ForeignKey(Place, models.PROTECT, null=True, blank=True, related_name="documents")
    kind = models.CharField(max_length=13, choices=DocumentKind)
    title = models.CharField(max_length=120, validators=[refuse_secret])
    file = models.FileField(upload_to="documents", max_length=200)
    name = models.CharField("file name", max_length=120)
    size = models.PositiveBigIntegerField("size in bytes")
    sha256 = models.CharField("SHA-256", max_length=64)
    dated_on = models.DateField("dated", null=True, blank=True)
    for_owner = models.BooleanField("for the owner", default=False)
    looked_through = models.BooleanField("looked through for secrets by who sent it", default=False)
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    uploaded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="newer")

    class Meta:
        """By title, the newest first."""

        ordering = ["title", "-uploaded_at", "-pk"]
        constraints = [models.CheckConstraint(condition=Q(kind__in=DocumentKind.values), name="document_kind_known")]

    def __str__(self) -> str:
        return self.title


class Withdrawal(Fact):
    """Why a document is no longer shown; with `purged` its content was removed too. Row and hash stay."""

    document = models.ForeignKey(Document, models.PROTECT, related_name="withdrawals")
    reason = models.CharField(max_length=400, validators=[refuse_secret])
    purged = models.BooleanField(default=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Each once."""

        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["document", "purged"], name="withdrawn_once")]

    def __str__(self) -> str:
        return f"{self.document}: {self.reason}"


class SecretReference(models.Model):
    """Where a secret is kept and who may ask for it. Never the secret."""

    site = models.ForeignKey(Site, models.CASCADE, related_name="secret_references")
    opens = models.CharField("what it opens", max_length=120, validators=[refuse_secret_itself])
    kept_where = models.CharField("where it is kept", max_length=200, validators=[refuse_secret_itself])
    who_may_ask = models.CharField("who may ask for it", max_length=200, validators=[refuse_secret_itself])
    checked_on = models.DateField("checked on", null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        """One per thing that it opens."""

        ordering = ["opens"]
        constraints = [models.UniqueConstraint(fields=["site", "opens"], name="reference_once_per_site")]

    def __str__(self) -> str:
        return self.opens
