"""The worst case against hand equations, against random designs inside the box, and at drop-out."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from verified_designs import GOOD, by_name, design, verdict

from outboard.arrangements import designed
from outboard.arrangements.transistor_figures import Place, transistor_figures
from outboard.brief import read_text
from outboard.cases.corners import every_choice
from outboard.checks import verification
from outboard.checks.finding import FAIL, PASS
from outboard.checks.verification import verified
from outboard.constants import ZERO_CELSIUS
from outboard.formulas.compound import compound_regulator_current
from outboard.formulas.current_division import regulator_current
from outboard.network.circuit import AMBIENT_FIELD
from outboard.network.overrides import Overrides
from outboard.network.solve import released, solved

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
