"""`manage.py calc` lists, explains, calculates, and says every fault on its own line with exit code 2."""

import wave
from io import StringIO
from pathlib import Path

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from registry.web.cautions import CAUTIONS
from registry.web.workbench.catalogue import CALCULATIONS, THEMES
from registry.web.workbench.declaring import Calculation
from tests.web.workbench.asking import calc

EVERY = pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=CALCULATIONS)


def said(*words: str) -> str:
    out = StringIO()
    call_command("calc", *words, stdout=out)
    return out.getvalue()


def refused(*words: str) -> list[str]:
    with pytest.raises(CommandError) as caught:
        call_command("calc", *words, stdout=StringIO())
    assert caught.value.returncode == 2
    return str(caught.value).split("\n")


def test_alone_it_lists_every_calculation_under_its_theme() -> None:
    lines = said().splitlines()
    assert [line for line in lines if not line.startswith(" ")] == [theme.title for theme in THEMES]
    assert [line.split()[0] for line in lines if line.startswith(" ")] == list(CALCULATIONS)


@EVERY
def test_a_name_alone_explains_every_input_and_gives_an_example(calculation: Calculation) -> None:
    text = said(calculation.name)
    assert all(f"  {field.name} " in text and field.label in text for field in calculation.inputs)
    assert f"Example: manage.py calc {calculation.name} " in text
    assert f"Source: {calculation.source}" in text


def test_the_answer_comes_first_then_figures_formula_and_source() -> None:
    lines = said("cable-loss", "cable=100 ft of 18 AWG", "load=4 ohm").splitlines()
    assert lines[0] == "The cable costs 2.41 dB of level: 1.28 Ω before a load of 4 Ω."
    assert "Level: 20 lg(1 + R/Z) = 20 lg(1 + 1.28 Ω / 4 Ω) = 2.41 dB" in lines
    assert lines[-1].startswith("Source: Voltage divider")


def test_lines_of_a_table_may_be_written_with_backslash_n() -> None:
    assert calc("hearing-dose", {"exposures": r"85 dB, 4 h\n88 dB, 2 h\n91 dB, 1 h"})["results"][
        "niosh_percent"
    ] == pytest.approx(150.0)


def test_every_fault_has_its_own_line() -> None:
    assert refused("cable-loss", "cable=60 ft", "load=-3", "colour=red") == [
        "colour=red: no such input; write one of cable=…, load=…, figure_wanted=…",
        "cable: cannot read '60 ft': write a one-way length and a size, for example 60 ft of 16 AWG",
        "load: -3 is out of range: allowed is above 0 to 100000 Ω",
    ]


def test_an_input_given_twice_is_a_fault() -> None:
    assert "load: given twice" in refused("cable-loss", "cable=1 m of 1 mm2", "load=4", "load=8")


def test_an_unknown_calculation_is_a_fault() -> None:
    assert refused("perpetual-motion") == ["there is no calculation 'perpetual-motion'; manage.py calc lists them"]


def test_an_open_circuit_is_a_word_in_json() -> None:
    assert calc("network", {"parts": "open"})["results"] == {"impedance_ohm": "infinite"}


def test_cautions_stand_in_the_answer() -> None:
    found = calc("equal-loudspeakers", {"strings": "6", "impedance": "8 ohm", "minimum": "4 ohm"})
    assert found["verdict"] == "fail"
    assert found["says"] == "Six loudspeakers of 8 Ω in parallel load the channel with 1.33 Ω; it allows 4 Ω or more."
    assert found["cautions"][0] == CAUTIONS["load"]


def test_the_saved_noise_has_the_level_and_crest_factor_that_were_told(tmp_path: Path) -> None:
    file = tmp_path / "noise.wav"
    words = ["kind=programme", "seconds=2", "rms=-23", "crest=2.2", "seed=7"]
    call_command("calc", "noise-signal", *words, "--save", str(file), stdout=StringIO())
    with wave.open(str(file)) as wav:
        assert (wav.getnchannels(), wav.getframerate(), wav.getnframes()) == (1, 48_000, 96_000)
        samples = np.frombuffer(wav.readframes(96_000), dtype="<i2") / 32767
    rms = float(np.sqrt(np.mean(samples**2)))
    assert 20 * np.log10(rms) == pytest.approx(-23.0, abs=0.01)
    assert np.abs(samples).max() / rms == pytest.approx(2.2, abs=0.01)


def test_saving_where_there_is_no_file_is_a_fault() -> None:
    assert refused("cap", "dial=30", "--save", "x.wav") == ["--save: there is no file for this calculation"]


def test_a_file_that_cannot_be_written_is_a_fault(tmp_path: Path) -> None:
    gone = tmp_path / "gone" / "noise.wav"
    found = refused("noise-signal", "seconds=1", "--save", str(gone))
    assert found == [f"--save: cannot write {gone}: No such file or directory"]
