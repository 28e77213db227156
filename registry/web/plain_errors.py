"""What a field says that is refused, in the words of the register: Django's own are those of a programmer."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.forms import Field


def speak_plainly() -> None:
    """Put plain words in the place of Django's, for every form and model."""
    Field.default_error_messages["required"] = "Fill this in."
    MinValueValidator.message = "Give %(limit_value)s or more."
    MaxValueValidator.message = "Give %(limit_value)s or less."
