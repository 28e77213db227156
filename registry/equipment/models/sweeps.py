"""What a scanner saw in a site's network: facts. The register's own addresses stay as they are recorded."""

from django.conf import settings
from django.db import models

from sites.facts import Fact
from sites.models import Site


class NetworkSweep(Fact):
    """One file of hosts that was accepted; the newest one of a site says which items are missing."""

    site = models.ForeignKey(Site, models.PROTECT, related_name="sweeps")
    swept_at = models.DateTimeField()
    source = models.CharField("file", max_length=200)
    sha256 = models.CharField("SHA-256 of the file", max_length=64)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """The newest first; the same file once per site."""

        ordering = ["-swept_at", "-pk"]
        constraints = [models.UniqueConstraint(fields=["site", "sha256"], name="sweep_file_once_per_site")]

    def __str__(self) -> str:
        return f"{self.source} of {self.swept_at:%Y-%m-%d %H:%M}"


class HostObservation(Fact):
    """One host as it was seen. Which item it is follows from the MAC address, so a corrected item finds its own."""

    logged = False

    sweep = models.ForeignKey(NetworkSweep, models.PROTECT, related_name="hosts")
    ip = models.GenericIPAddressField("IP address")
    mac = models.CharField("MAC address", max_length=17, blank=True)
    hostname = models.CharField("host name", max_length=253, blank=True)
    seen_at = models.DateTimeField()

    class Meta:
        """In the order of the file."""

        ordering = ["pk"]
        indexes = [models.Index(fields=["mac"], name="observation_mac")]

    def __str__(self) -> str:
        return f"{self.mac or 'no MAC'} at {self.ip}"
