"""The form of a visit plan: how often in plain choices, from when, who, and what counts."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from registry.visits.models import Counting, VisitPlan
from registry.visits.recurrence import Rule, first_date, read_rule
from registry.visits.rule_choices import DAY_NAMES, MONTHS, NTH, Choices, On, Unit, choices_of
from registry.web.fields import DayInput
from registry.web.forms import SavedByAction
from registry.web.visit_plans.people import tech_field
from sites.models import User

UNITS = ((Unit.WEEK, "weeks"), (Unit.MONTH, "months"), (Unit.YEAR, "years"))
ON = (
    (On.WEEKDAY, "a day of the week: first, second, … last"),
    (On.DAY, "a day of the month, by its number"),
    (On.LAST_DAY, "the last day of the month"),
)
ENDS = (("never", "never"), ("until", "on a date"), ("count", "after a number of times"))
SAME_NAME = ("every", "nth", "weekday", "month_day", "month", "until", "count")
RULE_FIELDS = ("every", "unit", "on", "nth", "weekday", "month_day", "month", "ends", "until", "count", "other_rule")


class TimeInput(forms.TimeInput):
    """A time of day picked in the browser's own clock."""

    input_type = "time"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs, format="%H:%M")


class PlanForm(SavedByAction[VisitPlan]):
    """A visit plan. What one choice makes meaningless is ignored, so that changing one's mind loses nothing."""

    shown_beside = {"rule": "every"}
    decided_together = {"every": RULE_FIELDS}
    rule: Rule | None = None

    every = forms.IntegerField(label="Every", min_value=1, max_value=366, initial=6)
    unit = forms.ChoiceField(label="Weeks, months or years", choices=UNITS, initial=Unit.MONTH)
    on = forms.ChoiceField(label="On", choices=ON, initial=On.WEEKDAY, required=False)
    nth = forms.TypedChoiceField(label="Which one", choices=list(NTH.items()), coerce=int, initial=1, required=False)
    weekday = forms.TypedChoiceField(
        label="Day of the week", choices=list(enumerate(DAY_NAMES)), coerce=int, initial=1, required=False
    )
    month_day = forms.IntegerField(
        label="Day of the month",
        min_value=1,
        max_value=31,
        initial=1,
        required=False,
        help_text="29, 30 and 31: months without that day get no visit.",
    )
    month = forms.TypedChoiceField(
        label="Month", choices=list(enumerate(MONTHS, start=1)), coerce=int, initial=1, required=False
    )
    ends = forms.ChoiceField(label="Ends", choices=ENDS, initial="never")
    until = forms.DateField(label="Last possible day", widget=DayInput, required=False)
    count = forms.IntegerField(label="Number of visits", min_value=1, max_value=1000, required=False)
    other_rule = forms.CharField(
        label="Another rule (RFC 5545)",
        max_length=200,
        required=False,
        help_text="Only for what the choices can't say, such as FREQ=DAILY;INTERVAL=10. It takes their place.",
    )

    class Meta:
        """The columns that aren't the rule."""

        model = VisitPlan
        fields = ("name", "starts_on", "starts_at", "minutes", "counting", "tech", "notes")
        labels = {
            "name": "What for",
            "starts_on": "From",
            "starts_at": "Time of day at the site",
            "counting": "The next date counts from",
        }
        help_texts = {
            "starts_on": "The first visit is on the first day from here on that fits.",
            "counting": "Fixed dates suit a contract; counting from the day it was done suits wear.",
        }
        widgets = {"starts_on": DayInput, "starts_at": TimeInput, "notes": forms.Textarea({"rows": 3})}

    def __init__(self, *args: Any, asks: User, **kwargs: Any) -> None:
        plan = kwargs.get("instance")
        kwargs["initial"] = {**(_rule_initial(plan) if plan else {}), **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.fields["tech"] = tech_field(asks, "Usually done by")
        self.fields["counting"] = forms.ChoiceField(
            label=self.fields["counting"].label,
            help_text=self.fields["counting"].help_text,
            choices=Counting.choices,
            initial=Counting.DUE,
        )

    def clean(self) -> dict[str, Any]:
        """Build the rule from the choices."""
        cleaned = super().clean() or self.cleaned_data
        self._need_what_was_chosen(cleaned)
        if not self.errors:
            self._read(cleaned)
        return cleaned

    def _need_what_was_chosen(self, cleaned: dict[str, Any]) -> None:
        ends = cleaned.get("ends")
        if ends in {"until", "count"} and cleaned.get(ends) is None and ends not in self.errors:
            self.add_error(ends, "Give it, or let the plan never end.")
        by_number = cleaned.get("unit") != Unit.WEEK and cleaned.get("on") == On.DAY
        if by_number and cleaned.get("month_day") is None and "month_day" not in self.errors:
            self.add_error("month_day", "Give the day of the month.")

    def _read(self, cleaned: dict[str, Any]) -> None:
        other = cleaned.get("other_rule")
        try:
            self.rule = read_rule(other or self._choices(cleaned).rule())
            first_date(self.rule, cleaned["starts_on"])
        except ValueError as error:
            self.rule = None
            self.add_error("other_rule" if other else "until", ValidationError(str(error)))

    def _choices(self, cleaned: dict[str, Any]) -> Choices:
        ends = cleaned["ends"]
        return Choices(
            every=cleaned["every"],
            unit=Unit(cleaned["unit"]),
            on=On(cleaned.get("on") or On.WEEKDAY),
            month_day=cleaned.get("month_day") or 1,
            nth=cleaned.get("nth") or 1,
            weekday=cleaned.get("weekday") or 0,
            month=cleaned.get("month") or 1,
            until=cleaned["until"] if ends == "until" else None,
            count=cleaned["count"] if ends == "count" else None,
        )

    def values(self, *, without: tuple[str, ...] = ()) -> dict[str, Any]:
        """Return the columns of a plan, its rule among them."""
        assert self.rule is not None
        return {**super().values(without=(*without, *RULE_FIELDS)), "rule": self.rule.text}

    @property
    def first(self) -> date:
        """The first date that fits."""
        assert self.rule is not None
        found: date = first_date(self.rule, self.cleaned_data["starts_on"])
        return found


def _rule_initial(plan: VisitPlan) -> dict[str, Any]:
    choices = choices_of(read_rule(plan.rule))
    if choices is None:
        return {"other_rule": plan.rule}
    ends = "until" if choices.until else "count" if choices.count else "never"
    return {
        **{name: getattr(choices, name) for name in SAME_NAME},
        "unit": choices.unit.value,
        "on": choices.on.value,
        "ends": ends,
    }
