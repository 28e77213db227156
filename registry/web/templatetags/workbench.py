"""Tags of the Workbench's pages."""

from collections.abc import Iterator, Sequence

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from registry.web.workbench.declaring import Column, Value
from registry.web.workbench.showing import shown

register = template.Library()


@register.simple_tag
def figure(value: Value, unit: str = "") -> SafeString | str:
    """Show a figure with its unit; the unrounded number stays in the page for whoever copies it."""
    words = shown(value, unit)
    if isinstance(value, float | int):
        return format_html('<data value="{}">{}</data>', repr(value), words)
    return words


@register.filter
def beside(row: Sequence[Value], columns: Sequence[Column]) -> Iterator[tuple[Column, Value]]:
    """Pair the values of a row with their columns."""
    return zip(columns, row, strict=True)
