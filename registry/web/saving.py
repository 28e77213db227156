"""From a form to an action and back: what the action refuses stands beside the field, and what was typed stays."""

from collections.abc import Callable
from typing import TypeVar

from django.db import IntegrityError
from django.forms import BaseForm
from django.http import HttpRequest, QueryDict

from registry.web.versions import Versioned
from sites.put import RefusedError
from sites.versions import ChangedMeanwhileError

T = TypeVar("T")
MEANWHILE = "Somebody else changed the same thing a moment ago. Look at it again, then save once more."


def typed(request: HttpRequest) -> QueryDict | None:
    """Return what a form was sent with, or None when the page is only looked at."""
    return request.POST if request.method == "POST" else None


def saved(form: BaseForm, action: Callable[[], T]) -> T | None:
    """Run `action` when the form is valid and return its result; None when the form has to be shown again."""
    if not form.is_valid():
        return None
    try:
        return action()
    except RefusedError as refused:
        for problem in refused.problems:
            form.add_error(field_of(form, problem.field), problem.says)
    except ChangedMeanwhileError as changed:
        _tell(form, changed)
    except ValueError as refused:
        form.add_error(None, str(refused))
    except IntegrityError:
        form.add_error(None, MEANWHILE)
    return None


def _tell(form: BaseForm, changed: ChangedMeanwhileError) -> None:
    if isinstance(form, Versioned):
        form.show_meanwhile(changed)
    else:
        form.add_error(None, str(changed))


def status_of(form: BaseForm) -> int:
    """Return the status of a page with this form: 409 when somebody was faster, 422 when it is refused otherwise."""
    if getattr(form, "meanwhile", None):
        return 409
    return 422 if form.errors else 200


def field_of(form: BaseForm, name: str) -> str | None:
    """Return the form's field for a column (`site_id` is `site`), or None when the form doesn't show it."""
    return next((field for field in (name, name.removesuffix("_id")) if field in form.fields), None)
