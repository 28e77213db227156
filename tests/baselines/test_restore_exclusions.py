"""What a restore never offers: whatever may touch life safety now, and values that nobody can set."""

from typing import Any

import pytest

from registry.audio.models import Line
from registry.baselines.actions import freeze_baseline
from registry.baselines.restore_sheet import restore_sheet
from registry.baselines.restoring import record_step, sheet_of, start_restore
from registry.baselines.snapshot import Content
from registry.equipment.models import Place
from sites.models import Site, User, YesNoUnknown

pytestmark = pytest.mark.django_db


def test_a_line_wired_up_after_freezing_excludes_the_amplifier_that_drives_it(site: Site, tech: User) -> None:
    baseline = freeze_baseline(by=tech, site=site, reason="Commissioning")
    amplifier = Place.objects.get(name="Amplifier 1")
    paging = Line.objects.create(site=site, name="Paging", amplifier=amplifier, channel="9", kind="100")
    assert paging.life_safety == YesNoUnknown.UNKNOWN
    groups = {group.name: group for group in sheet_of(baseline)}
    assert groups["Amplifier 1"].steps == ()
    assert "needs Amplifier 1, which is excluded" in groups["Shop"].excluded
    Line.objects.get(name="L1").coils.update(line=paging)
    why = {group.name: group.excluded for group in sheet_of(baseline)}
    assert why["Shop"].startswith("Excluded: a line here is or may be life-safety related")
    assert why["Yard"].startswith("Excluded: this zone needs Amplifier 1, which is excluded")


def test_a_zone_wired_to_an_excluded_amplifier_since_is_excluded_and_the_others_stay(site: Site, tech: User) -> None:
    baseline = freeze_baseline(by=tech, site=site, reason="Commissioning")
    other = Place.objects.create(site=site, name="Old amplifier")
    Line.objects.create(site=site, name="Paging", amplifier=other, channel="1", kind="100")
    assert not [group for group in sheet_of(baseline) if group.excluded]
    Line.objects.filter(name="L2").update(amplifier=other, channel="2")
    excluded = {group.name: group.excluded for group in sheet_of(baseline) if group.excluded}
    assert list(excluded) == ["Yard"]
    assert "needs Old amplifier, which is excluded" in excluded["Yard"]
    assert sheet_of(baseline)[0].zones == ("Shop",)


def place(model: str | None, **settings: str) -> dict[str, Any]:
    return {"tag": "A1", "model": model, "serial": None, "kind": None} | {
        "settings": {key: [value, ""] for key, value in settings.items()}
    }


def test_nobody_is_asked_to_set_what_is_unknown_or_in_an_empty_place() -> None:
    content: Content = {
        "places": {
            "Amplifier 1": place("Make A A2", source="Stream 1", bass="unknown", treble=" "),
            "Old amplifier": place(None, source="Tuner"),
            "Switch": place("Make F S8", location="Unknown"),
        },
        "zones": {},
        "lines": {},
    }
    groups = restore_sheet(content)
    assert [(group.name, [step.setting for step in group.steps]) for group in groups] == [("Amplifier 1", ["source"])]


def test_an_answer_that_was_not_seen_is_not_overwritten(site: Site, tech: User) -> None:
    restore = start_restore(by=tech, baseline=freeze_baseline(by=tech, site=site, reason="Commissioning"))
    key = "place:Amplifier 1:bass"
    first = record_step(by=tech, restore=restore, key=key, found="4 dB", seen="")
    second = record_step(by=tech, restore=restore, key=key, found="4 dB", done=True, seen=first.version)
    with pytest.raises(ValueError, match="answered this step meanwhile"):
        record_step(by=tech, restore=restore, key=key, could_not="locked", seen=first.version)
    # The same answer sent twice is no conflict, and who doesn't ask isn't asked.
    record_step(by=tech, restore=restore, key=key, found="4 dB", done=True, seen=first.version)
    assert record_step(by=tech, restore=restore, key=key, could_not="locked").pk == second.pk
