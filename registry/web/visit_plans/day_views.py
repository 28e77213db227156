"""Pages of the days without visits, and of the hours in which a site can be worked at."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from registry.visits.closed_days import add_holiday, remove_holiday, save_hours
from registry.visits.queries import holidays_visible_to, hours_of
from registry.visits.rule_choices import DAY_NAMES
from registry.web.access import SignedIn, changeable, require_writer, visible
from registry.web.crumbs import site_crumbs
from registry.web.fields import DayInput, RowField
from registry.web.saving import saved, status_of, typed
from registry.web.sites.sentences import number_of
from registry.web.visit_plans.plan_form import TimeInput
from sites.models import Site, User
from sites.queries import sites_visible_to


class HolidayForm(forms.Form):
    """A day without visits."""

    day = forms.DateField(label="Day", widget=DayInput)
    name = forms.CharField(label="Name, or why", max_length=120)

    def __init__(self, *args: Any, asks: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["site"] = RowField(
            sites_visible_to(asks),
            label="Where",
            required=False,
            empty_label="Everywhere",
            typed_as=("code", "name"),
            help_text="Empty: everywhere.",
        )


class HoursForm(forms.Form):
    """From when to when a site can be worked at, by weekday; both empty is closed."""

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = {row.weekday: row for row in hours_of(site)}
        for weekday, name in enumerate(DAY_NAMES):
            row = known.get(weekday)
            for word in ("opens", "closes"):
                initial = getattr(row, word) if row else None
                self.fields[f"{word}_{weekday}"] = forms.TimeField(
                    label=f"{name} {'from' if word == 'opens' else 'to'}",
                    widget=TimeInput,
                    required=False,
                    initial=initial,
                )

    @property
    def days(self) -> list[tuple[str, forms.BoundField, forms.BoundField]]:
        """The weekdays with their two fields."""
        return [(name, self[f"opens_{day}"], self[f"closes_{day}"]) for day, name in enumerate(DAY_NAMES)]

    def clean(self) -> dict[str, Any]:
        """Ask for both times of a day or for none."""
        cleaned = super().clean() or self.cleaned_data
        for day in range(len(DAY_NAMES)):
            if bool(cleaned.get(f"opens_{day}")) != bool(cleaned.get(f"closes_{day}")):
                self.add_error(f"closes_{day}", "Give both times, or none when it is closed.")
        return cleaned

    def hours(self) -> dict[int, Any]:
        """Return the times by weekday."""
        given = self.cleaned_data
        days = range(len(DAY_NAMES))
        return {day: (given[f"opens_{day}"], given[f"closes_{day}"]) for day in days if given[f"opens_{day}"]}


def holidays(request: SignedIn) -> HttpResponseBase:
    """List the days without visits, and note another one."""
    if request.method == "POST":
        require_writer(request)
    form = HolidayForm(typed(request), asks=request.user)
    if made := saved(form, lambda: add_holiday(by=request.user, **form.cleaned_data)):
        messages.success(request, f"{made.name} is noted: visits that are due then are proposed for the next open day.")
        return redirect("holidays")
    today = timezone.localdate()
    coming = list(holidays_visible_to(request.user).filter(date__gte=today))
    past = list(holidays_visible_to(request.user).filter(date__lt=today).order_by("-date")[:20])
    number = number_of(len(coming), "day")
    sentence = f"{number} without visits to come." if coming else "No day without visits is noted."
    context = {"form": form, "coming": coming, "past": past, "sentence": sentence}
    return render(request, "visit_plans/holidays.html", context, status=status_of(form))


def holiday_remove(request: SignedIn, pk: int) -> HttpResponseBase:
    """Take a day without visits away."""
    found = changeable(request, holidays_visible_to(request.user), pk=pk)
    if request.method == "POST":
        remove_holiday(by=request.user, holiday=found)
        messages.success(request, f"{found.name} is taken away: visits are due on that day again.")
    return redirect("holidays")


def site_hours(request: SignedIn, code: str) -> HttpResponseBase:
    """Say when a site can be worked at."""
    site = visible(sites_visible_to(request.user), code=code)
    require_writer(request)
    form = HoursForm(typed(request), site=site)
    if form.is_valid() and _hours_saved(request.user, site, form):
        messages.success(request, f"The hours of {site} are saved.")
        return redirect("site", code)
    context = {"form": form, "site": site, "crumbs": site_crumbs(site)}
    return render(request, "visit_plans/hours.html", context, status=status_of(form))


def _hours_saved(user: User, site: Site, form: HoursForm) -> bool:
    saved(form, lambda: save_hours(by=user, site=site, hours=form.hours()))
    return not form.errors
