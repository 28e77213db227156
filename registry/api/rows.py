"""The base of every row's JSON: what it shows, what may be written of it. Actions write; a serializer never does."""

from collections.abc import Mapping
from typing import Any, NoReturn

from django.core.validators import RegexValidator
from django.db import models
from rest_framework import serializers
from rest_framework.validators import UniqueValidator

from registry.api.fields import Address, Choice, Day, Flag, Moment, Money, Number, Reference, Text, Whole
from sites.fields import Quantity
from sites.put import Key, Problem, RefusedError

# What every mail server takes; rarer spellings are for the people who type them into the form.
EMAIL = r"^[A-Za-z0-9_+-]+(\.[A-Za-z0-9_+-]+)*@([A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?\.)+[A-Za-z]{2,24}$"
SMALLEST_COLUMN = {"min_value": 0, "max_value": 32767}  # PostgreSQL's smallint, on every database


class Strict:
    """Refuses what isn't in the schema, so that a slip in a name isn't a value that silently went missing."""

    def to_internal_value(self, data: Any) -> Any:
        """Take the known fields."""
        if isinstance(data, Mapping):
            writable = {name for name, field in self.fields.items() if not field.read_only}  # type: ignore[attr-defined]
            if unknown := sorted(set(data) - writable):
                says = f"no such field can be written here; there are {', '.join(sorted(writable))}"
                raise serializers.ValidationError(dict.fromkeys(unknown, says))
        return super().to_internal_value(data)  # type: ignore[misc]


class Referring(Strict):
    """Finds the rows that a body refers to, once the whole of it fits the schema."""

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Put the rows in place of their ids; RefusedError names those that aren't there, or aren't the writer's."""
        problems = []
        found = dict(attrs)
        user = self.context["request"].user  # type: ignore[attr-defined]
        for name, field in self.fields.items():  # type: ignore[attr-defined]
            if not isinstance(field, Reference) or field.source not in found:
                continue
            pk = found.pop(field.source)
            found[name] = field.rows(user).filter(pk=pk).first() if pk is not None else None
            if pk is not None and found[name] is None:
                key: Key = (pk,)
                problems.append(Problem(name, key, name, f"there is no {name.replace('_', ' ')} {pk}"))
        if problems:
            raise RefusedError(problems)
        return found


class Body(Referring, serializers.Serializer[Any]):
    """A body that is no row: what an action needs to know."""


class Row(Referring, serializers.ModelSerializer[Any]):
    """One row of a table."""

    serializer_field_mapping = serializers.ModelSerializer.serializer_field_mapping | {
        Quantity: Number,
        models.CharField: Text,
        models.TextField: Text,
        models.BooleanField: Flag,
        models.DateField: Day,
        models.DateTimeField: Moment,
        models.DecimalField: Money,
        models.GenericIPAddressField: Address,
        models.EmailField: Text,
        models.SlugField: Text,
        models.PositiveSmallIntegerField: Whole,
        models.PositiveIntegerField: Whole,
    }
    serializer_choice_field = Choice

    def build_standard_field(self, field_name: str, model_field: Any) -> Any:
        """Leave taken names to the actions, which say better what is wrong; give quantities their unit."""
        made, kwargs = super().build_standard_field(field_name, model_field)
        kwargs["validators"] = [each for each in kwargs.get("validators", []) if not isinstance(each, UniqueValidator)]
        if not kwargs["validators"]:
            del kwargs["validators"]
        if isinstance(model_field, Quantity):
            kwargs = {name: kwargs[name] for name in kwargs if name not in {"min_value", "max_value", "validators"}}
            kwargs["quantity"] = model_field
        if isinstance(model_field, models.PositiveSmallIntegerField):
            kwargs = SMALLEST_COLUMN | kwargs
        if issubclass(made, serializers.ChoiceField):
            kwargs.pop("validators", None)
        if isinstance(model_field, models.EmailField):
            kwargs["validators"] = [RegexValidator(EMAIL, "an address such as name@example.com is expected")]
        if isinstance(model_field, models.SlugField):
            kwargs.pop("allow_unicode", None)
            kwargs["validators"] = [RegexValidator(r"^[-a-zA-Z0-9_]+$", "letters, digits, - and _ are expected")]
        return made, kwargs

    def get_uniqueness_extra_kwargs(self, field_names: Any, declared_fields: Any, extra_kwargs: Any) -> Any:
        """Leave it to the actions and the database."""
        return extra_kwargs, {}

    def get_validators(self) -> list[Any]:
        """Leave it to the actions and the database."""
        return []

    def values(self) -> dict[str, Any]:
        """Return what an action needs: what was sent and, for a change, what stays as it is."""
        if self.instance is None:
            return dict(self.validated_data)
        kept = {
            name: getattr(self.instance, name)
            for name, field in self.fields.items()
            if not field.read_only and name in {each.name for each in self.Meta.model._meta.fields}
        }
        return kept | self.validated_data

    def save(self, **kwargs: Any) -> NoReturn:
        """Refuse: writing is an action's work, which knows who writes and keeps the history."""
        raise TypeError(f"{type(self).__name__} is saved by an action; give it values()")


def change_of(row: type[Row], *fixed: str) -> type[Row]:
    """Return the body of a change of a row: what is `fixed` stays as it is, and can't be sent."""
    shown = {name: serializers.IntegerField(source=f"{name}_id", read_only=True) for name in fixed}
    return type(f"{row.__name__}Change", (row,), {**shown, "__doc__": row.__doc__, "__module__": row.__module__})
