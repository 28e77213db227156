"""`manage.py demo [--serve [ADDRESS:PORT]]`."""

from typing import Any, Final

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from sites.models import Client, Site

ADDRESS: Final = "127.0.0.1:8000"


class Command(BaseCommand):
    """Fill an empty register with invented clients, print how to sign in, and serve it if asked."""

    help = "Load invented clients into an empty register, once, and print how to sign in. Only in debug mode."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the address to serve at."""
        parser.add_argument(
            "--serve",
            nargs="?",
            const=ADDRESS,
            metavar="ADDRESS:PORT",
            help=f"run the development server, at {ADDRESS} unless told otherwise",
        )

    def handle(self, *args: Any, serve: str | None, **options: Any) -> None:
        """Migrate, load, print, serve."""
        if not settings.DEBUG:
            says = "the demo prints passwords, so it runs only with EVENKEEL_DEBUG=true, never where real data are"
            raise CommandError(says, returncode=2)
        call_command("migrate", verbosity=0)
        self._load()
        self.stdout.write(f"Sign in at http://{serve or ADDRESS}/")
        if serve:
            # Without reloader: that would run this command, and renew the passwords, a second time.
            call_command("runserver", serve, use_reloader=False)
        else:
            self.stdout.write("once it is served: manage.py demo --serve")

    def _load(self) -> None:
        # Imported here: factory-boy belongs to the extra "demo", and other commands do without it.
        try:
            from registry.demo.loading import OtherDataError, load_demo
        except ModuleNotFoundError as error:
            raise CommandError(f"{error}: install the extra with pip install -e '.[demo]'", returncode=2) from error
        try:
            people, fresh = load_demo(today=timezone.localdate())
        except OtherDataError as error:
            raise CommandError(str(error), returncode=2) from error
        if fresh:
            self.stdout.write(f"Loaded {Site.objects.count()} sites of {Client.objects.count()} clients.")
        else:
            self.stdout.write("The demo is loaded already: nothing was changed but the passwords.")
        for person in people:
            self.stdout.write(f"  {person.username:8} {person.password}  ({person.role})")
