"""Draws plain fields without templates: Django takes two for each option, which was a tenth of a list's time."""

from collections.abc import Mapping
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

Widget = Mapping[str, Any]


class Renderer(DjangoTemplates):
    """Django's, but for inputs and selects."""

    def render(self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None) -> str:
        """Draw a field, with the same attributes in the same order."""
        draw = DRAWN.get(template_name)
        return super().render(template_name, context, request) if draw is None else draw(context["widget"])


def _input(widget: Widget) -> SafeString:
    value = {} if widget["value"] is None else {"value": str(widget["value"])}
    attributes = _attributes({"type": widget["type"], "name": widget["name"], **value, **widget["attrs"]})
    return format_html("<input{}>", attributes)


def _select(widget: Widget) -> SafeString:
    groups = format_html_join("", "{}", ((_group(name, options),) for name, options, _ in widget["optgroups"]))
    return format_html("<select{}>{}\n</select>", _attributes({"name": widget["name"], **widget["attrs"]}), groups)


def _group(name: str | None, options: list[Widget]) -> SafeString:
    told = ((str(each["value"]), _attributes(each["attrs"]), each["label"]) for each in options)
    drawn = format_html_join("", '\n<option value="{}"{}>{}</option>', told)
    return format_html('\n<optgroup label="{}">{}\n</optgroup>', name, drawn) if name else drawn


def _attributes(attributes: Widget) -> SafeString:
    """Return attributes as they stand in a tag: True is named alone, False not at all."""
    said = ((name, value) for name, value in attributes.items() if value is not False)
    return format_html_join("", "{}", ((_attribute(name, value),) for name, value in said))


def _attribute(name: str, value: Any) -> SafeString:
    return format_html(" {}", name) if value is True else format_html(' {}="{}"', name, str(value))


DRAWN = {
    **{f"django/forms/widgets/{kind}.html": _input for kind in ("date", "email", "hidden", "number", "text")},
    "django/forms/widgets/select.html": _select,
}
