"""Designs that move: one that is steady, one that swings, one with a driver; what is found of them."""

from pathlib import Path

from outboard.analysis.moving_design import MovingDesign, moving_design
from outboard.analysis.response import Answer, response
from outboard.checks.responding import Responded, responded
from outboard.dossier import opened_text

ROOT = Path(__file__).resolve().parents[1]
EXAMPLE = ROOT / "examples" / "word-clock.toml"
TEXT = EXAMPLE.read_text(encoding="utf-8")
OBSERVATORY = (ROOT / "examples" / "observatory.toml").read_text(encoding="utf-8").replace("[stage]\n", """[dynamics]
regulator_bandwidth = "15 kHz"
driver_f_T = "50 MHz"
driver_C_ob = "50 pF"
pass_f_T = "2.5 MHz"
pass_C_ob = "500 pF"

[stage]
""", 1) + """
[[parts]]
name = "C2"
kind = "capacitor"
pins = { a = "out", b = "ground" }
capacitance = "47 µF"
series_resistance = "0.5 Ω"
"""


def design_of(text: str) -> MovingDesign:
    return moving_design(opened_text(text, str(EXAMPLE)).design)


def judged(text: str) -> Responded:
    return responded(opened_text(text, str(EXAMPLE)).design)


def verdicts(found: Responded) -> dict[str, str]:
    return {finding.title: finding.verdict for finding in found.verdict.findings}


def changed(old: str, new: str, text: str = TEXT) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


SWINGS = changed('series_resistance = "1 Ω"', 'series_resistance = "30 mΩ"').replace('"10 µF"', '"1 µF"')


def usual(text: str, word: str = "most") -> Answer:
    return response(design_of(text)).answer(word)
