"""Filters and columns of the lists of lines, zones and readings."""

from typing import Any

import django_filters
from django.db.models import QuerySet

from registry.audio.models import LARGEST_DRIFT_FIRST, Drift, Line, LineKind, Verdict, Zone
from registry.audio.queries import lines_visible_to, zones_visible_to
from registry.web.addresses import row_page
from registry.web.fields import RowFilter
from registry.web.lists import Column, ListFilter, with_columns
from registry.web.sites.filters import clients_for, sites_for
from sites.models import User, YesNoUnknown

OF_SITE = ("site__name", "site__code", "site__units")


def listed_lines(user: User) -> QuerySet[Line]:
    """Return the lines that `user` may read, with what the list shows of them."""
    own = ("name", "channel", "kind", "verdict", "says", "life_safety")
    return with_columns(lines_visible_to(user), *own, *OF_SITE, "amplifier__name")


def listed_zones(user: User) -> QuerySet[Zone]:
    """Return the zones that `user` may read, with what the list shows of them."""
    own = ("name", "drift", "drift_db", "tolerance_db", "default_position", "source", "spot")
    return with_columns(zones_visible_to(user), *own, *OF_SITE, "space__name")


class LineFilter(ListFilter):
    """By name, whose it is, what its load says, and whether it may be touched."""

    name = django_filters.CharFilter(lookup_expr="icontains", label="Name contains")
    client = RowFilter(field_name="site__client", queryset=clients_for, label="Client", empty_label="Any")
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    verdict = django_filters.ChoiceFilter(choices=Verdict.choices, label="Load", empty_label="Any")
    kind = django_filters.ChoiceFilter(choices=LineKind.choices, label="Kind", empty_label="Any")
    life_safety = django_filters.ChoiceFilter(
        choices=YesNoUnknown.choices, label="Life-safety related", empty_label="Any"
    )


class ZoneFilter(ListFilter):
    """By name, whose it is, and how it stands against its baseline."""

    name = django_filters.CharFilter(lookup_expr="icontains", label="Name contains")
    client = RowFilter(field_name="site__client", queryset=clients_for, label="Client", empty_label="Any")
    site = RowFilter(queryset=sites_for, label="Site", empty_label="Any", typed_as=("code", "name"))
    drift = django_filters.ChoiceFilter(choices=Drift.choices, label="Against its baseline", empty_label="Any")


def line_page_of(line: Line) -> str:
    """Return the address of a line's page."""
    return row_page("line", line.pk)


def zone_page_of(zone: Zone) -> str:
    """Return the address of a zone's page."""
    return row_page("zone", zone.pk)


def site_page_of(row: Any) -> str:
    """Return the address of the page of a row's site."""
    return row_page("site", row.site.code)


SITE = Column(
    heading="Site", value=lambda row: row.site.name, sort=("site__name", "site__code", "name"), link=site_page_of
)

LINE_COLUMNS = (
    Column(heading="Line", value=lambda line: line.name, sort=("name",), link=line_page_of),
    SITE,
    Column(
        heading="Amplifier", value=lambda line: line.amplifier.name, sort=("site__name", "amplifier__name", "channel")
    ),
    Column(heading="Channel", value=lambda line: line.channel),
    Column(heading="Kind", value=lambda line: line.get_kind_display(), sort=("kind", "name")),
    Column(heading="Load", value=lambda line: line.verdict, kind="verdict", sort=("verdict", "name")),
    Column(heading="Because", value=lambda line: line.says),
    Column(
        heading="Life-safety related",
        value=lambda line: line.get_life_safety_display(),
        sort=("life_safety", "name"),
    ),
)

ZONE_COLUMNS = (
    Column(heading="Zone", value=lambda zone: zone.name, sort=("name",), link=zone_page_of),
    SITE,
    Column(heading="Space", value=lambda zone: zone.space and zone.space.name, sort=("space__name", "name")),
    Column(heading="Against its baseline", value=lambda zone: zone.drift, kind="drift", sort=("drift", "name")),
    Column(
        heading="Drift",
        value=lambda zone: zone.drift_db,
        unit="dB",
        sort=("drift_db",),
        downwards=LARGEST_DRIFT_FIRST,
        blank="none to tell",
    ),
    Column(heading="Tolerance", value=lambda zone: zone.tolerance_db, unit="dB", sort=("tolerance_db", "name")),
    Column(heading="Default position", value=lambda zone: zone.default_position, unit="%"),
    Column(heading="Source", value=lambda zone: zone.source, sort=("source", "name")),
    Column(heading="Spot", value=lambda zone: zone.spot),
)
