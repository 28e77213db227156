"""`manage.py remind [--days N] [--dry-run]`, for cron."""

from typing import Any

from django.conf import settings
from django.core.mail import send_mail
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.urls import reverse
from django.utils import timezone

from registry.visits.reminding import Letter, claim, give_back, letters

MOST_DAYS = 60


class Command(BaseCommand):
    """Send each tech one letter of what is overdue or comes, and managers what nobody has."""

    help = "Remind techs of their visits by e-mail: what is overdue, and what comes. At most one letter a day each."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take how far to look, and whether to send."""
        parser.add_argument("--days", type=int, default=1, help="look this many days ahead (1: until tomorrow)")
        parser.add_argument("--dry-run", action="store_true", help="print the letters, send and note nothing")

    def handle(self, *args: Any, days: int, dry_run: bool, **options: Any) -> None:
        """Write the letters and send those that nobody had today."""
        if not 0 <= days <= MOST_DAYS:
            raise CommandError(f"--days must be 0 to {MOST_DAYS}, got {days}", returncode=2)
        found = letters(timezone.localtime(), days=days)
        for letter in found if dry_run else ():
            self.stdout.write(f"To {letter.user.email}: {letter.subject}\n\n{_body(letter)}")
        if dry_run:
            self.stdout.write(f"{len(found)} letters; none was sent.")
            return
        outcomes = [self._send(letter) for letter in found]
        self.stdout.write(f"{outcomes.count(True)} sent, {outcomes.count(None)} had one today.")
        if False in outcomes:
            raise CommandError(f"{outcomes.count(False)} could not be sent: run it again", returncode=1)

    def _send(self, letter: Letter) -> bool | None:
        """Return whether a letter went out; None when this person had one today."""
        reminder = claim(letter)
        if reminder is None:
            return None
        try:
            send_mail(letter.subject, _body(letter), None, [letter.user.email])
        except OSError as error:
            give_back(reminder)
            self.stderr.write(f"{letter.user.email}: {error}")
            return False
        return True


def _body(letter: Letter) -> str:
    """Return the text with the page of all visits, where it is known under which name people reach the register."""
    origins = settings.CSRF_TRUSTED_ORIGINS
    return f"{letter.text}\nOpen them: {origins[0]}{reverse('visits')}\n" if origins else letter.text
