"""One case: a mutated survey or request, sent to a filled register, judged, and taken back.

What is refused isn't taken back: it must have written nothing, so counts and digest stay those of the beginning.
"""

import random
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from django.conf import settings
from django.db import transaction
from django.test import Client as Browser

from registry.api.urls import RESOURCES
from registry.exchange.exporting import export_survey
from registry.exchange.folder import SurveyRefusedError, files_of_zip
from registry.exchange.importing import import_survey
from sites.models import Site, User
from sites.tokens import issue_token
from tests.exchange.small_survey import survey
from tests.fuzz import bodies, register, surveys

ROWS: Final = 3
PROBLEM: Final = "application/problem+json"


class FaultError(AssertionError):
    """Raised for a case that the register didn't take well; says what it was."""


class Outcome(NamedTuple):
    """What became of a case: of which kind it was, and how it ended."""

    kind: str
    word: str


@dataclass
class Cases:
    """A filled register, and all that cases are made from."""

    seed: int
    by: User
    files: surveys.Files
    small: surveys.Files
    browser: Browser
    operations: list[bodies.Operation]
    rows: dict[str, list[dict[str, Any]]]
    etags: dict[str, str]
    counts: register.Counts
    digest: str

    def run(self, number: int) -> Outcome:
        """Run one case; the same number gives the same case. Raises FaultError."""
        rng = random.Random(f"{self.seed}:{number}")
        sid = transaction.savepoint()
        kept = False
        try:
            outcome = self._body(rng) if number % 2 else self._survey(rng)
            kept = outcome.word.startswith("refused")
        except FaultError:
            raise
        except Exception as error:
            raise FaultError(f"{type(error).__name__}: {error}") from error
        finally:
            (transaction.savepoint_commit if kept else transaction.savepoint_rollback)(sid)
        return outcome

    def _survey(self, rng: random.Random) -> Outcome:
        files, kind = self._folder(rng)
        try:
            if rng.random() < 0.1:
                kind = "survey, zipped"
                files = files_of_zip(surveys.zipped(files, rng), most_bytes=settings.SURVEY_MAX_BYTES)
            imported = import_survey(files, by=self.by)
        except SurveyRefusedError as refused:
            if not refused.problems or not all(problem.expected for problem in refused.problems):
                raise FaultError(f"refused without saying why: {refused}") from refused
            self._nothing_written()
            return Outcome(kind, "refused")
        if not imported.changes:
            return Outcome(kind, "taken, nothing new")
        if again := import_survey(files, by=self.by).changes:
            raise FaultError(f"not taken whole: imported again it still changes {again[:3]}")
        return Outcome(kind, "taken, with changes")

    def _folder(self, rng: random.Random) -> tuple[surveys.Files, str]:
        """Return a mutated folder: of the small site mostly, some of the big one, some whole and of a new site."""
        chance = rng.random()
        if chance < 0.7:
            return surveys.mutated(self.small, rng), "survey, in part"
        if chance < 0.97:
            return surveys.mutated(self.files, rng), "survey of a big site, in part"
        fresh = surveys.renamed(self.files if chance > 0.995 else self.small, "-2")
        return fresh | surveys.mutated(fresh, rng), "survey of a new site"

    def _body(self, rng: random.Random) -> Outcome:
        asked = bodies.request_for(rng.choice(self.operations), self.rows, rng)
        headers = {"HTTP_IF_MATCH": self.etags.get(asked.path, '"none"')} if rng.random() < 0.97 else {}
        if rng.random() < 0.05:
            headers["HTTP_IDEMPOTENCY_KEY"] = rng.choice(["key", "k" * 101, "é", ""])
        answer = self.browser.generic(asked.method.upper(), asked.path, asked.content, asked.content_type, **headers)
        kind = f"{asked.method} {asked.path.split('/')[3]}"
        if answer.status_code >= 500:
            raise FaultError(f"{answer.status_code} for {asked}")
        if answer.status_code < 400:
            return Outcome(kind, f"taken {answer.status_code}")
        if answer.headers["Content-Type"] != PROBLEM:
            raise FaultError(f"{answer.status_code} without a problem for {asked}")
        self._nothing_written()
        return Outcome(kind, f"refused {answer.status_code}")

    def _nothing_written(self) -> None:
        now = register.counts()
        if now != self.counts:
            changed = {name: (self.counts[name], now[name]) for name in now if now[name] != self.counts[name]}
            raise FaultError(f"refused, yet written: {changed}")

    def nothing_differs(self) -> bool:
        """Return whether every row of every table is what it was, after all that was refused or taken back so far."""
        return register.digest() == self.digest


def prepare(*, seed: int, by: User, site: Site) -> Cases:
    """Import the small survey too, hand out a token, and read all that cases are made from, as it is now."""
    small = survey()
    import_survey(small, by=by)
    secret = issue_token(by=by, name="Mutations", may_write=True, every_client=True).secret
    browser = Browser(SERVER_NAME="localhost", HTTP_AUTHORIZATION=f"Bearer {secret}")
    found = bodies.operations()
    rows: dict[str, list[dict[str, Any]]] = {}
    etags: dict[str, str] = {}
    for name in RESOURCES:
        listed = browser.get(f"/api/v1/{name}/").json()["results"][:ROWS]
        answers = [(each["id"], browser.get(f"/api/v1/{name}/{each['id']}/")) for each in listed]
        rows[name] = [answer.json() for _, answer in answers]
        etags |= {f"/api/v1/{name}/{pk}/": answer.headers["ETag"] for pk, answer in answers}
    return Cases(
        seed, by, export_survey(site), small, browser, found, rows, etags, register.counts(), register.digest()
    )
