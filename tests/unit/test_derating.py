"""Derating policies as the verdict applies them."""

from pathlib import Path

import pytest

from outboard.arrangements import Design, designed
from outboard.brief import read_text
from outboard.checks.derating import derated
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.checks.ratings import rating_checks
from outboard.checks.verification import verified
from outboard.errors import WrongInput
from outboard.formulas.derating_policies import POLICIES

TEXT = (Path(__file__).parents[2] / "examples" / "observatory.toml").read_text(encoding="utf-8")


def design(requirement: str, table: str = "") -> Design:
    lines = [f"derating = {requirement!r}" if line.startswith("trust") else line for line in TEXT.splitlines()]
    return designed(read_text("\n".join(lines) + "\n" + table, "derated.toml"))


def findings(requirement: str, table: str = "") -> dict[tuple[str, str | None], Finding]:
    return {(one.requirement, one.part): one for one in verified(design(requirement, table), 4).findings}


def test_workshop_is_four_fifths_and_25_kelvin() -> None:
    plain, kept = findings("none"), findings("workshop")
    for key in (("collector-emitter voltage", "Q2"), ("collector current", "Q2"), ("resistor power", "R1")):
        assert kept[key].limit == pytest.approx(0.8 * plain[key].limit)
        assert kept[key].derating == "× 0.8 workshop"
    hot = ("junction temperature", "Q2")
    assert kept[hot].limit == pytest.approx(plain[hot].limit - 25.0)
    assert plain[hot].derating == ""


def test_military_caps_junctions_and_leaves_open_what_it_does_not_say() -> None:
    kept = findings("MIL-STD-975M")
    hot = kept["junction temperature", "Q2"]
    assert (hot.verdict, hot.limit) == (FAIL, pytest.approx(125.0))
    regulator = kept["junction temperature", "U1"]
    assert (regulator.verdict, regulator.limit) == (PASS, pytest.approx(100.0))
    assert kept["input voltage", "U1"].verdict == UNDECIDED
    assert "not at hand" in kept["input voltage", "U1"].missing[0]


def test_guarantees_are_no_ratings() -> None:
    """How far a sheet guarantees the output is the same under every policy."""
    plain, kept = findings("none"), findings("workshop")
    key = ("current within the guaranteed range", "U1")
    assert kept[key].limit == plain[key].limit


def test_own_table_counts() -> None:
    table = '[derating]\nvoltage = "70 %"\njunction_below = "10 K"\nresistors = "40 %"\n'
    plain, kept = findings("none"), findings("own", table)
    voltage, hot, power = ("collector-emitter voltage", "Q1"), ("junction temperature", "Q1"), ("resistor power", "R2")
    assert kept[voltage].limit == pytest.approx(0.7 * plain[voltage].limit)
    assert kept[hot].limit == pytest.approx(plain[hot].limit - 10.0)
    assert kept[power].limit == pytest.approx(0.4 * plain[power].limit)


@pytest.mark.parametrize(
    ("requirement", "table", "words"),
    [("own", "", "no table [derating]"), ("none", '[derating]\nvoltage = "70 %"\n', "counts only when"),
     ("works", "", "none of the choices"), ("own", '[derating]\nvoltage = "170 %"\n', "out of bounds")],
)  # fmt: skip
def test_mistakes_are_located(requirement: str, table: str, words: str) -> None:
    with pytest.raises(WrongInput) as wrong:
        design(requirement, table)
    (mistake,) = wrong.value.mistakes
    assert words in mistake.what
    assert mistake.line is not None


def test_every_policy_moves_every_rating_towards_safety() -> None:
    """No policy allows more than the rating; a check that it cannot judge is left without a pass."""
    plain = design("none")
    for policy in POLICIES.values():
        for check in rating_checks(plain):
            kept = derated(check, plain.part(check.part or ""), policy)
            if not callable(check.limit) and not callable(kept.limit):
                assert kept.limit <= check.limit
    assert plain.brief.requirements.policy is None
