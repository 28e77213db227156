"""Writes through the API: the register's own actions, validators, keys, and problems that name the field."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.utils import timezone

from registry.api.resources import models
from registry.audio.models import Coil, Line, Zone
from registry.baselines.models import Baseline, Reading
from registry.equipment.models import ConfigurationRecord, Item, MakeModel, Placement
from registry.visits.models import Finding
from registry.visits.working import begin_visit
from sites.models import IntegrationToken, Receipt, Site, Space, User
from tests.api.conftest import Program, fill_site

NOON = "2026-11-21T12:00:00Z"


@pytest.fixture
def zone(site: Site) -> Zone:
    return site.zones.get()


def test_what_a_program_records_carries_its_name(site: Site, writer: Program) -> None:
    answer = writer.send("POST", "spaces/", {"site": site.pk, "name": "Yard", "ceiling_m": 4})
    assert answer.status_code == 201
    assert answer.headers["Location"].endswith(f"/api/v1/spaces/{answer.json()['id']}/")
    space = Space.objects.get(name="Yard")
    assert space.ceiling_m == 4.0
    assert str(space.history.get().history_user) == IntegrationToken.objects.get().name


def test_a_change_keeps_what_is_not_sent_and_needs_the_version_that_was_read(site: Site, writer: Program) -> None:
    space = site.spaces.get()
    path, before = f"spaces/{space.pk}/", space.ceiling_m
    assert writer.send("PATCH", path, {"use": "bar"}).status_code == 428
    read = writer.etag(path)
    changed = writer.send("PATCH", path, {"use": "bar"}, If_Match=read)
    assert changed.status_code == 200
    assert changed.headers["ETag"] == writer.etag(path) != read
    assert writer.send("PATCH", path, {"use": "hall"}, If_Match=read).status_code == 412
    space.refresh_from_db()
    assert (space.use, space.ceiling_m) == ("bar", before)


def test_what_was_read_once_is_not_sent_again(site: Site, reader: Program) -> None:
    for path in ("sites/", f"sites/{site.pk}/", f"sites/{site.pk}/drift/", "schema/"):
        first = reader.read(path)
        again = reader.read(path, If_None_Match=f'"other", W/{first.headers["ETag"]}')
        assert (again.status_code, again.content) == (304, b"")
    Site.objects.filter(pk=site.pk).update(name="Elsewhere")
    assert reader.read("sites/", If_None_Match=first.headers["ETag"]).status_code == 200


def test_a_request_with_a_key_is_done_once(site: Site, writer: Program) -> None:
    body = {"site": site.pk, "name": "Yard"}
    first, again = (writer.send("POST", "spaces/", body, Idempotency_Key="k-1") for _ in range(2))
    assert (first.status_code, first.json()) == (again.status_code, again.json())
    assert again.headers["Location"] == first.headers["Location"]
    assert Space.objects.filter(name="Yard").count() == Receipt.objects.count() == 1
    other = writer.send("POST", "spaces/", body | {"name": "Roof"}, Idempotency_Key="k-1")
    assert other.status_code == 422
    assert not Space.objects.filter(name="Roof").exists()


def test_a_refused_request_leaves_its_key_free(site: Site, writer: Program) -> None:
    taken = {"site": site.pk, "name": "Hall"}
    assert writer.send("POST", "spaces/", taken, Idempotency_Key="k-2").status_code == 409
    assert not Receipt.objects.exists()
    assert writer.send("POST", "spaces/", taken | {"name": "Yard"}, Idempotency_Key="k-2").status_code == 201


def test_a_refusal_of_the_register_names_the_field(site: Site, writer: Program) -> None:
    answer = writer.send("POST", "spaces/", {"site": site.pk, "name": "Hall"})
    assert answer.status_code == 409
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["errors"][0]["pointer"] == "/name"
    absent = writer.send("POST", "racks/", {"site": 999, "name": "B", "height_u": 12})
    assert absent.json()["errors"] == [{"pointer": "/site", "detail": "there is no site 999"}]


def test_a_reading_is_recorded_judged_and_corrected_but_never_in_the_future(zone: Zone, writer: Program) -> None:
    body: dict[str, Any] = {"zone": zone.pk, "state": "as left", "taken_at": NOON, "level_db": 71.5}
    made = writer.send("POST", "readings/", body).json()
    assert Reading.objects.get(pk=made["id"]).taken_at == datetime(2026, 11, 21, 12, tzinfo=UTC)
    corrected = writer.send("POST", f"readings/{made['id']}/correction/", {"level_db": 70.5})
    assert corrected.status_code == 201
    assert corrected.json()["replaces"] == made["id"]
    assert writer.read(f"readings/{made['id']}/").json()["corrected_by"] == corrected.json()["id"]
    again = writer.send("POST", f"readings/{made['id']}/correction/", {"level_db": 69.5})
    assert again.status_code == 409
    late = writer.send("POST", "readings/", body | {"taken_at": "2999-01-01T00:00:00Z"})
    assert late.json()["errors"][0]["pointer"] == "/taken_at"


def test_settings_are_recorded_for_the_item_that_is_there_and_corrected(site: Site, writer: Program) -> None:
    place = site.places.get()
    settings = [{"key": "cap", "value": "80", "unit": "%"}]
    body = {"place": place.pk, "state": "as found", "taken_at": NOON, "settings": settings}
    made = writer.send("POST", "records/", body).json()
    assert ConfigurationRecord.objects.get(pk=made["id"]).item == Placement.objects.get(place=place).item
    twice = writer.send("POST", f"records/{made['id']}/correction/", {"settings": settings * 2})
    assert twice.status_code == 409
    fixed = writer.send("POST", f"records/{made['id']}/correction/", {"settings": [settings[0] | {"value": "70"}]})
    assert fixed.json()["settings"] == [{"key": "cap", "value": "70", "unit": "%"}]


def test_a_baseline_is_frozen_with_what_is_missing_only_when_that_is_said(site: Site, writer: Program) -> None:
    body = {"site": site.pk, "reason": "Agreed"}
    assert writer.send("POST", "baselines/", body).status_code == 409
    made = writer.send("POST", "baselines/", body | {"with_exceptions": True})
    assert made.status_code == 201
    assert Baseline.objects.get(pk=made.json()["id"]).content == made.json()["content"]
    assert "content" not in writer.read("baselines/").json()["results"][0]


def test_a_line_s_load_follows_when_a_coil_is_taken_off(site: Site, writer: Program) -> None:
    line = Line.objects.get()
    before = writer.read(f"lines/{line.pk}/").json()["load"]["impedance_ohm"]
    path = f"coils/{Coil.objects.first().pk}/"  # type: ignore[union-attr]
    assert writer.send("DELETE", path, If_Match=writer.etag(path)).status_code == 204
    after = writer.read(f"lines/{line.pk}/").json()["load"]["impedance_ohm"]
    # Ohm's law: one loudspeaker alone is twice two equal ones in parallel.
    assert after == pytest.approx(2 * before)


def test_a_line_that_may_be_life_safety_is_left_alone(site: Site, writer: Program) -> None:
    Line.objects.update(life_safety="unknown")
    line = Line.objects.get()
    path = f"lines/{line.pk}/"
    answer = writer.send("PATCH", path, {"name": "Other"}, If_Match=writer.etag(path))
    assert answer.status_code == 409
    assert "life-safety" in answer.json()["detail"]
    assert writer.send("PATCH", path, {"life_safety": "no"}, If_Match=writer.etag(path)).status_code == 400


def test_nothing_refers_to_another_site(site: Site, writer: Program) -> None:
    path = f"lines/{Line.objects.get().pk}/"
    other = fill_site("south-barn", "South Ltd")
    amplifier = other.places.get()
    answer = writer.send("PATCH", path, {"amplifier": amplifier.pk}, If_Match=writer.etag(path))
    assert answer.json()["errors"][0]["pointer"] == "/amplifier"
    zone = f"zones/{site.zones.get().pk}/"
    answer = writer.send("PATCH", zone, {"space": other.spaces.get().pk}, If_Match=writer.etag(zone))
    assert answer.json()["errors"][0]["pointer"] == "/space"


def test_an_item_stays_in_its_place_unless_it_is_sent_elsewhere(site: Site, writer: Program) -> None:
    item = Item.objects.get()
    path, place = f"items/{item.pk}/", writer.read(f"items/{item.pk}/").json()["place"]
    kept = writer.send("PATCH", path, {"serial": "S-9"}, If_Match=writer.etag(path))
    assert (kept.json()["place"], kept.json()["serial"]) == (place, "S-9")
    taken = writer.send("PATCH", path, {"place": None}, If_Match=writer.etag(path))
    assert taken.json()["place"] is None


def test_a_model_is_recorded_with_its_ratings_and_keeps_them(site: Site, writer: Program) -> None:
    ratings = [{"load_ohm": 8, "power_w": 120}, {"line_v": 100, "power_w": 240}]
    body = {"make": "Make Z", "name": "A-2", "kind": "amplifier", "price": "99.50", "currency": "EUR"}
    made = writer.send("POST", "models/", body | {"ratings": ratings})
    assert made.status_code == 201
    path = f"models/{made.json()['id']}/"
    changed = writer.send("PATCH", path, {"weight_kg": 5}, If_Match=writer.etag(path))
    assert len(changed.json()["ratings"]) == 2
    assert str(MakeModel.objects.get(name="A-2").price) == "99.50"
    both = writer.send("PATCH", path, {"ratings": [{"load_ohm": 8, "line_v": 100}]}, If_Match=writer.etag(path))
    assert both.json()["errors"][0]["pointer"] == "/ratings"


def test_a_finding_is_recorded_at_a_visit_under_way_changed_and_closed_once(site: Site, writer: Program) -> None:
    visit, zone = site.visits.get(), site.zones.get()
    body = {"site": site.pk, "severity": "degraded", "says": "It hums", "follow_up": "planned", "zone": zone.pk}
    early = writer.send("POST", "findings/", body | {"visit": visit.pk})
    assert (early.status_code, "has not begun" in early.json()["detail"]) == (409, True)
    begin_visit(by=User.objects.get(username="manager"), visit=visit)
    made = writer.send("POST", "findings/", body | {"visit": visit.pk}).json()
    assert (made["visit"], made["zone"], made["closed_at"]) == (visit.pk, zone.pk, None)
    path = f"findings/{made['id']}/"
    changed = writer.send("PATCH", path, {"severity": "down"}, If_Match=writer.etag(path)).json()
    assert (changed["severity"], changed["says"], changed["zone"]) == ("down", "It hums", zone.pk)
    assert writer.send("POST", f"{path}closing/", {"done": ""}).status_code == 400
    closed = writer.send("POST", f"{path}closing/", {"done": "Tightened", "visit": visit.pk})
    assert (closed.status_code, closed.json()["done"]) == (200, "Tightened")
    assert Finding.objects.get(pk=made["id"]).closed_visit == visit
    assert writer.send("POST", f"{path}closing/", {"done": "Again"}).status_code == 409


def test_a_reading_at_a_visit_belongs_to_it(site: Site, zone: Zone, writer: Program) -> None:
    visit = begin_visit(by=User.objects.get(username="manager"), visit=site.visits.get())
    body = {"zone": zone.pk, "visit": visit.pk, "level_db": 71.5, "taken_at": timezone.now().isoformat()}
    left = writer.send("POST", "readings/", body | {"state": "as left"})
    assert (left.status_code, left.json()["visit"]) == (201, visit.pk)
    assert visit.readings.get().reading_id == left.json()["id"]
    locked = writer.send("POST", "readings/", body | {"state": "as found"})
    assert locked.json()["errors"][0]["pointer"] == "/state"


def test_a_rating_that_changes_while_a_program_writes_is_not_overwritten(
    site: Site, writer: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = {"make": "Make Z", "name": "A-2", "kind": "amplifier", "ratings": [{"load_ohm": 8, "power_w": 120}]}
    path = f"models/{writer.send('POST', 'models/', made).json()['id']}/"
    save = models.save_model

    def late(**given: Any) -> MakeModel:
        rating = given["model"].ratings.get()
        rating.power_w = 150
        rating.save()
        return save(**given)

    monkeypatch.setattr(models, "save_model", late)
    ratings = [{"load_ohm": 8, "power_w": 90}]
    answer = writer.send("PATCH", path, {"ratings": ratings}, If_Match=writer.etag(path))
    assert answer.status_code == 409
    assert writer.read(path).json()["ratings"][0]["power_w"] == 120, "all of it was rolled back with the request"
