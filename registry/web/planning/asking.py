"""The address of a fold plan read as forms, and the forms as a request: the same for a look, a change and a keep."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from django.http import QueryDict
from django.utils.functional import cached_property

from registry.audio.queries import zones_visible_to
from registry.engineering.folding import Weights
from registry.planning.candidates import Candidate, candidates
from registry.planning.folding_input import FoldRequest, LeftOut, fold_request
from registry.planning.surroundings import Surroundings, surroundings
from registry.planning.wired import wiring_of
from registry.planning.zone_facts import ZoneFacts, zone_facts
from registry.web.planning.forms import CostForm, OfferForm, ZoneForm
from sites.models import Site, User

ASKED = "asked"


class Asked:
    """What somebody asks of a site: a form for each zone that may be planned and each amplifier that may be used."""

    def __init__(self, user: User, site: Site, query: QueryDict) -> None:
        """Read the address; without `asked` in it, everything is as usual."""
        self.site = site
        data = query if ASKED in query else None
        wiring = wiring_of(site, zones_visible_to(user).filter(site=site))
        self.around: Surroundings = surroundings(site, wiring)
        self.facts: list[ZoneFacts] = zone_facts(site, wiring)
        offered = candidates(site)
        self.usable = [candidate for candidate in offered if candidate.modes]
        self.unusable = [candidate for candidate in offered if not candidate.modes]
        self.currency = _currency(self.usable)
        self.is_first_look = data is None
        self.zone_forms = self._zone_forms(data)
        self.offer_forms = self._offer_forms(data)
        self.cost_form = CostForm(data, prefix="c")

    def _zone_forms(self, data: QueryDict | None) -> list[ZoneForm]:
        free = [zone for zone in self.facts if not zone.bound]
        old = {zone.name for zone in free if self._is_on_old_amplifier(zone)}
        first = old or {zone.name for zone in free}
        return [ZoneForm(data, prefix=f"z{zone.pk}", facts=zone, on=zone.name in first) for zone in free]

    def _is_on_old_amplifier(self, zone: ZoneFacts) -> bool:
        """Whether an amplifier drives it that no fold plan would buy again."""
        models = {place.name: place.model for place in self.around.amplifiers}
        again = {candidate.name for candidate in self.usable}
        return any(models.get(place) not in again for place in zone.amplifiers)

    def _offer_forms(self, data: QueryDict | None) -> list[OfferForm]:
        here = {candidate.pk for candidate in self.usable if candidate.here}
        first = here or {candidate.pk for candidate in self.usable}
        return [
            OfferForm(data, prefix=f"a{each.pk}", candidate=each, on=each.pk in first, currency=self.currency)
            for each in self.usable
        ]

    @property
    def forms(self) -> list[Any]:
        """Every form on the page."""
        return [*self.zone_forms, *self.offer_forms, self.cost_form]

    @property
    def bound(self) -> list[LeftOut]:
        """Zones that no plan may touch, and why."""
        return [LeftOut(zone.name, zone.bound) for zone in self.facts if zone.bound]

    @cached_property
    def errors(self) -> int:
        """How many fields of what was chosen can't be read."""
        return sum(len(form.errors) for form in self._chosen_forms) if not self.is_first_look else 0

    @property
    def _chosen_forms(self) -> list[Any]:
        return [*self.chosen_zones, *self.chosen_offers, self.cost_form]

    @property
    def chosen_zones(self) -> list[ZoneForm]:
        """The forms of zones that shall be planned."""
        return [form for form in self.zone_forms if form.is_chosen]

    @property
    def chosen_offers(self) -> list[OfferForm]:
        """The forms of amplifiers that may be used."""
        return [form for form in self.offer_forms if form.is_chosen]

    def request(self) -> FoldRequest:
        """Return what the search takes; there are no errors."""
        chosen = self._chosen_forms
        if self.is_first_look:
            chosen = [self._as_shown(form) for form in chosen]
        zones = [form for form in chosen if isinstance(form, ZoneForm)]
        offers = [form for form in chosen if isinstance(form, OfferForm)]
        costs = next(form for form in chosen if isinstance(form, CostForm))
        return fold_request(
            [form.choice() for form in zones],
            [form.offer() for form in offers],
            weights=_weights(costs),
            minutes=costs.value("minutes"),
        )

    def _as_shown(self, form: Any) -> Any:
        """The same form as if it had been sent as it is shown."""
        data = {form.add_prefix(name): form[name].value() for name in form.fields}
        sent = {name: "" if value is None else value for name, value in data.items() if value is not False}
        if isinstance(form, ZoneForm):
            made: Any = ZoneForm(sent, prefix=form.prefix, facts=form.facts, on=True)
        elif isinstance(form, OfferForm):
            made = OfferForm(sent, prefix=form.prefix, candidate=form.candidate, on=True, currency=self.currency)
        else:
            made = CostForm(sent, prefix=form.prefix)
        made.is_valid()
        return made

    @property
    def address(self) -> str:
        """The query that shows this page again as it is."""
        query = QueryDict(mutable=True)
        query[ASKED] = "1"
        for form in self.forms:
            for name in form.fields:
                value = form[name].value()
                if value is not False and value is not None:
                    query[form.add_prefix(name)] = "on" if value is True else str(value)
        return query.urlencode()


def _weights(costs: CostForm) -> Weights:
    return Weights(
        amplifier=costs.value("amplifier"),
        price=costs.value("unit_price"),
        level=costs.value("level"),
        rewiring=costs.value("rewiring"),
        series=costs.value("series"),
        shared_fate=costs.value("shared_fate"),
    )


def _currency(usable: Sequence[Candidate]) -> str:
    """The currency of most of the amplifiers that serve here, or of most of all: prices are only added up in one."""
    here = Counter(each.currency for each in usable if each.currency and each.here)
    every = Counter(each.currency for each in usable if each.currency)
    return next((name for found in (here, every) for name, _ in found.most_common(1)), "")
