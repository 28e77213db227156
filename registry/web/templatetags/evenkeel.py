"""Filters and tags that every template may use without loading them (see TEMPLATES in settings)."""

from datetime import date, datetime
from functools import cache
from typing import Any
from xml.etree.ElementTree import Element, tostring

from django import template
from django.db.models import Model
from django.template.context import Context
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from registry.drawings.level_strip import LevelStrip, draw_level_strip
from registry.drawings.marks import StripWord, Verdict, strip_glyph, verdict_mark
from registry.engineering.units import show_quantity
from registry.web.cautions import CAUTIONS
from registry.web.history.listed import history_of
from registry.web.lists import Cell, Row
from registry.web.navigation import EQUIPMENT, MAIN, VISITS, Link, links
from sites.models import Site

register = template.Library()
NOT_KNOWN = "not known"
VERDICT_WORDS = {"pass": "Pass", "warn": "Warning", "fail": "Fail", "unknown": "Unknown"}
DRIFT_WORDS = {
    "within": "Within tolerance",
    "out": "Out of tolerance",
    "undecided": "Undecided",
    "not measured": "Not measured",
    "no baseline": "No baseline",
}


@register.simple_tag
def quantity(value: float | None, unit: str, site: Site | None = None) -> str:
    """Show a number in the site's system; None is "not known". `{% quantity space.area_m2 "m2" site %}`"""
    return shown(value, unit, site.units if site else "metric")


def shown(value: float | None, unit: str, units: str) -> str:
    """Return a number as people of that system read it."""
    if value is None:
        return NOT_KNOWN
    return show_quantity(value, unit, "us" if units == "us" else "metric")


@register.filter
def known(value: Any) -> Any:
    """Show a value, or "not known" when there is none. Zero is a value."""
    return NOT_KNOWN if value is None or value == "" else value


@register.filter
def day(value: date | None) -> str:
    """Show a date without the time: 12 Mar 2026."""
    return f"{value.day} {value:%b %Y}" if value else NOT_KNOWN


@register.filter
def local(value: datetime | None, site: Site) -> SafeString | str:
    """Show a time as the clock on the site's wall showed it. `{{ reading.taken_at|local:site }}`"""
    if value is None:
        return NOT_KNOWN
    there = value.astimezone(site.zone_info)
    return format_html('<time datetime="{}">{} {}</time>', there.isoformat(), day(there), f"{there:%H:%M}")


@register.filter
def local_day(value: datetime | None, site: Site) -> str:
    """Show the day that the site's calendar showed at a time."""
    return day(value.astimezone(site.zone_info)) if value else NOT_KNOWN


@register.filter
def local_time(value: datetime, site: Site) -> str:
    """Show the clock on the site's wall at a time, without the day."""
    return f"{value.astimezone(site.zone_info):%H:%M}"


@register.filter
@cache
def verdict(value: str) -> SafeString:
    """Show a verdict as a shape and a word. `{{ line.verdict|verdict }}`"""
    sign = _sign(16)
    verdict_mark(sign, _as_verdict(value), centre=(10, 10))
    return format_html('<span class="verdict verdict-{}">{} {}</span>', value, _markup(sign), VERDICT_WORDS[value])


def _as_verdict(value: str) -> Verdict:
    words: dict[str, Verdict] = {"pass": "pass", "warn": "warn", "fail": "fail", "unknown": "unknown"}
    return words[value]


@register.filter
@cache
def drift(value: str) -> SafeString:
    """Show how a zone stands against its baseline as a sign and a word. `{{ zone.drift|drift }}`"""
    words: dict[str, StripWord] = {
        "within": "within",
        "out": "out",
        "undecided": "undecided",
        "not measured": "not measured",
        "no baseline": "no baseline",
    }
    sign = _sign(24)
    strip_glyph(sign, words[value], centre=(14, 10))
    css = value.replace(" ", "-")
    return format_html('<span class="verdict drift-{}">{} {}</span>', css, _markup(sign), DRIFT_WORDS[value])


def _sign(width: int) -> Element:
    size = {"width": str(width + 4), "height": "20", "viewBox": f"0 0 {width + 4} 20"}
    return Element("svg", {"class": "drawing sign", "aria-hidden": "true", "focusable": "false", **size})


def _markup(drawing: Element) -> SafeString:
    return mark_safe(tostring(drawing, encoding="unicode"))  # noqa: S308 (built by ElementTree, which escapes)


@register.simple_tag
def strip(level_strip: LevelStrip, ident: str = "") -> SafeString:
    """Draw a level strip. `ident` keeps ids apart when the same strip stands twice on a page."""
    return mark_safe(draw_level_strip(level_strip, ident=ident))  # noqa: S308 (the drawing escapes every label)


@register.filter
def drawing(svg: str) -> SafeString:
    """Put a drawing of registry.drawings on the page."""
    return mark_safe(svg)  # noqa: S308 (the drawings escape every label)


@register.simple_tag
def caution(name: str) -> SafeString:
    """Show one of the standing cautions. `{% caution "mains" %}`"""
    return format_html('<p class="caution"><strong>Caution.</strong> {}</p>', CAUTIONS[name])


@register.filter
def cells(row: Row) -> SafeString:
    """Show the cells of a row of a list, the first one as its heading; in a template they took a fifth of the page."""
    first, *others = row.cells
    values = "\n".join(f"{each.column.opens}{conditional_escape(_linked(each))}</td>" for each in others)
    heading = f'<th scope="row" role="rowheader">{conditional_escape(_linked(first))}</th>'
    return mark_safe(f"{heading}\n{values}")  # noqa: S308 (every part is escaped)


def _linked(cell: Cell) -> SafeString | str:
    return format_html('<a href="{}">{}</a>', cell.href, _words(cell)) if cell.href else _words(cell)


def _words(cell: Cell) -> SafeString | str:
    column = cell.column
    if cell.is_blank:
        return format_html('<span class="muted">{}</span>', column.blank)
    if column.kind == "verdict":
        return verdict(cell.value)
    if column.kind == "drift":
        return drift(cell.value)
    if column.kind == "day":
        return day(cell.value)
    return shown(cell.value, column.unit, cell.units) if column.unit else str(cell.value)


@register.simple_tag
def history(row: Model) -> str:
    """Return the address of the history of a thing. `{% history zone %}`"""
    return history_of(row)


@register.simple_tag(takes_context=True)
def main_links(context: Context) -> list[Link]:
    """Return the words on top."""
    return links(MAIN, _path(context))


@register.simple_tag(takes_context=True)
def equipment_links(context: Context) -> list[Link]:
    """Return the words below Equipment."""
    return links(EQUIPMENT, _path(context))


@register.simple_tag(takes_context=True)
def visit_links(context: Context) -> list[Link]:
    """Return the words below Visits."""
    return links(VISITS, _path(context))


def _path(context: Context) -> str:
    request = context.get("request")
    return request.path if request else ""
