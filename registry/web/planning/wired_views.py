"""It is wired: what was read off the new amplifiers, what the register would change, and the change itself."""

from typing import Any, NamedTuple

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.exchange.designs import Wired, put_into_register
from registry.exchange.folder import SurveyProblem, SurveyRefusedError
from registry.exchange.survey_format import EQUIPMENT
from registry.planning.models import FoldPlan
from registry.planning.queries import acceptance_of, accepted_plans, fold_plans_visible_to
from registry.planning.standing import standing_of
from registry.web.access import SignedIn, changeable
from registry.web.exchange.preview import previews
from registry.web.planning.forms import BoxForm
from registry.web.planning.plan_views import plan_crumbs
from registry.web.saving import typed
from sites.models import User
from sites.put import RefusedError

CONFIRMED = "confirm"


class Tried(NamedTuple):
    """What a run or a dry run came to: what it did, or the faults that stand beside no field."""

    wired: Wired | None
    faults: list[str]


def fold_plan_wired(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show what putting an accepted plan into the register would do, and do it when that is confirmed."""
    plan = changeable(request, fold_plans_visible_to(request.user), pk=pk)
    standing = standing_of(plan, accepted_plans([plan.site_id]).get(plan.site_id))
    if standing.word != "accepted":
        messages.error(
            request, f"Plan {plan.number} is {standing.word}: only an accepted one is put into the register."
        )
        return redirect("fold-plan", plan.pk)
    forms = _box_forms(plan, request)
    confirmed = request.method == "POST" and CONFIRMED in request.POST
    tried = _tried(request.user, plan, forms, confirmed=confirmed)
    if confirmed and tried.wired is not None:
        messages.success(request, f"Plan {plan.number} is in the register. Freeze a baseline when it is commissioned.")
        return redirect("fold-plan", plan.pk)
    return render(request, "planning/wired.html", _context(plan, forms, tried), status=_status(request, tried))


def _status(request: SignedIn, tried: Tried) -> int:
    return 422 if request.method == "POST" and tried.wired is None else 200


def _context(plan: FoldPlan, forms: list[BoxForm], tried: Tried) -> dict[str, Any]:
    return {
        "plan": plan,
        "site": plan.site,
        "crumbs": plan_crumbs(plan),
        "forms": forms,
        "faults": tried.faults,
        "wired": tried.wired,
        "previews": previews(tried.wired.imported) if tried.wired else [],
    }


def _box_forms(plan: FoldPlan, request: SignedIn) -> list[BoxForm]:
    acceptance = acceptance_of(plan)
    assert acceptance is not None and acceptance.design is not None
    rows = acceptance.design["tables"]["equipment"]
    return [
        BoxForm(typed(request), prefix=f"b{number}", initial={"tag": row["tag"]}, site=plan.site, place=row["place"])
        for number, row in enumerate(rows)
    ]


def _tried(by: User, plan: FoldPlan, forms: list[BoxForm], *, confirmed: bool) -> Tried:
    """Run, or run dry; before anything was typed, with the draft tags."""
    bound = any(form.is_bound for form in forms)
    if bound and [form for form in forms if not form.is_valid()]:
        return Tried(None, [])
    equipment = {form.place: form.row() for form in forms} if bound else {}
    try:
        return Tried(put_into_register(by=by, plan=plan, equipment=equipment, dry_run=not confirmed), [])
    except SurveyRefusedError as refused:
        return Tried(None, [str(problem) for problem in refused.problems if not _beside_field(problem, forms)])
    except RefusedError as refused:
        return Tried(None, [f"{problem.says[0].upper()}{problem.says[1:]}." for problem in refused.problems])


def _beside_field(problem: SurveyProblem, forms: list[BoxForm]) -> bool:
    """Put a fault of a row of equipment.csv beside the field that it is about, where that is on the page."""
    if problem.file != EQUIPMENT.name or problem.line is None or problem.line < 2:
        return False
    form = forms[problem.line - 2]
    if not form.is_bound or problem.column not in form.fields:
        return False
    form.add_error(problem.column, f"{problem.expected}.")
    return True
