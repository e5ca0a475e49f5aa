"""The verdict on whole designs: axes, corners, worst cases against hand equations and random draws, the examples."""

import json
import os
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from outboard.arrangements import Design, designed, expanded_text
from outboard.arrangements.transistor_figures import Place, transistor_figures
from outboard.brief import read, read_text
from outboard.cases.axes import SHORT, Axis, axes
from outboard.cases.corners import USUAL, Corners, corners_of, every_choice, swept_loads
from outboard.checks import verification
from outboard.checks.check import AT_MOST, Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding, Verdict
from outboard.checks.group import grouped
from outboard.checks.ratings import rating_checks
from outboard.checks.tally import Tally, Worst
from outboard.checks.verdict import corner_words, finding
from outboard.checks.verification import verified
from outboard.cli.program import program
from outboard.constants import ZERO_CELSIUS
from outboard.formulas.compound import compound_regulator_current
from outboard.formulas.current_division import regulator_current
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY
from outboard.network.overrides import Overrides
from outboard.network.solve import released, solved
from outboard.parts.records import Origin

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = ROOT / "examples"
GOOD = ("observatory", "model-railway")
WRONG = "wrong-attic-server"
NETWORKS = sorted((ROOT / "tests" / "reference" / "networks").glob("*.toml"))


@cache
def design(name: str) -> Design:
    return designed(read(EXAMPLES / f"{name}.toml"))


@cache
def verdict(name: str) -> Verdict:
    return verified(design(name))


def by_name(found: Verdict) -> Mapping[tuple[str, str | None], Finding]:
    return {(finding.requirement, finding.part): finding for finding in found.findings}


# ---- axes --------------------------------------------------------------------------------------------------------

SEVERAL = """
title = "Several pass devices"
[input]
voltage = ["17 V", "19 V", "21 V"]
[output]
voltage = "12 V"
tolerance = "6 %"
load = ["0.1 A", "3 A", "6 A"]
[stage]
arrangement = "bypass"
regulator = "7812"
pass = "MJ2955"
count = {count}
{ballast}
resistors = "5 %"
[heat.sinks]
main = "0.4 K/W"
[heat]
pass = {{ sink = "main", pad = "0.5 K/W" }}
regulator = {{ sink = "main", pad = "1 K/W" }}
"""
"""Invented."""


def several(count: int) -> Design:
    ballast = 'ballast = "0.1 Ω"' if count > 1 else ""
    return designed(read_text(SEVERAL.format(count=count, ballast=ballast), "several.toml"))


def axis_named(found: tuple[Axis, ...], name: str) -> Axis:
    (axis,) = (axis for axis in found if axis.name == name)
    return axis


@pytest.mark.parametrize("count", [1, 2, 3, 4])
@pytest.mark.parametrize("kind", ["gain", "V_BE"])
def test_devices_in_parallel_are_alike_or_one_is_apart(count: int, kind: str) -> None:
    whole = several(count)
    devices = [part.name for part in whole.with_role("pass device")]
    assert len(devices) == count
    axis = axis_named(axes(whole), f"{kind} Q1" if count == 1 else f"{kind} Q1…Q{count}")
    assert axis.parts == tuple(devices)
    words = ["least", "most"] + (["least for Q1 only", "most for Q1 only"] if count > 1 else [])
    assert [option.word for option in axis.options] == words
    spread = whole.part("Q1").identified.spread(kind)  # type: ignore[union-attr]
    assert spread is not None
    field, ends = spread.fields[0], {"least": spread.least[0], "most": spread.most[0]}
    for option in axis.options:
        first, others = {
            "least": ("least", "least"), "most": ("most", "most"),
            "least for Q1 only": ("least", "most"), "most for Q1 only": ("most", "least"),
        }[option.word]  # fmt: skip
        assert [option.values[name, field] for name in devices] == [ends[first], *[ends[others]] * (count - 1)]


@pytest.mark.parametrize(("count", "pair"), [(1, 2), (2, 4), (3, 4), (4, 4)])
def test_axes_and_combinations_counted_by_hand(count: int, pair: int) -> None:
    """gain and V_BE (2 ends, 4 for several), leakage 2, R1 2, ballast 2 where there is some, set voltage 3, strength 2;
    and the usual design."""
    found = axes(several(count))
    group = f"Q1…Q{count}" if count > 1 else "Q1"
    expected = {f"gain {group}": pair, f"V_BE {group}": pair, "leakage": 2, "R1": 2, "set voltage U1": 3,
                "strength U1": 2}  # fmt: skip
    expected |= {"other resistors": 2} if count > 1 else {}
    firsts = {axis.name: sum(not option.second_look for option in axis.options) for axis in found}
    assert firsts == expected
    combinations = pair * pair * 2 * 2 * 3 * 2 * (2 if count > 1 else 1)
    assert len(every_choice(found)) == combinations + 1


def test_devices_of_other_types_or_places_are_no_group() -> None:
    names = {axis.name for axis in axes(design("observatory"))}
    assert {"gain Q1", "gain Q2", "V_BE Q1", "V_BE Q2"} <= names


def test_set_voltage_and_regulation_are_never_at_their_ends_together() -> None:
    """The sheet's output band holds for both together."""
    regulator = design("observatory").part("U1").identified
    assert regulator is not None
    regulation, setting = regulator.spread("regulation"), regulator.spread("set voltage")
    assert regulation is not None and setting is not None
    for option in axis_named(axes(design("observatory")), "set voltage U1").options:
        fields = {field for _, field in option.values}
        assert not (fields & set(regulation.fields) and fields & set(setting.fields))
    soft = axis_named(axes(design("observatory")), "set voltage U1").options[2]
    assert soft.values == {("U1", field): number for field, number in
                           zip(regulation.fields, regulation.most, strict=True)}  # fmt: skip


def test_all_leakages_move_together() -> None:
    axis = axis_named(axes(design("observatory")), "leakage")
    assert axis.parts == ("Q1", "Q2")
    least, most = axis.options
    for name in axis.parts:
        assert least.values[name, "cutoff_current"] == 0.0
        assert most.values[name, "cutoff_current"] > 0.0


def test_a_weak_regulator_drops_out_and_limits_early() -> None:
    weak, strong, late = axis_named(axes(design("observatory")), "strength U1").options
    for field, sign in (("dropout_voltage", 1), ("quiescent_current", 1), ("current_limit", -1)):
        assert sign * (weak.values["U1", field] - strong.values["U1", field]) > 0.0
        assert late.values["U1", field] == (strong if field == "current_limit" else weak).values["U1", field]
    assert late.second_look == SHORT and not weak.second_look and not strong.second_look


def expanded_several(change: tuple[str, str] | None = None) -> Design:
    """Three pass devices as explicit parts; of the second ballast's figures one may be changed."""
    text = expanded_text(several(3))
    at = text.index('name = "R4"')
    return designed(read_text(text[:at] + (text[at:].replace(*change, 1) if change else text[at:]), "explicit.toml"))


@pytest.mark.parametrize(
    ("change", "apart"),
    [(None, ["Q1"]), (("100 mΩ", "150 mΩ"), ["Q1", "Q2"]), (('tolerance = "5 %"', 'tolerance = "1 %"'), ["Q1", "Q2"])],
)
def test_devices_that_are_not_alike_are_set_apart_in_turn(change: tuple[str, str] | None, apart: list[str]) -> None:
    whole = expanded_several(change)
    words = [option.word for option in axis_named(axes(whole), "V_BE Q1…Q3").options]
    assert words == ["least", "most", *(f"{end} for {name} only" for name in apart for end in ("least", "most"))]
    parts = {check.part: check.alike for check in grouped(rating_checks(whole), whole.parts)
             if check.requirement == "junction temperature" and check.part != "U1"}  # fmt: skip
    assert parts == ({"Q1": ("Q1", "Q2", "Q3")} if change is None else {"Q1": ("Q1", "Q3"), "Q2": ()})


def test_the_ballast_of_a_device_apart_may_lie_at_its_other_end() -> None:
    whole = several(3)
    options = axis_named(axes(whole), "other resistors").options[2:]
    assert [option.word for option in options] == ["most but for least R3", "least but for most R3"]
    for option, own, beside in zip(options, (0.95, 1.05), (1.05, 0.95), strict=True):
        assert [option.values[name, "resistance"] for name in ("R3", "R4", "R5")] == pytest.approx(
            [0.1 * own, 0.1 * beside, 0.1 * beside])  # fmt: skip


def test_base_resistor_moves_alone_and_the_others_together() -> None:
    found = axes(design("observatory"))
    base, others = axis_named(found, "R1"), axis_named(found, "other resistors")
    assert base.parts == ("R1",) and others.parts == ("R2", "R9")
    values = {name: design("observatory").part(name).part.values["resistance"] for name in ("R1", "R2", "R9")}
    for axis in (base, others):
        for option, factor in zip(axis.options, (0.95, 1.05), strict=True):
            assert option.values == {(name, "resistance"): pytest.approx(factor * values[name]) for name in axis.parts}


def test_every_option_says_where_its_numbers_come_from() -> None:
    for name in (*GOOD, WRONG):
        for axis in axes(design(name)):
            assert all(option.origins for option in axis.options), axis.name


# ---- corners -----------------------------------------------------------------------------------------------------


def corners(name: str, choices: list[list[int]], surroundings: list[tuple[float, float]]) -> Corners:
    setting = verification.setting_of(design(name), 3)
    table = np.array(choices, dtype=np.int8)
    return corners_of(setting.axes, table, surroundings, setting.base, setting.input)


def test_a_corner_says_itself() -> None:
    found = axes(design("model-railway"))
    choice = [USUAL] * len(found)
    place = {axis.name: a for a, axis in enumerate(found)}
    choice[place["gain Q1"]], choice[place["R1"]] = 0, 1
    rows = corners("model-railway", [choice], [(9.6, ZERO_CELSIUS - 7.5)])
    worst = Worst(1.0, 2.0, 1.0, rows, 0, 2.5)
    assert corner_words(worst, [place["R1"], place["gain Q1"]]) == "9.6 V in, 2.5 A, −7.5 °C, most R1, least gain Q1"
    assert rows.word(0, place["leakage"]) == "usual"


def test_corner_numbers_are_what_was_put_in() -> None:
    found = by_name(verdict("observatory"))["junction temperature", "Q2"]
    assert {"input_V": 20.5, "load_A": 5.0, "ambient_C": 40.0}.items() <= found.corner.items()
    assert list(found.corner)[:3] == ["input_V", "load_A", "ambient_C"]
    assert found.in_words.startswith("20.5 V in, 5 A, 40 °C")
    words = set(found.in_words.split(", ")[3:])
    assert words == {f"{word} {axis}" for axis, word in list(found.corner.items())[3:]}


def test_overrides_of_a_corner_are_the_options_numbers() -> None:
    name = "model-railway"
    found = axes(design(name))
    for row, choice in enumerate(every_choice(found)[:40]):
        rows = corners(name, [list(choice)], [(9.6, 283.15)])
        numbers = dict(zip(rows.overrides.fields, rows.overrides.values[0], strict=True))
        assert numbers[AMBIENT_FIELD] == 283.15 and numbers["input", "voltage"] == 9.6
        for axis, option in zip(found, choice, strict=True):
            values = axis.options[option].values if option != USUAL else {}
            assert all(numbers[address] == value for address, value in values.items()), (row, axis.name)


def test_without_anything_that_varies_there_is_one_corner() -> None:
    assert every_choice(()).shape == (1, 0)


def test_loads_are_dense_where_devices_hand_over() -> None:
    loads = swept_loads(0.0, 5.0, 24, (2.0,))
    assert loads[0] == 0.0 and loads[-1] == 5.0 and 2.0 in loads and len(loads) == 25
    assert (np.diff(loads) > 0.0).all()
    assert np.searchsorted(loads, 0.5) > 10
    assert list(swept_loads(2.0, 2.0, 24, (2.0,))) == [2.0]


# ---- the worst case against hand equations ---------------------------------------------------------------------------


def weakest(name: str, part: str, current: float, cold: float) -> tuple[float, float]:
    """V_BE [V] at most and gain at least of a transistor at a junction temperature, by the hand figures."""
    kind = design(name).part(part).type
    assert kind is not None
    figures = transistor_figures(kind, Place(part, current, 4.0, cold, 400.0))
    return figures.most_voltage.value, figures.least_gain.value


def by_hand(name: str, junctions: Mapping[str, float], currents: Mapping[str, float]) -> float:
    """Regulator current [A] at full load from the textbook equations for constant V_BE and gain."""
    whole = design(name)
    assert whole.brief.output is not None
    load = whole.brief.output.load.most

    def least(part: str) -> float:
        return whole.part(part).part.values["resistance"] * 0.95

    ends = {part: weakest(name, part, current, junctions[part]) for part, current in currents.items()}
    if "Q2" not in ends:
        voltage, gain = ends["Q1"]
        return regulator_current(
            load_current=load, current_gain=gain, base_emitter_voltage=voltage, base_resistance=least("R1")
        )
    return compound_regulator_current(
        load_current=load, driver_gain=ends["Q1"][1], pass_gain=ends["Q2"][1],
        driver_base_emitter_voltage=ends["Q1"][0], pass_base_emitter_voltage=ends["Q2"][0],
        base_resistance=least("R1"), bleed_resistance=least("R2"),
    )  # fmt: skip


STANDING = 0.02
"""What the equations leave out [A]: 8 mA of quiescent current through R1, 9 mA of standing load at the output."""


@pytest.mark.parametrize("name", GOOD)
def test_worst_regulator_current_is_what_hand_equations_say(name: str) -> None:
    """The equations know no self-heating.  With every junction as cold as the air V_BE is too high and gain too low, so
    they ask more of the regulator than the warmed circuit; with every junction at 125 °C less.  At the junction
    temperatures of the worst lane itself they agree, but for the currents that they leave out.

    Equations: `compound_regulator_current` (derived there) and Roy Choudhury & Jain, Linear Integrated Circuits, 6.1.
    """
    found = by_name(verdict(name))["current within the guaranteed range", "U1"]
    setting = verification.setting_of(verification.at_work(design(name)), 2)
    conditions = (min(setting.inputs), min(setting.ambients))
    assert (found.corner["input_V"], found.corner["ambient_C"]) == pytest.approx(
        (conditions[0], conditions[1] - ZERO_CELSIUS)
    )
    assert (found.corner["gain Q1"], found.corner["V_BE Q1"], found.corner["R1"]) == ("least", "most", "least")
    rows = setting.corners(every_choice(setting.axes), [conditions])
    block = solved(setting.circuit, rows.overrides, setting.sweep(setting.loads[-1:]))
    worst = int(np.argmin(block.pin_current("U1", "out")[:, 0]))
    transistors = [part.name for part in setting.design.parts if part.part.kind == "bipolar"]
    currents = {part: abs(float(block.pin_current(part, "collector")[worst, 0])) for part in transistors}
    junctions = {part: float(block.junction_temperature(part)[worst, 0]) for part in transistors}
    cold, hot = dict.fromkeys(transistors, conditions[1]), dict.fromkeys(transistors, ZERO_CELSIUS + 125.0)
    assert found.worst is not None
    assert by_hand(name, hot, currents) < found.worst < by_hand(name, cold, currents)
    assert found.worst == pytest.approx(by_hand(name, junctions, currents), abs=STANDING)


# ---- the worst case against random draws -----------------------------------------------------------------------------

DRAWS = 200


def drawn(setting: Any, seed: int) -> tuple[Overrides, np.ndarray]:
    """Random devices, resistors, inputs and ambients inside everything that was promised, and a load for each."""
    random = np.random.default_rng(seed)
    addresses = list(dict.fromkeys(a for axis in setting.axes for option in axis.options for a in option.values))
    rows = np.tile([setting.base[address] for address in addresses], (DRAWS, 1))
    column = {address: j for j, address in enumerate(addresses)}
    for axis in setting.axes:
        for row in range(DRAWS):
            first, second = (axis.options[o] for o in random.choice(len(axis.options), 2, replace=False))
            shares = {part: random.random() for part in axis.parts}  # devices of one type are not alike
            for address in first.values.keys() | second.values.keys():
                ends = [option.values.get(address, setting.base[address]) for option in (first, second)]
                share = shares[address[0]]
                rows[row, column[address]] = (1.0 - share) * ends[0] + share * ends[1]
                if address[1] == "cutoff_doubling":
                    # between "none" and "all that is printed", a leakage on the way between both printed limits: with a
                    # shorter doubling interval the same cold leakage would pass the hot limit
                    rows[row, column[address]] = max(ends)
    inputs = random.uniform(min(setting.inputs), max(setting.inputs), DRAWS)
    ambients = random.uniform(min(setting.ambients), max(setting.ambients), DRAWS)
    loads = random.uniform(setting.loads[0], setting.loads[-1], DRAWS)
    fields = (*addresses, AMBIENT_FIELD, ("input", "voltage"), ("load", "draws"))
    return Overrides(fields, np.column_stack([rows, ambients, inputs, loads])), loads


@pytest.mark.parametrize("name", GOOD)
def test_no_random_design_inside_the_box_is_worse_than_the_worst(name: str) -> None:
    """The honest test of looking at corners: they bound what lies inside, as far as 200 draws can tell."""
    setting = verification.setting_of(verification.at_work(design(name)), 24)
    table, loads = drawn(setting, seed=1)
    block = solved(setting.circuit, table)
    assert block.is_solved.all()
    found = by_name(verdict(name))
    checks = list(verification.steady_checks(setting.design))
    worse = []
    for check in checks:
        worst = found[check.requirement, check.part]
        assert worst.margin is not None
        slack = check.margins(block)[2][:, 0] - worst.margin
        row = int(slack.argmin())
        if slack[row] < -1e-9:
            worse.append((check.requirement, check.part, float(slack[row]), float(loads[row])))
    assert not worse


@pytest.mark.parametrize("name", GOOD)
def test_no_random_design_comes_out_worse_when_the_load_goes(name: str) -> None:
    setting = verification.setting_of(verification.at_work(design(name)), 24)
    table, _ = drawn(setting, seed=2)
    hot = Overrides(table.fields[:-1], table.values[:, :-1])
    full, least = (Overrides.column("load", "draws", np.full(DRAWS, load)) for load in setting.loads[[-1, 0]])
    before = solved(setting.circuit, Overrides(table.fields, np.column_stack([hot.values, full.values])))
    after = released(setting.circuit, hot, full, least, before.xs[:, 0])
    assert before.is_solved.all() and after.is_solved.all()
    found = by_name(verdict(name))
    for check in verification.output_checks(setting.design, "output released while hot", released=True):
        worst = found[check.requirement, check.part]
        assert worst.margin is not None
        assert (check.margins(after)[2] >= worst.margin - 1e-9).all(), check.requirement


# ---- drop-out ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("input_voltage", "verdict_word"), [(19.0, PASS), (14.6, FAIL), (13.0, FAIL), (9.0, FAIL)])
def test_a_regulator_that_has_dropped_out_fails_by_what_is_missing(input_voltage: float, verdict_word: str) -> None:
    """Bare 7812 at 0.8 A: what is missing at the input is missing in the headroom, volt for volt."""
    text = f"""
title = "Bare regulator"
[input]
voltage = "{input_voltage} V"
[output]
voltage = "12 V"
tolerance = "5 %"
load = "0.8 A"
[[parts]]
name = "U1"
kind = "regulator"
type = "7812"
pins = {{ in = "in", out = "out", ref = "ground" }}
heat = {{ to = "ambient", resistance = "1 K/W" }}
"""
    found = by_name(verified(designed(read_text(text, "bare.toml"))))["headroom above drop-out", "U1"]
    assert found.verdict == verdict_word
    known = designed(read_text(text, "bare.toml")).part("U1").identified
    assert known is not None and found.worst is not None
    dropout, setting = known.spread("drop-out"), known.spread("set voltage")
    assert dropout is not None and setting is not None
    volts = dropout.most[0] + dropout.most[1] * 0.8
    # set voltage at most, less its own fall at 0.8 A and with temperature, both below 0.2 V
    assert found.worst == pytest.approx(input_voltage - setting.most[0] - volts, abs=0.2)


# ---- outcomes ----------------------------------------------------------------------------------------------------

GLOWS = """
title = "Invented: its base current alone makes it glow"
[surroundings]
ambient = "25 °C"
[[parts]]
name = "input"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "20 V"
[[parts]]
name = "Q2"
kind = "bipolar"
polarity = "npn"
pins = { collector = "in", base = "b", emitter = "ground" }
type = "2N3055"
heat = { to = "sink", resistance = "10 K/W" }
[[parts]]
name = "RB"
kind = "resistor"
pins = { a = "in", b = "b" }
resistance = "470 Ω"
[[parts]]
name = "tin"
kind = "thermal_resistance"
pins = { a = "sink", b = "ambient" }
resistance = "20 K/W"
"""


def test_a_runaway_fails() -> None:
    found = verified(designed(read_text(GLOWS, "glows.toml")))
    (point,) = (f for f in found.findings if f.requirement == "an operating point everywhere")
    assert found.verdict == point.verdict == FAIL
    assert found.conditions.runaway > 0 and "run away" in point.note and point.in_words
    assert {f.verdict for f in found.findings if f is not point} == {UNDECIDED}


@pytest.mark.parametrize("outcome", [NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY])
@pytest.mark.parametrize("entry", ["solved", "released"])
def test_one_open_lane_anywhere_keeps_the_checks_from_passing(
    monkeypatch: pytest.MonkeyPatch, outcome: int, entry: str
) -> None:
    """One lane of one block loses its solution; nothing that should have been judged there may pass."""
    real, spoiled = getattr(verification, entry), []

    def spoil(*arguments: Any, **more: Any) -> Any:
        block = real(*arguments, **more)
        if not spoiled and block.outcomes.shape[0] > 1:
            spoiled.append(True)
            outcomes = block.outcomes.copy()
            outcomes[1, -1] = outcome
            return replace(block, outcomes=outcomes)
        return block

    whole = design("model-railway")
    monkeypatch.setattr(verification, entry, spoil)
    found = verified(whole, loads=3)
    assert spoiled
    after = [f for f in found.findings if "released" in f.requirement]
    steady = [f for f in found.findings[1:] if "released" not in f.requirement and "start" not in f.requirement]
    assert {f.verdict for f in after} == {UNDECIDED}
    assert {f.verdict for f in steady} == ({UNDECIDED} if entry == "solved" else {PASS})
    if entry == "solved":
        assert found.findings[0].verdict == (FAIL if outcome == RUNAWAY else UNDECIDED)
        assert found.findings[0].in_words
    assert found.verdict != PASS


# ---- figures that cannot be told at the working current -------------------------------------------------------------


def test_a_spread_that_cannot_be_told_at_work_is_undecided(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(part_type: Any, working_current: float | None = None) -> Any:
        raise ValueError("no active point at 3 A and 2 V")

    whole = design("model-railway")
    monkeypatch.setattr("outboard.arrangements.catalogued.identified", refuses)
    found = by_name(verified(whole, loads=3))["junction temperature", "Q1"]
    assert found.verdict == UNDECIDED
    assert any("gain of Q1" in words and "no active point" in words for words in found.missing)


# ---- explicit networks -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", NETWORKS, ids=lambda path: path.stem)
def test_a_network_of_explicit_parts_is_judged_as_far_as_it_is_known(path: Path) -> None:
    found = verified(designed(read(path)))
    assert found.verdict in (UNDECIDED, FAIL)
    point, *others = found.findings
    assert point.verdict == PASS, "every one of them has its operating point"
    assert others and {f.verdict for f in others} == {UNDECIDED}
    for f in others:
        assert f.missing and f.worst is None
        assert all(re.search(r"is not known|is given|not given|only limits", words) for words in f.missing), f.missing
        assert not any("points" in words for words in f.missing), "the reason, not its consequence"


# ---- the examples ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "word"), [(GOOD[0], PASS), (GOOD[1], PASS), (WRONG, FAIL)])
def test_examples_are_what_their_names_say(name: str, word: str) -> None:
    found = verdict(name)
    assert found.verdict == word
    done = found.conditions
    assert done.points == done.solved > 1000 and done.runaway == done.undecided == 0
    if word == PASS:
        assert {f.verdict for f in found.findings} == {PASS}


def test_the_wrong_example_fails_for_each_of_its_reasons() -> None:
    """As its own words say: regulator overloaded, junction too hot, input too low for drop-out."""
    found = by_name(verdict(WRONG))
    for key in (
        ("current within the guaranteed range", "U1"), ("junction temperature", "Q1"),
        ("headroom above drop-out", "U1"), ("output not too low", None),
    ):  # fmt: skip
        assert found[key].verdict == FAIL, key
        assert found[key].margin is not None and found[key].margin < -0.01  # type: ignore[operator]


@pytest.mark.parametrize(("name", "code"), [(GOOD[0], 0), (GOOD[1], 0), (WRONG, 1)])
def test_exit_codes_of_the_examples(name: str, code: int) -> None:
    assert CliRunner().invoke(program, ["verify", str(EXAMPLES / f"{name}.toml"), "--quiet"]).exit_code == code


@pytest.mark.parametrize("name", [*GOOD, WRONG])
def test_an_expanded_example_gets_the_same_verdict(name: str) -> None:
    again = verified(designed(read_text(expanded_text(design(name)), "expanded.toml")))
    before, after = by_name(verdict(name)), by_name(again)
    assert before.keys() == after.keys()
    for key, found in before.items():
        assert after[key].verdict == found.verdict
        assert after[key].rests_on == found.rests_on
        for figure in ("worst", "limit", "margin"):
            first, second = getattr(found, figure), getattr(after[key], figure)
            assert (first is None) == (second is None)
            assert first is None or second == pytest.approx(first, rel=1e-9, abs=1e-9), (key, figure)


def test_a_verdict_repeats_itself() -> None:
    first, second = verified(design("model-railway"), loads=6), verified(design("model-railway"), loads=6)
    assert first.findings == second.findings


# ---- golden: what our own code said, kept so that a change is seen ---------------------------------------------------

GOLDEN = ROOT / "tests" / "golden"
RENEW = "OUTBOARD_RENEW_GOLDEN"
"""Set to 1, the golden verdicts are written anew instead of compared; look at the difference before it is kept."""


def rounded(value: Any) -> Any:
    """Numbers to six digits, times left out."""
    if isinstance(value, dict):
        return {key: rounded(item) for key, item in value.items() if key != "seconds"}
    if isinstance(value, list):
        return [rounded(item) for item in value]
    if isinstance(value, float):
        return 0.0 if abs(value) < 1e-9 else float(f"{value:.6g}")
    return value


def alike(found: Any, kept: Any, where: str = "") -> None:
    """Equal text and structure, numbers to five digits."""
    if isinstance(kept, dict):
        assert found.keys() == kept.keys(), where
        for key in kept:
            alike(found[key], kept[key], f"{where}.{key}")
    elif isinstance(kept, list):
        assert len(found) == len(kept), where
        for place, (one, other) in enumerate(zip(found, kept, strict=True)):
            alike(one, other, f"{where}[{place}]")
    elif isinstance(kept, float):
        assert found == pytest.approx(kept, rel=1e-5, abs=1e-6), where
    else:
        assert found == kept, where


@pytest.mark.parametrize("name", [*GOOD, WRONG])
def test_golden_verdicts(name: str) -> None:
    """Values that this program produced itself: they prove nothing but that it still says the same."""
    result = CliRunner().invoke(program, ["verify", str(EXAMPLES / f"{name}.toml"), "--json"])
    found = rounded(json.loads(result.stdout))
    if name == WRONG:  # a collapsed output is much the same at many corners: which one is worst hangs on a rounding
        for judged in found["findings"]:
            for key in ("corner", "in_words", "rests_on"):
                del judged[key]
    file = GOLDEN / f"verdict-{name}.json"
    if os.environ.get(RENEW) == "1":
        file.write_text(json.dumps(found, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
        pytest.skip(f"{file.name} was written anew")
    alike(found, json.loads(file.read_text(encoding="utf-8")))


def test_golden_comparison_sees_a_change() -> None:
    alike({"a": [1.0, "x"]}, {"a": [1.000001, "x"]})
    for other in ({"a": [1.001, "x"]}, {"a": [1.0, "y"]}, {"a": [1.0]}, {"b": [1.0, "x"]}):
        with pytest.raises(AssertionError):
            alike({"a": [1.0, "x"]}, other)


# ---- the tally stream ------------------------------------------------------------------------------------------------


def test_judging_in_pieces_is_judging_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    at_once = verified(design("model-railway"), loads=3)
    monkeypatch.setattr(verification, "PIECE", 7)
    assert verified(design("model-railway"), loads=3).findings == at_once.findings


def test_a_check_over_corners_finds_the_row(monkeypatch: pytest.MonkeyPatch) -> None:
    name = "model-railway"
    found = axes(design(name))
    rows = corners(name, [[USUAL] * len(found), *(list(c) for c in every_choice(found)[1:4])], [(10.0, 293.15)])
    block = solved(verification.setting_of(design(name), 2).circuit, rows.overrides,
                   Overrides.column("load", "draws", np.array([1.0, 2.0])))  # fmt: skip
    value = np.zeros((4, 2))
    value[2, 1] = 5.0
    check = Check("planted", None, lambda block: value, 6.0, AT_MOST, "V", Origin("limit", "", ""))
    tally = Tally(check)
    tally.take(block, rows, np.array([1.0, 2.0]))
    assert tally.worst is not None and tally.worst.load == 2.0
    assert list(tally.worst.corners.choices[0]) == list(every_choice(found)[2])
    assert finding(tally, "typical", ()).worst == 5.0
