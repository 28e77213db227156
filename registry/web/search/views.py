"""One box that finds things."""

from django import forms
from django.http import HttpResponseBase
from django.shortcuts import render

from registry.web.access import SignedIn
from registry.web.search.finding import found


class SearchForm(forms.Form):
    """What somebody looks for."""

    q = forms.CharField(label="Look for", max_length=100, required=False)


def search(request: SignedIn) -> HttpResponseBase:
    """Show what was found, by kind."""
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    kinds = found(request.user, words) if words else []
    context = {"form": form, "query": words, "kinds": kinds, "number": sum(len(kind.hits) for kind in kinds)}
    return render(request, "search/search.html", context)
