"""What the page of freezing shows: what is missing or not as agreed, and what would change."""

from typing import Any, NamedTuple

from registry.baselines.not_as_agreed import exceptions_of
from registry.baselines.queries import newest_baselines
from registry.baselines.site_rows import rows_of
from registry.baselines.snapshot import content_of, differences
from registry.web.baselines.forms import FreezeForm
from registry.web.baselines.words import SUBJECTS, label_of, value_of
from sites.models import Site


class Change(NamedTuple):
    """One value that the next baseline would hold otherwise, in words."""

    subject: str
    name: str
    label: str
    before: str
    after: str


def freeze_page(site: Site, form: FreezeForm) -> dict[str, Any]:
    """Return the context of the page; a constant number of queries.

    What was ticked for another number was ticked for other exceptions: it has to be ticked again.
    """
    newest, rows = newest_baselines([site.pk]).get(site.pk), rows_of(site)
    content = content_of(rows)
    number = newest.number + 1 if newest else 1
    if form.is_bound and form.data.get("number") not in {None, "", str(number)}:
        form.data = {key: value for key, value in form.data.items() if key != "with_exceptions"}
    changes = differences(newest.content, content) if newest else []
    return {
        "form": form,
        "newest": newest,
        "next": number,
        "missing": exceptions_of(rows, content, newest),
        "changes": [
            Change(
                SUBJECTS[each.subject],
                each.name,
                label_of(each.key),
                value_of(each.key, each.before, site),
                value_of(each.key, each.after, site),
            )
            for each in changes
        ],
    }
