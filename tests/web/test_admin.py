"""The admin is for superusers; what was recorded as a fact is only read there."""

import pytest
from django.apps import apps
from django.urls import reverse

from registry.audio.loads import refresh_verdicts
from registry.audio.models import Line, Loudspeaker
from registry.demo.factories import (
    BaselineFactory,
    CoilFactory,
    ConfigurationRecordFactory,
    LineFactory,
    ReadingFactory,
    SettingFactory,
    UserFactory,
)
from sites.facts import Fact
from sites.models import Site, User
from sites.stewards import ReadOnly, stewards
from tests.web.conftest import SignIn

FACTS = {
    "equipment/configurationrecord": ConfigurationRecordFactory,
    "equipment/setting": SettingFactory,
    "baselines/reading": ReadingFactory,
    "baselines/baseline": BaselineFactory,
}


@pytest.fixture
def steward(db: None) -> User:
    return UserFactory(is_staff=True, is_superuser=True)


def test_staff_who_are_no_superusers_stay_outside(db: None, sign_in: SignIn) -> None:
    staff = UserFactory(is_staff=True)
    assert sign_in(staff).get("/admin/").status_code == 302


def test_every_table_opens_for_a_steward(steward: User, sign_in: SignIn) -> None:
    browser = sign_in(steward)
    for model in stewards._registry:
        address = reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_changelist")
        assert browser.get(address).status_code == 200, address


def test_every_fact_is_among_the_tables_and_only_read() -> None:
    read_only = {model for model, table in stewards._registry.items() if isinstance(table, ReadOnly)}
    assert {model for model in apps.get_models() if issubclass(model, Fact)} <= read_only


@pytest.mark.parametrize("address", FACTS)
def test_a_fact_is_neither_added_nor_changed_nor_deleted(address: str, steward: User, sign_in: SignIn) -> None:
    row = FACTS[address]()
    browser = sign_in(steward)
    assert browser.get(f"/admin/{address}/{row.pk}/change/").status_code == 200
    assert browser.post(f"/admin/{address}/{row.pk}/change/", {}).status_code == 403
    assert browser.get(f"/admin/{address}/add/").status_code == 403
    assert browser.post(f"/admin/{address}/{row.pk}/delete/", {"post": "yes"}).status_code == 403
    marked = {"action": "delete_selected", "_selected_action": [row.pk], "post": "yes"}
    browser.post(f"/admin/{address}/", marked)
    assert type(row).objects.filter(pk=row.pk).exists()


def test_a_site_keeps_its_client(steward: User, site: Site, sign_in: SignIn) -> None:
    page = sign_in(steward).get(f"/admin/client_sites/site/{site.pk}/change/").content.decode()
    assert 'name="name"' in page
    assert 'name="client"' not in page


def test_taking_a_loudspeaker_out_judges_its_line_anew(steward: User, sign_in: SignIn) -> None:
    # Three times 8 Ω in parallel is 2.7 Ω, below the 4 Ω that the factory's amplifier allows; two times is 4 Ω.
    line = LineFactory()
    coils = [CoilFactory(line=line, cable="", cable_m=None) for _ in range(3)]
    refresh_verdicts(Line.objects.all())
    line.refresh_from_db()
    assert line.verdict == "fail"
    gone = coils[0].loudspeaker
    sign_in(steward).post(f"/admin/audio/loudspeaker/{gone.pk}/delete/", {"post": "yes"})
    line.refresh_from_db()
    assert not Loudspeaker.objects.filter(pk=gone.pk).exists()
    assert line.verdict != "fail"
    assert gone.history.model.objects.filter(id=gone.pk, history_type="-").exists()


def test_the_history_of_a_row_carries_no_inline_style(steward: User, site: Site, sign_in: SignIn) -> None:
    site.name = "North Barn"
    site.save()
    page = sign_in(steward).get(f"/admin/client_sites/site/{site.pk}/history/").content.decode()
    assert "North Barn" in page
    assert "style=" not in page
