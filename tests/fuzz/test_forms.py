"""Every form that a walk finds: hostile texts are taken, or refused with what was typed; never a fault."""

import random
from typing import Any, Final
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse

from registry.baselines.restoring import start_restore
from registry.visits.feeds import make_feed
from registry.visits.guests import make_guest_link
from registry.visits.models import Visit
from sites.models import Site, User
from sites.tokens import issue_token
from tests.fuzz import register
from tests.fuzz.forms import Form, shown_texts, walked
from tests.fuzz.hostile import LONG, TEXTS

pytestmark = pytest.mark.django_db

ROUNDS: Final = int(LONG or 2)
ANSWERS: Final = {200, 302, 303, 400, 403, 404, 409, 413, 422}
# These end the walk, or belong to nobody who is signed in.
LEFT_ALONE: Final = frozenset({"sign-out", "sign-in", "sign-in-code", "password-link"})
FORMS_AT_LEAST: Final = 100
LONGEST_IN_ADDRESS: Final = 40
TOLD: Final = frozenset({"axes_accessattempt", "axes_accessfailurelog", "client_sites_accountevent"})


def sent(browser: Browser, form: Form, typed: dict[str, str], rng: random.Random) -> Any:
    """Send a form as a browser does; signs that no browser sends are sent as bytes that are no UTF-8."""
    content = form.as_shown() | typed
    if form.method == "get":
        return browser.get(f"{form.action.partition('?')[0]}?{urlencode(content, errors='surrogatepass')}")
    files = [name for name, (kind, _, _) in form.fields.items() if kind == "file"]
    if not files:
        encoded = urlencode(content, errors="surrogatepass")
        return browser.post(form.action, encoded, content_type="application/x-www-form-urlencoded")
    content = {each: whole(text) for each, text in content.items()}
    name = rng.choice(["a.jpg", "survey.zip", "a.csv", "../a.pdf", "x" * 300, "‮gpj.exe", "a\x00b.csv"])
    upload = rng.choice(
        [b"", b"\x00", b"PK\x03\x04", b"%PDF-1.4", b"\xff\xd8\xff\xe0", rng.choice(TEXTS).encode("utf-8", "replace")]
    )
    return browser.post(form.action, content | {each: SimpleUploadedFile(name, upload) for each in files})


def hostile(form: Form, rng: random.Random) -> dict[str, str]:
    """Type something hostile into some of the fields, or choose what isn't offered."""
    names = [name for name in form.as_shown() if name in form.typed or rng.random() < 0.15]
    chosen = rng.sample(names, rng.randint(1, len(names))) if names else []
    return {name: rng.choice(TEXTS) for name in chosen}


def fault_of(browser: Browser, form: Form, rng: random.Random) -> str:
    """Send one form with hostile values, take back what came of it, and return what was wrong."""
    typed, before = hostile(form, rng), counted()
    what = f"{form.name} at {form.action} from {form.page} with { {name: text[:40] for name, text in typed.items()} }: "
    sid = transaction.savepoint()
    try:
        answer = sent(browser, form, typed, rng)
        _ = list(answer)  # read to its end, a file is closed
        if answer.status_code not in ANSWERS:
            return f"{what}{answer.status_code}"
        if answer.status_code not in {409, 422}:
            return ""
        if wrote := counted().items() - before.items():
            return f"{what}refused, yet wrote {wrote}"
        lost = lost_by(answer.content.decode(), form, typed)
        return f"{what}lost {lost}" if lost else ""
    except Exception as error:
        return f"{what}{type(error).__name__}: {error}"
    finally:
        transaction.savepoint_rollback(sid)


def counted() -> register.Counts:
    """Return the rows of every table but those that tell of wrong passwords."""
    return {name: count for name, count in register.counts().items() if name not in TOLD}


def lost_by(page: str, form: Form, typed: dict[str, str]) -> set[str]:
    """Return the fields whose text isn't shown again. Much of a form that was forged isn't, nor endless addresses."""
    if not set(typed) <= set(form.typed):
        return set()
    kept = shown_texts(page)
    lost = {name: as_kept(text) for name, text in typed.items() if as_kept(text) not in kept}
    return {name for name, text in lost.items() if form.method == "post" or len(text) <= LONGEST_IN_ADDRESS}


def whole(text: str) -> str:
    """Return a text as it arrives when its half signs were no UTF-8."""
    return text.encode("utf-8", "surrogatepass").decode("utf-8", "replace")


def as_kept(text: str) -> str:
    """Return what the page shows again of a text: one kind of line end, nothing around it."""
    return whole(text).replace("\r\n", "\n").replace("\r", "\n").strip()


def starts(site: Site, by: User) -> list[str]:
    """Fill what the demo leaves out, and return where the walk begins: pages of every state a thing can be in."""
    restore = start_restore(by=by, baseline=site.baselines.latest("pk"))
    issue_token(by=by, name="Walked", every_client=True)
    make_feed(by=by, name="Walked")
    make_guest_link(by=by, visit=Visit.objects.filter(closed_at__isnull=False).latest("pk"), for_whom="Owner", days=7)
    visits = [reverse("visit", args=[pk]) for pk in Visit.objects.order_by("-pk").values_list("pk", flat=True)[:8]]
    return ["/", reverse("restore", args=[restore.pk]), *visits]


def test_no_form_takes_hostile_values_for_a_fault_and_each_keeps_what_was_typed(
    browser: Browser, demo: Site, manager: User
) -> None:
    forms = list(walked(browser, starts(demo, manager), LEFT_ALONE))
    assert len({form.name for form in forms if form.method == "post"}) >= FORMS_AT_LEAST
    faults = [
        fault
        for form in forms
        for number in range(ROUNDS if form.method == "post" else (ROUNDS + 1) // 2)
        if (fault := fault_of(browser, form, random.Random(f"{form.name}:{number}")))
    ]
    assert not faults, "\n".join(faults)
