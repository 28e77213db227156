"""From what was typed to an answer, or to what has to be corrected: the same for the page and the command."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from registry.web.workbench.declaring import Answer, Calculation, InputError

WHOLE: Final = ""  # the key of a fault that belongs to no single input
TOO_LARGE: Final = "these figures together are too large or too small to calculate with; bring them nearer together"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was typed, and either the answer or the faults by input."""

    typed: dict[str, str]
    faults: dict[str, str]
    answer: Answer | None


def worked(calculation: Calculation, typed: Mapping[str, str]) -> Outcome:
    """Read every input, collect every fault, and calculate when there is none."""
    texts = {field.name: typed.get(field.name, "") for field in calculation.inputs}
    values, faults = {}, {}
    for field in calculation.inputs:
        try:
            values[field.name] = field.read(texts[field.name])
        except ValueError as error:
            faults[field.name] = str(error)
    if faults:
        return Outcome(texts, faults, None)
    try:
        return Outcome(texts, {}, calculation.compute(**values))
    except InputError as error:
        return Outcome(texts, {error.field: str(error)}, None)
    except ValueError as error:
        return Outcome(texts, {WHOLE: str(error)}, None)
    except ArithmeticError:
        return Outcome(texts, {WHOLE: TOO_LARGE}, None)
