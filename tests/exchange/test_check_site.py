"""What `check_site --json` says of a survey, against ngspice on circuits built straight from the CSV rows."""

import csv
import io
import json
import math
import random
from collections import defaultdict
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from registry.exchange.importing import import_survey
from tests.engineering import spice
from tests.exchange.small_survey import edited, survey

COPPER_OHM_M = 1.7241e-8  # International Annealed Copper Standard at 20 °C, IEC 60028
RATED = ((8.0, 60.0), (4.0, 100.0))  # Make A A2 in the small survey
MODELS = {"C6": 8.0, "C8": 6.0, "P16": 16.0}


def checked(site: str) -> dict[str, Any]:
    out = io.StringIO()
    call_command("check_site", site, json=True, stdout=out)
    found: dict[str, Any] = json.loads(out.getvalue())
    return found


def random_survey(seed: int) -> dict[str, bytes]:
    """Twenty random lines, low-impedance and constant-voltage, on ten two-channel amplifiers."""
    chance = random.Random(seed)
    small = {name: content.decode() for name, content in survey().items()}
    equipment, lines = small["equipment.csv"].split("\n")[0] + "\n", small["lines.csv"].split("\n")[0] + "\n"
    label = iter(range(1, 10_000))
    for amplifier in range(10):
        equipment += f"acre,Amp {amplifier},T{amplifier},Make A,A2,,,,,,,,,,,\n"
        for channel in "AB":
            kind = chance.choice(("low", "low", "100"))
            for string in range(chance.randint(1, 3)):
                for order in range(1, chance.randint(1, 5) + 1):
                    model = chance.choice(sorted(MODELS))
                    tap = "" if kind == "low" else chance.choice(("10", "5", "2.5"))
                    cable = chance.choice(("18 AWG", "14 AWG", "1.5 mm2", "2.5 mm²"))
                    lines += (
                        f"acre,L{amplifier}{channel},Amp {amplifier},{channel},no,{kind},{string},{order},"
                        f"LS{next(label)},Make B,{model},1,{tap},Shop,,,{cable},{chance.uniform(1, 80):.2f}\n"
                    )
    loudspeakers = "make,model,impedance_ohm,power_w\n" + "".join(f"Make B,{m},{ohm},60\n" for m, ohm in MODELS.items())
    ratings = (
        "make,model,channels,load_ohm,line_v,power_w,min_load_ohm\n"
        + "Make A,A2,2,8,,60,4\nMake A,A2,2,4,,100,4\nMake A,A2,2,,100,120,\n"
    )
    changed = {"equipment": equipment, "lines": lines, "loudspeakers": loudspeakers, "ratings": ratings}
    return {name: content for name, content in survey(**changed).items() if name not in {"settings.csv", "levels.csv"}}


def loop_ohm(row: dict[str, str]) -> float:
    size, unit = row["cable"].split()
    # ASTM B258: 0.127 mm × 92^((36 − n)/39)
    area_mm2 = math.pi / 4 * (0.127 * 92 ** ((36 - int(size)) / 39)) ** 2 if unit == "AWG" else float(size)
    return 2 * float(row["cable_m"]) * COPPER_OHM_M / (area_mm2 * 1e-6)


def load_ohm(row: dict[str, str]) -> float:
    return MODELS[row["model"]] if row["kind"] == "low" else 100.0**2 / float(row["tap_w"])


class Circuit:
    """One line as ngspice cards, from its CSV rows."""

    def __init__(self, name: str, rows: list[dict[str, str]]) -> None:
        self.name, self.rows, self.cards = name, rows, [f"V{name} {name} 0 DC 1"]
        self.across: dict[str, tuple[str, str]] = {}
        strings: dict[str, list[dict[str, str]]] = defaultdict(list)
        for row in rows:
            strings[row["string"]].append(row)
        for string in strings.values():
            self._string(sorted(string, key=lambda row: int(row["order"])))

    def _string(self, rows: list[dict[str, str]]) -> None:
        here = self.name
        for row in rows:
            fed, after = f"{row['loudspeaker']}f", f"{row['loudspeaker']}a"
            last = row is rows[-1]
            after = "0" if row["kind"] != "low" or last else after
            self.cards.append(f"Rc{row['loudspeaker']} {here} {fed} {loop_ohm(row)!r}")
            self.cards.append(f"Rl{row['loudspeaker']} {fed} {after} {load_ohm(row)!r}")
            self.across[row["loudspeaker"]] = (fed, after)
            here = fed if row["kind"] != "low" else after


def channel_volts(kind: str, ohm: float) -> float:
    """√(P·R) at the rated loads, linear over 1/R between them, held beyond them (calculations.md)."""
    if kind != "low":
        return 100.0
    (high_ohm, high_w), (low_ohm, low_w) = RATED
    high, low = math.sqrt(high_ohm * high_w), math.sqrt(low_ohm * low_w)
    share = (1 / ohm - 1 / high_ohm) / (1 / low_ohm - 1 / high_ohm)
    return high + (low - high) * min(1.0, max(0.0, share))


@pytest.mark.django_db
@pytest.mark.skipif(not spice.AVAILABLE, reason="ngspice is not installed here")
@pytest.mark.parametrize("seed", [1, 2])
def test_every_figure_of_a_survey_agrees_with_a_circuit_simulator(seed: int) -> None:
    files = random_survey(seed)
    import_survey(files, by=None)
    rows: dict[str, list[dict[str, str]]] = defaultdict(list)
    for row in csv.DictReader(io.StringIO(files["lines.csv"].decode())):
        rows[row["line"]].append(row)
    circuits = {name: Circuit(f"n{name}".lower(), found) for name, found in rows.items()}
    deck = spice.Deck(cards=[card for circuit in circuits.values() for card in circuit.cards])
    point = deck.run()
    for line in checked("acre")["lines"]:
        circuit = circuits[line["line"]]
        ohm = -1 / point[f"i(v{circuit.name})"]
        assert line["impedance_ohm"] == pytest.approx(ohm, rel=1e-6)
        volts = channel_volts(line["kind"], ohm)
        assert line["power_w"] == pytest.approx(volts**2 / ohm, rel=1e-6)
        for unit in line["loudspeakers"]:
            fed, after = (point[node.lower()] if node != "0" else 0.0 for node in circuit.across[unit["label"]])
            row = next(row for row in circuit.rows if row["loudspeaker"] == unit["label"])
            watts = ((fed - after) * volts) ** 2 / load_ohm(row)
            assert unit["power_w"] == pytest.approx(watts, rel=1e-6)
            alone = channel_volts(line["kind"], load_ohm(row)) ** 2 / load_ohm(row)
            assert unit["level_re_direct_db"] == pytest.approx(10 * math.log10(watts / alone), abs=1e-5)


def test_the_answer_has_the_shape_that_scripts_rely_on(imported: dict[str, bytes]) -> None:
    answer = checked("acre")
    assert list(answer) == ["site", "lines", "racks", "zones"]
    assert list(answer["lines"][0]) == [
        "line", "amplifier", "channel", "kind", "impedance_ohm", "minimum_impedance_ohm", "channel_minimum_ohm",
        "power_w", "channel_power_w", "loudspeakers", "checks",
    ]  # fmt: skip
    assert list(answer["lines"][0]["loudspeakers"][0]) == ["label", "coil", "power_w", "level_re_direct_db"]
    assert list(answer["racks"][0]) == [
        "rack", "used_u", "free_u", "weight_kg", "idle_w", "max_w", "heat_btu_h", "current_a", "circuit_limit_a",
        "checks",
    ]  # fmt: skip
    assert list(answer["zones"][0]) == [
        "zone", "spot", "level_db", "baseline_db", "drift_db", "uncertainty_db", "verdict",
    ]  # fmt: skip
    assert answer["racks"][0]["used_u"] == 1
    assert answer["racks"][0]["heat_btu_h"] == pytest.approx(180 * 3.412142, rel=1e-6)  # International Table BTU


def test_strict_exits_1_on_a_fail_and_a_missing_site_exits_2(imported: dict[str, bytes]) -> None:
    call_command("check_site", "acre", strict=True, stdout=io.StringIO())
    ratings = survey()["ratings.csv"].decode().replace(",4\n", ",20\n")
    import_survey({"ratings.csv": ratings.encode()}, by=None)
    call_command("check_site", "acre", stdout=io.StringIO())
    with pytest.raises(SystemExit) as strict:
        call_command("check_site", "acre", strict=True, stdout=io.StringIO())
    assert strict.value.code == 1
    with pytest.raises(CommandError) as missing:
        call_command("check_site", "nowhere")
    assert missing.value.returncode == 2


def test_the_commands_import_and_export_folders(db: None, tmp_path: Any) -> None:
    (tmp_path / "in").mkdir()
    for name, content in survey().items():
        (tmp_path / "in" / name).write_bytes(content)
    out = io.StringIO()
    call_command("import_survey", str(tmp_path / "in"), dry_run=True, stdout=out)
    assert "28 would be new" in out.getvalue()
    call_command("import_survey", str(tmp_path / "in"), stdout=out)
    call_command("export_survey", "acre", str(tmp_path / "out"), stdout=out)
    assert len(list((tmp_path / "out").glob("*.csv"))) == 12
    (tmp_path / "in" / "spaces.csv").write_text("site,space,ceiling_m\nacre,Shop,high\nacre,Yard,low\n")
    with pytest.raises(CommandError) as refused:
        call_command("import_survey", str(tmp_path / "in"))
    assert refused.value.returncode == 2
    assert [told.split(":")[0] for told in str(refused.value).split("\n")] == [
        "spaces.csv line 2, column ceiling_m",
        "spaces.csv line 3, column ceiling_m",
    ]


@pytest.mark.parametrize(("said", "verdict"), [("yes", "warn"), ("unknown", "unknown")])
def test_a_script_hears_of_life_safety(db: None, said: str, verdict: str) -> None:
    import_survey(edited("lines", "A,no,low", f"A,{said},low"), by=None)
    checks = {check["code"]: check["verdict"] for check in checked("acre")["lines"][0]["checks"]}
    assert checks["life-safety"] == verdict
    assert "life-safety" not in {check["code"] for check in checked("acre")["lines"][1]["checks"]}
