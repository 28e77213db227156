"""One box that finds things: as a page, and below the box while somebody types."""

from typing import Any, NamedTuple

from django import forms
from django.http import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse

from registry.search.queries import Hit, KindFound, best, found
from registry.web.access import SignedIn

MOST_BELOW_THE_BOX = 8


class SearchForm(forms.Form):
    """What somebody looks for."""

    q = forms.CharField(label="Look for", max_length=100, required=False)


class Line(NamedTuple):
    """One hit as it is shown."""

    name: str
    href: str
    site: Any
    detail: str
    kind: str


def search(request: SignedIn) -> HttpResponseBase:
    """Show what was found by kind; htmx, while somebody types, gets the best of it."""
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    kinds = found(request.user, words) if words else []
    context = {"form": form, "query": words, "number": sum(len(kind.hits) for kind in kinds)}
    if request.headers.get("HX-Request") == "true":
        lines = [_line(hit) for hit in best(kinds, MOST_BELOW_THE_BOX)]
        return render(request, "search/below.html", context | {"lines": lines})
    return render(request, "search/search.html", context | {"kinds": [_shown(kind) for kind in kinds]})


def _shown(found: KindFound) -> dict[str, Any]:
    return {"heading": found.kind.heading, "hits": [_line(hit) for hit in found.hits], "more": found.more}


def _line(hit: Hit) -> Line:
    kind, row = hit.kind, hit.row
    href = reverse(kind.page, args=[kind.address(row)])
    return Line(kind.title(row), href, kind.site(row), kind.detail(row), kind.name)
