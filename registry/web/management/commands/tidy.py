"""`manage.py tidy`: for a timer, once a day."""

from typing import Any

from axes.models import AccessAttempt
from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from registry.backups.media import sweep_unclaimed_files
from registry.web.exchange.waiting import forget_old_uploads
from sites.receipts import forget_old_receipts
from sites.sign_ins import forget_expired_sign_ins


class Command(BaseCommand):
    """Delete what has run out: sign-ins, wrong passwords, receipts, uploads never confirmed, files without a row."""

    help = "Delete sign-ins, wrong passwords, receipts, uploads and stray files that have run out, nothing recorded."

    def handle(self, *args: Any, **options: Any) -> None:
        """Delete and count."""
        # The throttle's own clean-up needs a request; it runs at every wrong password, this when there are none.
        counts = AccessAttempt.objects.filter(attempt_time__lt=timezone.now() - settings.AXES_COOLOFF_TIME)
        self.stdout.write(f"Sign-ins: {forget_expired_sign_ins()}")
        self.stdout.write(f"Counts of wrong passwords: {counts.delete()[0]}")
        self.stdout.write(f"Receipts: {forget_old_receipts()}")
        self.stdout.write(f"Uploads never confirmed: {forget_old_uploads()}")
        self.stdout.write(f"Files that no row names: {sweep_unclaimed_files()}")
