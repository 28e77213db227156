"""`manage.py import_sweep SITE FILE [--at TIME] [--dry-run]`."""

from datetime import datetime
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from registry.equipment.site_network import network_of
from registry.equipment.sweep_queries import sweep_against_register
from registry.equipment.sweeps import record_sweep, swept_at
from registry.exchange.columns import iso_moment
from registry.exchange.network_sweep import ReadSweep, read_sweep
from registry.web.network.network_page import sweep_sentence
from sites.clock import local_moment
from sites.models import Site
from sites.queries import site_by_code


class Command(BaseCommand):
    """Record what a network scanner saw at a site; no recorded address changes."""

    help = "Import a scanner's file of hosts (CSV or JSON). All of it or nothing; the same file twice changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the site, the file, and when it was swept where the file doesn't say."""
        parser.add_argument("site", help="short code of the site")
        parser.add_argument("file", type=Path, help="CSV or JSON file of hosts")
        parser.add_argument("--at", type=str, default="", help="when it was swept, at the site: 2026-11-12T10:30")
        parser.add_argument("--dry-run", action="store_true", help="say what the sweep says, and record nothing")

    def handle(self, *args: Any, site: str, file: Path, dry_run: bool, **options: Any) -> None:
        """Read, say, record."""
        try:
            found = site_by_code(site)
            read = read_sweep(file.name, file.read_bytes(), site=found, at=_moment(options["at"], found))
            swept_at(read.hosts)
        except (ValueError, OSError) as error:
            raise CommandError(str(error), returncode=2) from error
        self._say(found, read)
        if dry_run:
            self.stdout.write("Nothing was recorded.")
            return
        swept = record_sweep(by=None, site=found, source=read.source, sha256=read.sha256, hosts=read.hosts)
        again = "This very file was accepted before: nothing changed."
        self.stdout.write(again if swept.again else f"{len(read.hosts)} hosts are recorded as seen.")

    def _say(self, site: Site, read: ReadSweep) -> None:
        match = sweep_against_register(network_of(site), read.hosts)
        if read.not_read:
            self.stdout.write(f"Columns left aside: {', '.join(read.not_read)}.")
        for each in match.elsewhere:
            self.stdout.write(f"{each.item}: {each.recorded or 'no address'} -> {each.host.ip}")
        for host in match.unknown:
            self.stdout.write(f"not in the register: {host.ip} {host.mac} {host.hostname}".rstrip())
        for each in match.missing:
            self.stdout.write(f"missing: {each.item}")
        self.stdout.write(sweep_sentence(match))


def _moment(text: str, site: Site) -> datetime | None:
    return local_moment(iso_moment(text), site.zone_info) if text else None
