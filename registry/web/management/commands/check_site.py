"""`manage.py check_site SITE [--json] [--strict]`."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from registry.equipment.address_checks import addresses_twice
from registry.equipment.site_network import network_of
from registry.exchange.checking import SiteCheck, check_site, failed
from sites.queries import site_by_code


class Command(BaseCommand):
    """Say whether every load of a site is safe, and every zone where its baseline has it."""

    help = "Check every line, rack and zone of a site. Exits 0 whatever the verdicts; --strict exits 1 on a fail."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the site's code and the form of the answer."""
        parser.add_argument("site", help="short code of the site")
        parser.add_argument("--json", action="store_true", help="answer in JSON")
        parser.add_argument("--strict", action="store_true", help="exit 1 when anything fails")

    def handle(self, *args: Any, site: str, **options: Any) -> None:
        """Check and say."""
        try:
            found = site_by_code(site)
            result = check_site(found)
        except ValueError as error:
            raise CommandError(str(error), returncode=2) from error
        if options["json"]:
            self.stdout.write(json.dumps(result, indent=2, ensure_ascii=False))
        else:
            self._say(result)
            for twice in addresses_twice(network_of(found)):
                self.stdout.write(f"addresses: warn. {twice.says}")
        if options["strict"] and failed(result):
            sys.exit(1)

    def _say(self, result: SiteCheck) -> None:
        parts = [("line", part) for part in result["lines"]] + [("rack", part) for part in result["racks"]]
        for what, part in parts:
            for check in part["checks"]:
                self.stdout.write(f"{what} {part[what]} · {check['code']}: {check['verdict']}. {check['says']}")
        for zone in result["zones"]:
            drift = "" if zone["drift_db"] is None else f" ({zone['drift_db']:+.1f} dB)"
            self.stdout.write(f"zone {zone['zone']}: {zone['verdict']}{drift}")
