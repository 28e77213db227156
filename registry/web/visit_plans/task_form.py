"""The task list of a plan: which tasks, and after how many months each of them is due again."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from django import forms

from registry.visits.models import PlanTask, TaskKind
from registry.visits.plan_editing import WantedTask
from registry.visits.task_list import TASKS, Task

OTHERS = 4
MOST_MONTHS = 240


class TaskRow(NamedTuple):
    """One task that may be chosen, with its two fields and what the list says of it."""

    name: str
    task: Task
    on: forms.BoundField
    months: forms.BoundField


class TaskForm(forms.Form):
    """A tick and an interval for each usual task, and some lines for others."""

    def __init__(
        self, *args: Any, tasks: Mapping[TaskKind, int], others: Iterable[PlanTask] = (), **kwargs: Any
    ) -> None:
        """Show `tasks` ticked with their intervals, and the notes of `others`."""
        super().__init__(*args, **kwargs)
        for kind in _usual():
            self.fields[f"on_{kind.name}"] = forms.BooleanField(label=kind.label, required=False, initial=kind in tasks)
            self.fields[f"months_{kind.name}"] = _months(tasks.get(kind, TASKS[kind].months))
        known = list(others)
        for number in range(max(OTHERS, len(known) + 2)):
            row = known[number] if number < len(known) else None
            self.fields[f"note_{number}"] = forms.CharField(
                label="Another task", max_length=400, required=False, initial=row.note if row else ""
            )
            self.fields[f"every_{number}"] = _months(row.every_months if row else 12)

    @property
    def usual(self) -> list[TaskRow]:
        """The usual tasks in working order."""
        return [
            TaskRow(kind.label, TASKS[kind], self[f"on_{kind.name}"], self[f"months_{kind.name}"]) for kind in _usual()
        ]

    @property
    def others(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """The lines for other tasks."""
        numbers = [name.removeprefix("note_") for name in self.fields if name.startswith("note_")]
        return [(self[f"note_{number}"], self[f"every_{number}"]) for number in numbers]

    def wanted(self) -> list[WantedTask]:
        """Return the tasks that were chosen."""
        chosen = self.cleaned_data
        usual = [WantedTask(kind, chosen[f"months_{kind.name}"] or 0) for kind in _usual() if chosen[f"on_{kind.name}"]]
        numbers = [name.removeprefix("note_") for name in chosen if name.startswith("note_")]
        notes = [(chosen[f"note_{number}"].strip(), chosen[f"every_{number}"] or 0) for number in numbers]
        return usual + [WantedTask(TaskKind.OTHER, months, note) for note, months in notes if note]


def _usual() -> Iterator[TaskKind]:
    return (kind for kind in TASKS if kind != TaskKind.OTHER)


def _months(initial: int) -> forms.IntegerField:
    label = "every … months"
    return forms.IntegerField(label=label, min_value=0, max_value=MOST_MONTHS, required=False, initial=initial)
