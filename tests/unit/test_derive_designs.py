"""Derivations of designs of every kind: boundaries, parts that are found, MOSFETs, devices side by side."""

import json
from pathlib import Path

import pytest
from derived_designs import BYPASS, COMPOUND, EXAMPLES, ROOT, run

from outboard.arrangements import designed
from outboard.brief import read_text
from outboard.dossier import opened
from outboard.explain.asked import Asked
from outboard.explain.definitions import definition_value
from outboard.explain.derivation import derived
from outboard.explain.expression import names, value
from outboard.explain.hand_figures import plain_part
from outboard.explain.idealised import idealised
from outboard.explain.neglect import Box
from outboard.explain.regime import regime_at
from outboard.explain.solving import Symbols
from outboard.network.part import Part

PMOS = ROOT / "examples" / "shelf-lights-pmos.toml"


def test_boundaries_are_where_regimes_change() -> None:
    from outboard.explain.derivation import _ground

    ground = _ground(opened(COMPOUND).design, Asked())
    for event in ground.loads:
        box = Box(ground.ideal.letters, event.definitions)
        assert event.formula is not None
        assert value(event.formula, box.numbers) == pytest.approx(event.at, rel=1e-9)
        regimes = [regime_at(ground.ideal, {**ground.ideal.values, "I_O": event.at * factor}).regime
                   for factor in (0.999, 1.001)]  # fmt: skip
        changed = {name.split()[0] for name in regimes[0] if regimes[0][name] != regimes[1][name]}
        assert event.part in changed


@pytest.mark.parametrize("target", [0.2, 0.35])
def test_found_resistor_meets_its_target(target: float) -> None:
    design = opened(BYPASS).design
    found = derived(design, Asked(("I_REG",), find="R1", target=target)).results[0].inverse
    assert found is not None and found.value is not None and not found.why
    again = derived(design, Asked(("I_REG",), values={"R1": (found.value, found.value, found.value)}))
    assert again.results[0].value == pytest.approx(target, rel=1e-9)


def test_a_part_that_cannot_be_found_is_explained() -> None:
    said = " ".join(run(str(BYPASS), "--of", "I_C1", "--find", "R1", "--target", "1.2A").output.split())
    assert "no R1 does: R1 would be negative" in said
    assert "R1 → ∞" in said


def test_a_design_beside_it() -> None:
    found = json.loads(run(str(COMPOUND), "--of", "I_C1", "--without", "R2", "--json").output)["results"][0]
    change = found["difference"]
    assert change["own_value"] == pytest.approx(found["value"], rel=1e-12)
    assert change["formula"]["text"] == "−h_FE1·h_FE2·I_h2 / (1 + h_FE)"
    assert change["other_value"] < change["own_value"]


def test_a_transistor_without_base_current_does_not_saturate() -> None:
    """A sense transistor that is off leaves a light load alone, however little stands across it."""
    limited = BYPASS.read_text(encoding="utf-8").replace("[stage]\n", '[stage]\nlimiter = "BD140"\nlimit = "4 A"\n')
    found = derived(designed(read_text(limited, "limited.toml")), Asked(("I_REG", "I_CQS"), load=0.03))
    regulator, sense = found.results
    assert sense.value == pytest.approx(0.0, abs=1e-12)
    assert regulator.solved_value is not None and regulator.value == pytest.approx(regulator.solved_value, rel=0.01)
    assert not any("saturation" in event.event for event in found.loads)


def test_a_mosfet_conducts_at_a_constant_gate_source_voltage_without_gate_current() -> None:
    """Below the pass device: V_GS over R1 less the quiescent current; everything else goes through the drain."""
    found = derived(opened(PMOS).design, Asked(("I_REG", "I_D1"), gap=True))
    regulator, drain = found.results
    given = regulator.numbers
    assert regulator.value == pytest.approx(given["V_GS1"] / given["R1"] - given["I_Q"], rel=1e-12)
    assert drain.value == pytest.approx(drain.numbers["I_O"] + drain.numbers["I_R9"] - regulator.value, rel=1e-9)
    for result in found.results:
        assert result.solved_value == pytest.approx(result.value, rel=0.1)
        assert result.gap is not None
        assert result.gap.steps[0].value == pytest.approx(result.value, rel=1e-3)
        assert result.gap.hand + sum(step.change for step in result.gap.steps) == pytest.approx(result.gap.solved)
    assert [event.event for event in found.loads][-1] == "Q1 starts to conduct"


@pytest.mark.parametrize("kind", ["off", "on", "full"])
def test_a_mosfet_is_off_conducts_or_is_a_resistance(kind: str) -> None:
    """0 V, a follower's gate at 9 V and a gate far above: the three states, each worked by hand (source follower)."""
    gate = {"off": 1.0, "on": 9.0, "full": 30.0}[kind]
    values = {"threshold_voltage": 3.0, "transconductance": 10.0, "drain_resistance": 0.05}
    parts = [
        plain_part(Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 12.0})),
        plain_part(Part("gate", "source", {"plus": "g", "minus": "ground"}, {"voltage": gate})),
        plain_part(Part("Q1", "mosfet", {"drain": "in", "gate": "g", "source": "out"}, values, polarity="n-channel")),
        plain_part(Part("R1", "resistor", {"a": "out", "b": "ground"}, {"resistance": 10.0})),
    ]
    ideal = idealised(parts, full_load=1.0, carried={"Q1": 0.5}, voltages={})
    point = regime_at(ideal, ideal.values)
    assert point.regime["Q1 channel"] == kind
    by_hand = {
        "off": 0.0,
        "on": (9.0 - 3.0 - (2 * 1.3 * 0.5 / 10.0) ** 0.5) / 10.0,
        "full": 12.0 / (10.0 + 0.05 + 1 / (10.0 * 7.0)),
    }[kind]
    assert point.read(ideal.quantities["I_D1"].row) == pytest.approx(by_hand, rel=1e-9, abs=1e-12)


def test_alike_devices_share_the_load_in_one_formula() -> None:
    """Three pass devices with ballast: a third each of what regulator and bleed leave over."""
    text = COMPOUND.read_text(encoding="utf-8")
    three = text.replace("handover    =", 'count       = 3\nballast     = "0.1 Ω"\nhandover    =')
    from outboard.arrangements import designed
    from outboard.brief import read_text

    (found,) = derived(designed(read_text(three, "three.toml")), Asked(("I_C3",), load=4.0, within=0.02)).results
    assert found.shortest is not None
    third = {"I_O": 4.0, "I_h1": 0.0, "I_h2": 0.0, "n": 3.0, "h_FE2": 1e9, "h_E2": 1e9, "I_Q": 0.0, "I_R9": 0.0}
    assert value(found.shortest.expression, third) == pytest.approx(4.0 / 3.0, rel=1e-6)
    assert not any(name.endswith(("3", "4")) for name in names(found.told) if name.startswith(("h_FE", "V_BE")))


RADIO = ROOT / "examples" / "radio-shack.toml"


def test_paralleled_devices_are_one_device_with_a_count_and_a_gain() -> None:
    """By hand: n devices, ballast R_E each, bleed R make h_E = n·h_FE/(n + (1 + h_FE)·R_E/R), then the plain pair."""
    found = derived(opened(RADIO).design, Asked())
    assert [result.name for result in found.results] == ["I_REG", "I_C1", "I_C2"]
    regulator, driver, each = found.results
    given = regulator.numbers
    gain = 4 * given["h_FE2"] / (4 + (1 + given["h_FE2"]) * given["R3"] / given["R2"])
    assert given["n"] == 4 and given["h_E2"] == pytest.approx(gain, rel=1e-12)
    output = given["V_REG"] + given["RB"] * (given["I_Q"] + given["V_REG"] / given["RA"])
    drawn = given["I_O"] + given["V_REG"] / given["RA"] + output / given["R9"]
    beyond = gain * given["V_BE2"] / given["R2"]
    both = given["h_FE1"] * (1 + gain)
    by_hand = (drawn + both * (given["V_BE1"] / given["R1"] - given["I_Q"]) + beyond) / (1 + both)
    assert regulator.value == pytest.approx(by_hand, rel=1e-12)
    assert each.value * 4 == pytest.approx(gain * (driver.value - given["V_BE2"] / given["R2"]), rel=1e-12)


def test_a_count_is_no_free_letter() -> None:
    for words in (("--let", "n=3"), ("--find", "n", "--target", "0.3A")):
        found = run(str(RADIO), *words)
        assert found.exit_code == 2 and "n is no letter" in " ".join(found.output.split())


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_overview_can_be_read(path: Path) -> None:
    """Hardly more than a screen, no line beyond the page, every letter of a formula explained."""
    lines = run(str(path)).output.splitlines()
    assert len(lines) <= 95 and max(map(len, lines)) <= 80
    found = derived(opened(path).design, Asked())
    known = set(found.letters) | {entry.name for result in found.results for entry in result.definitions}
    for result in found.results:
        used = set(names(result.exact)) - ({result.gain.name} if result.gain is not None else set())
        assert used <= known


def test_names_of_events_mean_one_thing() -> None:
    """A name in the formula of an event is that of the results or its own, and the formula gives the event's load."""
    for path in EXAMPLES:
        found = derived(opened(path).design, Asked())
        numbers = dict(found.values)
        for one in (*found.results, *found.loads):
            for entry in one.definitions:
                worth = value(definition_value(entry), numbers)
                assert numbers.setdefault(entry.name, worth) == pytest.approx(worth, rel=1e-12)
        for result in found.results:
            if result.gain is not None:
                numbers[result.gain.name] = value(result.gain.expression, numbers)
        for event in found.loads:
            assert event.formula is not None
            assert value(event.formula, numbers) == pytest.approx(event.at, rel=1e-9)


def test_a_mosfet_starts_to_conduct_at_its_threshold() -> None:
    """The full solution carries a milliampere, which counts as the start, within 3 % of the load that is told."""
    from outboard.explain.derivation import _ground, carried_by

    design = opened(PMOS).design
    found = derived(design, Asked(("I_REG",)))
    (starts,) = [event for event in found.loads if event.event == "Q1 starts to conduct"]
    assert starts.formula is not None and "V_GSth1" in set(names(starts.formula))
    assert found.letters["V_GSth1"].value < found.letters["V_GS1"].value
    below, above = (carried_by(_ground(design, Asked(load=factor * starts.at)).full)["Q1"] for factor in (0.97, 1.03))
    assert below < 1e-3 < above


FEED = ROOT / "examples" / "workshop-feed.toml"


@pytest.mark.parametrize(
    ("path", "letter", "of", "target", "load"),
    [
        (COMPOUND, "R2", "I_C1", 0.080, None),  # bleed
        (COMPOUND, "R1", "I_REG", 0.200, None),  # base resistor
        (FEED, "R3", "I_C1", 0.600, None),  # ballast of two devices alike
        (RADIO, "R3", "I_C2", 0.160, None),  # ballast of four
        (RADIO, "R2", "I_C2", 0.160, None),
        (RADIO, "RS", "I_REG", 1.000, 14.0),  # sense resistor, where the limiter conducts
    ],
)
def test_found_part_meets_its_target(path: Path, letter: str, of: str, target: float, load: float | None) -> None:
    """Bleed, ballast and sense as they are found: the derivation with that value gives the target."""
    design = opened(path).design
    found = derived(design, Asked((of,), load=load, find=letter, target=target)).results[0].inverse
    assert found is not None and found.value is not None and not found.why
    again = derived(design, Asked((of,), load=load, values={letter: (found.value,) * 3}))
    assert again.results[0].value == pytest.approx(target, rel=1e-9)


def test_a_part_that_does_not_matter_here_is_told_where_it_does() -> None:
    found = run(str(RADIO), "--of", "I_REG", "--find", "RS", "--target", "1A")
    assert found.exit_code == 2
    assert "decides at which load QS starts to conduct (13.9 A here)" in " ".join(found.output.split())


def test_a_current_that_only_one_of_two_designs_has_is_said() -> None:
    said = run(str(COMPOUND), "--beside", str(PMOS)).output
    assert "the other design has no I_C1, I_C2" in said and "only the other design has I_D1" in said
    assert "has no" not in run(str(COMPOUND), "--without", "R2").output


def test_the_formula_of_the_other_design_can_be_worked_out_from_what_is_said() -> None:
    """Letters of the own design, those of the other that are told, definitions in their order: the other's value."""
    found = derived(opened(COMPOUND).design, Asked(), opened(FEED).design)
    for result in found.results:
        other = result.difference
        assert other is not None
        numbers = dict(found.values) | {letter.name: letter.value for letter in other.letters}
        for entry in other.definitions:
            numbers[entry.name] = value(definition_value(entry), numbers)
        assert value(other.other, numbers) == pytest.approx(other.other_value, rel=1e-12)


def test_order_free_shares_of_a_mosfet_stage_add_up() -> None:
    found = derived(opened(PMOS).design, Asked(gap=True, order_free=True))
    for result in found.results:
        gap = result.gap
        assert gap is not None and gap.shares is not None
        assert gap.hand + sum(gap.shares.values()) == pytest.approx(gap.solved, rel=1e-12)
        assert gap.idle == {"gain", "early", "bulk", "leakage"}, "what only a bipolar transistor has"


@pytest.mark.parametrize("ballast", ["", 'ballast = "0 Ω"\n'])
def test_mosfets_side_by_side_share(ballast: str) -> None:
    """Two P-channel devices carry half each of what the regulator leaves; with ballast they are one with a count."""
    text = PMOS.read_text(encoding="utf-8").replace("[stage]\n", f"[stage]\ncount = 2\n{ballast}")
    found = derived(designed(read_text(text, "two.toml")), Asked())
    regulator, drain = found.results[:2]
    given = {**regulator.numbers, **drain.numbers}
    assert drain.value == pytest.approx((given["I_O"] + given["I_R9"] - regulator.value) / 2, rel=1e-9)
    for result in (regulator, drain):
        assert result.solved_value == pytest.approx(result.value, rel=0.05)
    if not ballast:
        k = given["R3"] / given["R1"]
        by_hand = (k * (given["I_O"] + given["I_R9"]) + 2 * (given["V_GS1"] / given["R1"] - given["I_Q"])) / (2 + k)
        assert [result.name for result in found.results] == ["I_REG", "I_D1"]
        assert regulator.value == pytest.approx(by_hand, rel=1e-12)


def test_what_is_put_in_is_written_with_what_the_lines_name() -> None:
    """Every letter of the substitutions stands in a law, a definition or among the constants."""
    for path, load in ((RADIO, 14.0), (RADIO, None), (FEED, None), (COMPOUND, None), (PMOS, None)):
        found = derived(opened(path).design, Asked(("I_REG",), load=load))
        (result,) = found.results
        known = set(found.letters) | {entry.name for entry in result.definitions} | {"I_REG"}
        for line in result.lines:
            known |= {*names(line.left), *names(line.right)}
        for line in result.substitutions:
            assert {*names(line.left), *names(line.right)} <= known


def test_unlike_devices_side_by_side_are_told_as_far_as_time_goes() -> None:
    """Four devices that differ make formulas that nobody follows: said in words, the regulator's current first."""
    found = run(str(ROOT / "tests" / "reference" / "networks" / "four-in-parallel.toml"))
    assert found.exit_code == 0
    said = " ".join(found.output.split())
    assert len(found.output.splitlines()) < 160
    assert "I_REG current that U1 delivers" in said
    assert "too long to be followed; --json holds it" in said


def test_devices_whose_names_share_a_number_keep_their_own_quantities() -> None:
    """Q1 and T1, each with a ballast and a resistor beside it: every formula still gives the point's own numbers."""
    values = {"gain": 20.0, "base_emitter_voltage": 0.6}
    parts = [Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 9.0})]
    for name, ohms in (("Q1", 2.0), ("T1", 3.0)):
        base, emitter = f"b{name}", f"e{name}"
        model = values | {"gain": 20.0 * ohms}
        parts += [
            Part(f"RB{name}", "resistor", {"a": "in", "b": base}, {"resistance": 500.0}),
            Part(f"R{name}", "resistor", {"a": base, "b": "ground"}, {"resistance": 100.0 * ohms}),
            Part(f"RE{name}", "resistor", {"a": emitter, "b": "ground"}, {"resistance": ohms}),
            Part(name, "bipolar", {"collector": "in", "base": base, "emitter": emitter}, model, "npn", "constant_gain"),
        ]
    ideal = idealised([plain_part(part) for part in parts], full_load=1.0, carried={}, voltages={})
    point = regime_at(ideal, ideal.values)
    symbols = Symbols(ideal, point.regime)
    for quantity in ideal.quantities.values():
        found = symbols.solved(quantity.row, quantity.name)
        numbers = dict(ideal.values)
        for entry in found.definitions:
            numbers[entry.name] = value(definition_value(entry), numbers)
        assert found.worth(numbers) == pytest.approx(point.read(quantity.row), rel=1e-9, abs=1e-12)
