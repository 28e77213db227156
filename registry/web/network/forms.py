"""The form that takes a scanner's file of hosts."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from registry.equipment.sweeps import swept_at
from registry.exchange.network_sweep import MOST_BYTES, ReadSweep, SweepProblem, SweepRefusedError, read_sweep
from registry.web.fields import SiteTimeField
from sites.models import Site


class SweepForm(forms.Form):
    """Which file, and when the sweep was made where the file doesn't say; it is read at once."""

    file = forms.FileField(
        label="File of hosts",
        help_text="CSV or JSON of any scanner, one row a host. You see what it says before anything is recorded.",
        widget=forms.ClearableFileInput({"accept": ".csv,.json,.txt"}),
    )

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.site, self.problems = site, list[SweepProblem]()
        self.read: ReadSweep | None = None
        self.content = b""
        says = f"Only where the file doesn't say it. Clock time at the site ({site.zone_info.key})."
        self.fields["at"] = SiteTimeField(zone=site.zone_info, label="Swept at", required=False, help_text=says)

    def clean(self) -> dict[str, Any]:
        """Read the file; its faults stand below the form."""
        cleaned: dict[str, Any] = super().clean() or {}
        sent: UploadedFile[bytes] | None = cleaned.get("file")
        if sent is None or "at" in self.errors:
            return cleaned
        self.content = sent.read(MOST_BYTES + 1)
        try:
            self.read = read_sweep(str(sent.name), self.content, site=self.site, at=cleaned.get("at"))
            swept_at(self.read.hosts)
        except SweepRefusedError as refused:
            self.problems = refused.problems
            self.add_error("file", "This file can't be read yet: see below. Nothing was recorded.")
        except ValueError as refused:
            self.add_error("file", str(refused))
        return cleaned
