"""Every write says who, when and from where: by page, in bulk, by import, by command, by program."""

from io import StringIO
from pathlib import Path

import pytest
from django.apps import apps
from django.test import Client as Browser
from django.urls import reverse

from registry.audio.models import Coil
from registry.demo.factories import ClientFactory, CoilFactory, UserFactory
from registry.equipment.models import ConfigurationRecord, Setting
from registry.exchange.importing import import_survey
from sites.editing import save_client
from sites.facts import Fact
from sites.history import site_path
from sites.history_reading import logged_models, tell
from sites.models import Client, HistoryEntry, Role, Site, User
from sites.origin import Origin, Way, coming_from
from sites.tokens import issue_token
from tests.exchange.small_survey import survey

pytestmark = pytest.mark.django_db
BENCH = Origin(Way.PAGE, "bench", "192.0.2.7")


def written() -> set[tuple[str, int]]:
    """Return every history row and every logged fact there is: kind and number."""
    found = set()
    for model in logged_models():
        table = model if issubclass(model, Fact) else model.history.model  # type: ignore[attr-defined]
        found |= {(model._meta.label_lower, pk) for pk in table._base_manager.values_list("pk", flat=True)}
    return found


def test_every_row_of_an_import_is_logged_with_who_and_from_where() -> None:
    tech = UserFactory()
    with coming_from(BENCH):
        import_survey(survey(), by=tech)
    entries = HistoryEntry.objects.all()
    assert set(entries.values_list("kind", "row")) == written()
    assert {(entry.by, entry.way, entry.name, entry.address) for entry in entries} == {(tech, *BENCH[:3])}
    assert len(entries) >= 28


def test_every_row_knows_its_site() -> None:
    import_survey(survey(), by=None)
    site = Site.objects.get()
    for entry in HistoryEntry.objects.all():
        assert entry.site == (site if site_path(apps.get_model(entry.kind)) else None), entry


def test_a_setting_is_told_with_its_record() -> None:
    import_survey(survey(), by=None)
    assert Setting.objects.count() == 3
    assert (
        HistoryEntry.objects.filter(kind="equipment.configurationrecord").count() == ConfigurationRecord.objects.count()
    )
    assert not HistoryEntry.objects.filter(kind="equipment.setting").exists()


def test_a_page_says_its_name_and_the_address_it_was_asked_from() -> None:
    tech, client = UserFactory(role=Role.TECH), ClientFactory()
    browser = Browser(REMOTE_ADDR="192.0.2.44")
    browser.force_login(tech)
    browser.post(reverse("client-edit", args=[client.pk]), {"name": client.name, "phone": "12"})
    entry = HistoryEntry.objects.filter(kind="client_sites.client").first()
    assert entry is not None
    assert (entry.by, entry.way, entry.name, entry.address, entry.deed) == (
        tech, "page", "client-edit", "192.0.2.44", "~"
    )  # fmt: skip


def test_a_program_is_told_by_its_token_s_user_and_the_api() -> None:
    issued = issue_token(by=UserFactory(role=Role.MANAGER), name="Sync", may_write=True, every_client=True)
    program = Browser(REMOTE_ADDR="192.0.2.45", headers={"authorization": f"Bearer {issued.secret}"})
    answer = program.post("/api/v1/clients/", {"name": "North Ltd"}, content_type="application/json")
    assert answer.status_code == 201, answer.content
    entry = HistoryEntry.objects.get(kind="client_sites.client")
    assert (entry.by, entry.way, entry.address) == (issued.token.user, "api", "192.0.2.45")


def test_a_removal_is_logged_with_the_site() -> None:
    coil = CoilFactory()
    site = coil.line.site
    coil.delete()
    entry = HistoryEntry.objects.filter(kind="audio.coil", deed="-").get()
    assert entry.site == site and not Coil.objects.exists()


def test_nothing_is_logged_when_nothing_is_written() -> None:
    client = ClientFactory()
    before = HistoryEntry.objects.count()
    save_client(by=UserFactory(), client=client, values={"name": client.name})
    assert HistoryEntry.objects.count() == before


def test_an_entry_is_told_in_words(django_assert_num_queries: object) -> None:
    tech: User = UserFactory()
    client = ClientFactory(name="North Ltd", phone="1")
    for phone in ("2", "3", ""):
        save_client(by=tech, client=Client.objects.get(), values={"name": client.name, "phone": phone})
    entries = list(HistoryEntry.objects.filter(kind="client_sites.client"))
    with django_assert_num_queries(2):  # type: ignore[operator]
        tell(entries)
    told = [[(change.label, change.old, change.new) for change in entry.changes] for entry in entries]  # type: ignore[attr-defined]
    assert told[:3] == [[("phone", "3", "not known")], [("phone", "2", "3")], [("phone", "1", "2")]]
    assert {entry.what for entry in entries} == {"North Ltd"}  # type: ignore[attr-defined]


def test_every_kind_of_row_has_words() -> None:
    import_survey(survey(), by=None)
    entries = list(HistoryEntry.objects.all())
    tell(entries)
    assert all(entry.what and entry.changes for entry in entries)  # type: ignore[attr-defined]
    reading = next(entry for entry in entries if entry.kind == "baselines.reading")
    assert {"zone", "level_db"} & {change.field.removesuffix("_id") for change in reading.changes} == {
        "zone",
        "level_db",
    }


def test_a_command_says_who_ran_it() -> None:
    source = (Path(__file__).parents[2] / "manage.py").read_text()
    assert "with coming_from(this_command(sys.argv)):" in source
    out = StringIO()
    with coming_from(Origin(Way.COMMAND, "import_survey", "desk@here")):
        import_survey(survey(), by=None)
    assert not out.getvalue()
    assert set(HistoryEntry.objects.values_list("way", "name", "address", "by")) == {
        ("command", "import_survey", "desk@here", None)
    }
