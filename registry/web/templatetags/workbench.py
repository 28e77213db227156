"""Tags of the Workbench's pages."""

import re
from collections.abc import Iterator, Sequence

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from registry.web.workbench.declaring import Column, Value
from registry.web.workbench.showing import shown

register = template.Library()
_BEFORE_UNIT = re.compile(r"(?<=[0-9]) (?=(?:dB|dBFS|Ω|mΩ|W|Wh|V|A|m|mm²|m³|K|h|Hz|min|s|kg|U|J|byte|bit|BTU|CFM)\b|%)")


@register.simple_tag
def figure(value: Value, unit: str = "") -> SafeString | str:
    """Show a figure with its unit; the unrounded number stays in the page for whoever copies it."""
    words = shown(value, unit)
    if isinstance(value, float | int):
        return format_html('<data value="{}">{}</data>', repr(value), words)
    return words


@register.filter
def kept(text: str) -> str:
    """Keep every number and its unit on one line."""
    return _BEFORE_UNIT.sub("\u00a0", text)


@register.filter
def beside(row: Sequence[Value], columns: Sequence[Column]) -> Iterator[tuple[Column, Value]]:
    """Pair the values of a row with their columns."""
    return zip(columns, row, strict=True)
