"""What a form remembers of the version that it showed, and what it shows when somebody saved another one meanwhile."""

from datetime import date
from typing import TYPE_CHECKING, Any, Final

from django import forms
from django.utils.datastructures import MultiValueDict

from sites.changes import FieldChange
from sites.versions import LOADED, ChangedMeanwhileError, version_of

if TYPE_CHECKING:
    AnyForm = forms.BaseForm
else:
    AnyForm = object

FIELD: Final = "version"
TAKE: Final = "take-"
SAVED_MEANWHILE: Final = (
    "saved this while you were typing. Nothing of yours is saved yet, nor lost: "
    "choose beside each field that was changed, then save."
)
LOOK_AGAIN: Final = "Nothing of yours is done yet: look at it, then press once more if it still holds."


class Versioned(AnyForm):
    """A form of a row that others may change meanwhile. It carries the row's version in a hidden field.

    When the row was saved by somebody else since, the form comes back with what was typed. Beside each field that they
    changed stands who, when, what from and to, with the choice between both. The hidden field then holds
    "version shown first>version shown now" and counts as the second once every choice is made.
    """

    # A choice that stands beside one field and decides on others too: the days belong to the place.
    decided_together: dict[str, tuple[str, ...]] = {}
    # Changes that are no field of this form: the relation of `edited_with`, and the form or field that shows it.
    part_forms: dict[str, "Versioned"] = {}
    shown_beside: dict[str, str] = {}

    meanwhile: dict[str, FieldChange]
    choices: dict[str, str]

    def carry_version(self, row: Any) -> None:
        """Remember the version of the row that is shown, and follow the choices that were made; to be called once."""
        self.meanwhile, self.choices = {}, {}
        if self.is_bound:
            self.take_theirs()
        if row is None or not hasattr(row, LOADED):
            return
        self.fields[FIELD] = forms.CharField(required=False, widget=forms.HiddenInput, initial=version_of(row))
        if self.is_bound and self.add_prefix(FIELD) in self.data:
            self._follow_choices()

    def _follow_choices(self) -> None:
        name = self.add_prefix(FIELD)
        first, _, now = str(self.data.get(name, "")).partition(">")
        self.choices = {key.removeprefix(TAKE): str(self.data.get(key)) for key in self.data if key.startswith(TAKE)}
        data = _changeable(self.data)
        self.data = data
        data[name] = now if now and all(self.choices.values()) else first

    def take_theirs(self) -> None:
        """Put the row's own values into the fields whose choice is "theirs"."""
        if not (taken := self._taken()):
            return
        data = _changeable(self.data)
        for name in taken:
            field = self.fields[name]
            value = field.prepare_value(self.get_initial_for_field(field, name))
            many = value if isinstance(value, list | tuple) else [value]
            data.setlist(self.add_prefix(name), [_as_typed(each) for each in many])
        self.data = data

    def _taken(self) -> list[str]:
        chosen = [name for name in self.fields if self.data.get(f"{TAKE}{self.add_prefix(name)}") == "theirs"]
        return [other for name in chosen for other in self.decided_together.get(name, (name,))]

    def version(self) -> str | None:
        """Return the version that the writer has seen, for the action; None when none was shown (a new row)."""
        seen = self.data.get(self.add_prefix(FIELD))
        return None if seen is None else str(seen)

    def show_meanwhile(self, changed: ChangedMeanwhileError) -> None:
        """Put what the others changed beside its field, or beside the part of the page that shows it."""
        data = _changeable(self.data)
        data[self.add_prefix(FIELD)] = f"{self.version()}>{changed.version}"
        self.data = data
        for change in changed.changes:
            relation, _, column = change.field.rpartition(".")
            form = self.part_forms[relation] if relation else self
            form.put_beside(change._replace(field=self.shown_beside.get(column, column)))
            self.meanwhile[change.field] = change
        people = " and ".join(dict.fromkeys(change.by for change in changed.changes))
        self.add_error(None, f"{people} {SAVED_MEANWHILE}")

    def put_beside(self, change: FieldChange) -> None:
        """Show one change beside the field of its column."""
        name = next((name for name in (change.field, change.field.removesuffix("_id")) if name in self.fields), None)
        if name is None:
            return
        bound = self[name]
        bound.meanwhile = change  # type: ignore[attr-defined]
        bound.chosen = self._chosen(name, change)  # type: ignore[attr-defined]
        bound.take = f"{TAKE}{self.add_prefix(name)}"  # type: ignore[attr-defined]

    def _chosen(self, name: str, change: FieldChange) -> str:
        """Offer the choice made before; what was left as it was shown follows the others."""
        mine = getattr(self, "cleaned_data", {}).get(name)
        untouched = (getattr(mine, "pk", mine) or None) == (change.was or None)
        return str(self.data.get(f"{TAKE}{self.add_prefix(name)}") or ("theirs" if untouched else ""))


class AskedAgain(Versioned):
    """A form without a field beside which a change could stand: it says what changed, and may then be sent again."""

    def show_meanwhile(self, changed: ChangedMeanwhileError) -> None:
        """Say who changed what, and ask once more."""
        data = _changeable(self.data)
        data[self.add_prefix(FIELD)] = changed.version
        self.data = data
        self.meanwhile = {change.field: change for change in changed.changes}
        told = "; ".join(f"{each.by} changed the {each.label}: {each.old} → {each.new}" for each in changed.changes)
        self.add_error(None, f"{told}. {LOOK_AGAIN}")


def _changeable(data: Any) -> MultiValueDict[str, Any]:
    copied: MultiValueDict[str, Any] = data.copy()
    return copied


def _as_typed(value: Any) -> str:
    if value is None:
        return ""
    return value.isoformat() if isinstance(value, date) else str(value)
