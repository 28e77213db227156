"""Pages of lines."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseBase
from django.shortcuts import redirect, render

from registry.audio.editing import save_line, say_life_safety
from registry.audio.loads import with_wiring
from registry.audio.models import Line
from registry.audio.queries import lines_visible_to
from registry.web.access import SignedIn, changeable, visible
from registry.web.audio.filters import LINE_COLUMNS, LineFilter, line_page_of, listed_lines
from registry.web.audio.forms import LifeSafetyForm, LineForm
from registry.web.audio.line_page import line_page
from registry.web.crumbs import Crumbs, site_crumbs
from registry.web.lists import Listing
from registry.web.pages import form_page
from registry.web.saving import saved, typed
from sites.models import Role, YesNoUnknown

WIRING_CAUTIONS = ("wiring", "line")


def lines(request: SignedIn) -> HttpResponseBase:
    """List lines of all sites."""
    listing = Listing(request, listed_lines(request.user), LINE_COLUMNS, name="lines", filterset=LineFilter)
    return listing.response("audio/lines.html")


def line(request: SignedIn, pk: int) -> HttpResponseBase:
    """Show a line."""
    found = visible(with_wiring(lines_visible_to(request.user)), pk=pk)
    context = {"line": found, "site": found.site, "crumbs": site_crumbs(found.site), **line_page(found)}
    return render(request, "audio/line.html", context)


def line_crumbs(line: Line) -> Crumbs:
    """Return the way down to a line."""
    return [*site_crumbs(line.site), (line.name, line_page_of(line))]


def line_edit(request: SignedIn, pk: int) -> HttpResponseBase:
    """Change a line's name, channel or kind."""
    found = changeable(request, lines_visible_to(request.user), pk=pk)
    if not found.may_change:
        return untouched(request, found)
    form = LineForm(typed(request), instance=found, site=found.site)
    if made := saved(form, lambda: save_line(by=request.user, line=found, **form.edited())):
        messages.success(request, f"Line {made} is saved. Its load was judged again.")
        return redirect("line", made.pk)
    answer = "One channel carries one line. The load is judged again when you save."
    crumbs = line_crumbs(found)
    return form_page(request, form, heading=f"Edit {found}", answer=answer, crumbs=crumbs, cautions=WIRING_CAUTIONS)


def line_life_safety(request: SignedIn, pk: int) -> HttpResponseBase:
    """Record whether a line is life-safety related; managers only."""
    found = changeable(request, lines_visible_to(request.user), pk=pk)
    if request.user.role != Role.MANAGER:
        raise PermissionDenied("Only a manager records whether a line is life-safety related.")
    form = LifeSafetyForm(typed(request), line=found)
    if saved(form, lambda: _said(request, found, form)):
        messages.success(request, f"Recorded for line {found}: {found.get_life_safety_display().lower()}.")
        return redirect("line", found.pk)
    heading = f"What {found} serves"
    answer = "Fire alarm, voice alarm and emergency paging are not this register's: it only remembers where they are."
    return form_page(
        request, form, heading=heading, answer=answer, crumbs=line_crumbs(found), cautions=("life-safety",)
    )


def _said(request: SignedIn, line: Line, form: LifeSafetyForm) -> Line:
    value, source = YesNoUnknown(form.cleaned_data["life_safety"]), form.cleaned_data["source"]
    return say_life_safety(by=request.user, line=line, value=value, source=source, version=form.version())


def untouched(request: SignedIn, line: Line) -> HttpResponseBase:
    """Say why nothing on this line is changed here."""
    context = {"line": line, "crumbs": line_crumbs(line), "may_say": request.user.role == Role.MANAGER}
    return render(request, "audio/untouched.html", context, status=403)
