"""Forms of a fold plan: what is asked of each zone and each amplifier, and what is decided about a plan."""

from typing import Any

from django import forms

from registry.engineering.folding_parts import MOST_IN_A_STRING
from registry.planning.candidates import Candidate
from registry.planning.folding_input import MINUTES_PER_TERMINATION, Offer, ZoneChoice, usual_choice
from registry.planning.zone_facts import ZoneFacts, loudspeakers_shown
from registry.web.forms import NumberText, name_unit
from sites.fields import Quantity, QuantityInput
from sites.models import Rack, Site

STRINGS = [(1, "parallel only"), *((n, f"{n} in series") for n in range(2, MOST_IN_A_STRING + 1))]
MOST_AMPLIFIERS = 99


def number(label: str, unit: str, *, low: float, high: float, help_text: str = "") -> QuantityInput:
    """Return a field that reads a number with its unit."""
    quantity = Quantity(label, unit=unit, minimum=low, maximum=high)
    made = InRange(quantity=quantity, label=label, required=False, help_text=help_text, widget=NumberText())
    name_unit(made)
    return made


def plain_number(label: str, *, high: float) -> forms.FloatField:
    """Return a field that reads a number without a unit, 0 or more."""
    return forms.FloatField(label=label, required=False, min_value=0, max_value=high, widget=NumberText())


class InRange(QuantityInput):
    """A number in a unit that keeps to its range without a column behind it."""

    def clean(self, value: Any) -> Any:
        """Read the number and refuse one out of range."""
        found = super().clean(value)
        if found is not None:
            self.quantity.validate(found, None)
        return found


class ZoneForm(forms.Form):
    """What is wanted of one zone."""

    use_required_attribute = False

    on = forms.BooleanField(label="Plan this zone", required=False)
    wanted = number("Wanted level", "dB(A)", low=0, high=150)
    tolerance = number("Tolerance", "dB", low=0.1, high=20)
    string = forms.TypedChoiceField(label="Longest string", choices=STRINGS, coerce=int)
    source = forms.CharField(label="Source", required=False, max_length=120)
    hours = forms.CharField(
        label="Hours", required=False, max_length=60, help_text="Only zones with the same word share an amplifier."
    )
    controller = forms.CharField(
        label="Controlled by", required=False, max_length=60, help_text="Who or what turns it up; likewise."
    )
    control = number("In-line control to be added", "dB", low=0, high=60)
    split = forms.BooleanField(label="May be spread over channels", required=False)

    FURTHER = frozenset({"source", "hours", "controller", "control", "split"})

    def __init__(self, *args: Any, facts: ZoneFacts, on: bool, **kwargs: Any) -> None:
        usual = usual_choice(facts)
        first = {"on": on, "wanted": usual.wanted_db, "tolerance": usual.tolerance_db, "string": usual.longest_string}
        kwargs["initial"] = first | {"source": usual.source, "split": True}
        super().__init__(*args, **kwargs)
        self.facts = facts

    @property
    def is_chosen(self) -> bool:
        """Whether this zone shall be planned, as far as anybody said."""
        return bool(self["on"].value())

    @property
    def loudspeakers(self) -> str:
        """The zone's loudspeakers as people count them."""
        return loudspeakers_shown(self.facts)

    @property
    def is_unusual(self) -> bool:
        """Whether anything but level, tolerance and series was changed."""
        return self.is_bound and bool(self.FURTHER & set(self.changed_data))

    def choice(self) -> ZoneChoice:
        """Return what was typed; the form is valid."""
        given = self.cleaned_data
        usual = usual_choice(self.facts)
        return ZoneChoice(
            facts=self.facts,
            wanted_db=given["wanted"],
            tolerance_db=given["tolerance"] or usual.tolerance_db,
            longest_string=given["string"],
            source=given["source"],
            hours=given["hours"],
            controller=given["controller"],
            control_db=given["control"] or 0.0,
            may_split=given["split"],
        )


class OfferForm(forms.Form):
    """Whether an amplifier may be used, how many there are, and at which price."""

    use_required_attribute = False

    on = forms.BooleanField(label="May be used", required=False)
    most = forms.IntegerField(label="At most", required=False, min_value=0, max_value=MOST_AMPLIFIERS)
    price = plain_number("Price of one", high=1e9)

    def __init__(self, *args: Any, candidate: Candidate, on: bool, currency: str, **kwargs: Any) -> None:
        price = candidate.price if candidate.currency == currency else None
        kwargs["initial"] = {"on": on, "price": price}
        super().__init__(*args, **kwargs)
        self.candidate = candidate
        self.fields["price"].label = f"Price of one ({currency})" if currency else "Price of one"

    @property
    def is_chosen(self) -> bool:
        """Whether this amplifier may be used, as far as anybody said."""
        return bool(self["on"].value())

    def offer(self) -> Offer:
        """Return what was typed; the form is valid."""
        return Offer(candidate=self.candidate, price=self.cleaned_data["price"], at_most=self.cleaned_data["most"])


class CostForm(forms.Form):
    """What work takes, and what a plan is charged for each of its costs."""

    use_required_attribute = False

    minutes = number("Time for each changed termination", "min", low=0, high=240)
    amplifier = plain_number("An amplifier", high=1e6)
    level = plain_number("Each dB of level error", high=1e6)
    rewiring = plain_number("Each zone wired otherwise than today", high=1e6)
    series = plain_number("Each series string", high=1e6)
    shared_fate = plain_number("Each pair of zones on one amplifier", high=1e6)
    unit_price = plain_number("Each unit of the price", high=1e6)

    WEIGHTS = ("amplifier", "level", "rewiring", "series", "shared_fate", "unit_price")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        first = {"amplifier": 1000.0, "level": 10.0, "rewiring": 3.0, "series": 1.0, "shared_fate": 0.1}
        kwargs["initial"] = first | {"unit_price": 0.01, "minutes": MINUTES_PER_TERMINATION}
        super().__init__(*args, **kwargs)

    def value(self, name: str) -> float:
        """Return a number, the usual one where the field was left empty."""
        given = self.cleaned_data[name]
        return float(self.initial[name] if given is None else given)

    @property
    def is_unusual(self) -> bool:
        """Whether a weight was changed, or can't be read."""
        return self.is_bound and bool(set(self.WEIGHTS) & set(self.changed_data))


class KeepForm(forms.Form):
    """Which of the plans is kept, under which name; `inputs` is the address that computes it."""

    inputs = forms.CharField(widget=forms.HiddenInput, max_length=100_000, strip=False)
    amplifiers = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    title = forms.CharField(label="Name of the plan", max_length=120)


class RejectForm(forms.Form):
    """Why a plan is not taken."""

    reason = forms.CharField(
        label="Why not",
        max_length=1000,
        widget=forms.Textarea({"rows": 3}),
        help_text="The plan and the reason are kept: in three years somebody will ask.",
    )


class AcceptForm(forms.Form):
    """Who agreed to what a plan costs: shared levels, series strings, control lost."""

    agreed = forms.CharField(
        label="Who agreed, and to what",
        max_length=1000,
        widget=forms.Textarea({"rows": 3}),
        help_text="For example: the owner agreed that zones on one amplifier are turned up and down together.",
    )


class BoxForm(forms.Form):
    """What is read off one new amplifier, and where it was mounted."""

    tag = forms.CharField(label="Tag", max_length=60)
    serial = forms.CharField(label="Serial", max_length=80, required=False)
    rack: Any = forms.ModelChoiceField(label="Rack", queryset=None, required=False, empty_label="Not in a rack")
    position_u = forms.IntegerField(label="Lowest unit", min_value=1, max_value=60, required=False)

    def __init__(self, *args: Any, site: Site, place: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.place = place
        field = self.fields["rack"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = site.racks.all()

    def row(self) -> dict[str, Any]:
        """Return the cells of its row in equipment.csv."""
        rack: Rack | None = self.cleaned_data["rack"]
        return {**self.cleaned_data, "rack": rack.name if rack else None}
