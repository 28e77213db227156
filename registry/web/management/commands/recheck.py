"""`manage.py recheck`: compute every stored verdict again."""

from typing import Any

from django.core.management.base import BaseCommand

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Zone
from registry.baselines.drift import refresh_drift


class Command(BaseCommand):
    """Verdicts are stored for lists; this computes them again, for example after an upgrade."""

    help = "Compute the stored verdicts of all lines and zones again."

    def handle(self, *args: Any, **options: Any) -> None:
        """Recompute, and say how many loads changed."""
        changed = refresh_verdicts(Line.objects.all())
        refresh_drift(Zone.objects.all())
        self.stdout.write(f"{changed} line verdicts changed.")
