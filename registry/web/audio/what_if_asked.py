"""What the address of a "what if" asks for: the forms filled over what is wired, and the proposal in them."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django.forms import BaseForm

from registry.audio.loads import amplifier_model
from registry.audio.models import Line
from registry.audio.what_if import MOST_NEW, Proposal, clashes, seat_of
from registry.web.audio.what_if_forms import (
    LETTERS,
    AmplifierForm,
    Catalogue,
    HangingForm,
    JoiningForm,
    shown,
    typed_over,
)


class Asked:
    """The forms of one page. The line came through `with_wiring`."""

    def __init__(self, asked: Mapping[str, str], line: Line, catalogue: Catalogue) -> None:
        self.line, self.catalogue = line, catalogue
        self.changed: dict[str, str] = {}
        now = amplifier_model(line)
        self.amplifier = AmplifierForm(
            self._data(AmplifierForm(catalogue=catalogue, now=now), asked), catalogue=catalogue, now=now
        )
        self.hanging = [self._hanging(asked, number) for number in range(len(line.coils.all()))]
        self.joining = [self._joining(asked, f"n{number}") for number in self._rows(asked)]
        # Every form is asked, so that each says what is wrong with it.
        wrong = [form for form in self._forms if not form.is_valid()]
        self.is_valid = not wrong and not self._clashing()

    @property
    def _forms(self) -> list[BaseForm]:
        return [self.amplifier, *self.hanging, *self.joining]

    def _data(self, untouched: BaseForm, asked: Mapping[str, str]) -> dict[str, str]:
        start = shown(untouched)
        changed = typed_over(start, asked)
        self.changed |= changed
        return start | changed

    def _hanging(self, asked: Mapping[str, str], number: int) -> HangingForm:
        coil = self.line.coils.all()[number]
        facts: dict[str, Any] = {"instance": coil, "site": self.line.site, "prefix": str(coil.pk)}
        return HangingForm(self._data(HangingForm(**facts), asked), **facts)

    def _joining(self, asked: Mapping[str, str], prefix: str) -> JoiningForm:
        facts: dict[str, Any] = {"catalogue": self.catalogue, "site": self.line.site, "prefix": prefix}
        return JoiningForm(self._data(JoiningForm(**facts), asked), **facts)

    def _rows(self, asked: Mapping[str, str]) -> range:
        """As many rows for new loudspeakers as are filled in, and a free one."""
        filled = [
            number
            for number in range(1, MOST_NEW + 1)
            if any(asked.get(f"{letter}n{number}", "").strip() for letter in LETTERS.values())
        ]
        return range(1, min(MOST_NEW, max(filled, default=0) + 1) + 1)

    def _joined(self) -> list[JoiningForm]:
        return [form for form in self.joining if form.has_changed()]

    def proposal(self) -> Proposal:
        """Return the wiring that is asked for; the forms are valid."""
        seats = {form.original.pk: form.seat(self.changed) for form in self.hanging}
        return Proposal(
            seats={coil.pk: seats[coil.pk] for coil in self.line.coils.all() if seats[coil.pk] != seat_of(coil)},
            left_out=frozenset(form.original.pk for form in self.hanging if form.cleaned_data["out"]),
            joining=tuple(form.newcomer() for form in self._joined()),
            amplifier=self.catalogue.amplifiers.get(self.amplifier.cleaned_data["amplifier"]),
        )

    def _clashing(self) -> bool:
        """Say beside the order where two coils would share a position, and beside a label that stands twice."""
        found = clashes(self.line, self.proposal())
        hanging = {form.original.pk: form for form in self.hanging}
        for clash in found:
            form = hanging[clash.coil_id] if clash.coil_id is not None else self._joined()[clash.newcomer or 0]
            form.add_error("order", clash.says)
        return bool(found) or self._labels_twice()

    def _labels_twice(self) -> bool:
        known, twice = set(self.catalogue.labels), False
        for form in self._joined():
            label = form.cleaned_data["label"].strip()
            if label in known:
                form.add_error("label", f"there is already a loudspeaker {label!r} at this site: choose another label")
                twice = True
            known.add(label)
        return twice

    @property
    def address(self) -> str:
        """What is asked, without what is the same as now: short enough to share."""
        return urlencode(self.changed)
