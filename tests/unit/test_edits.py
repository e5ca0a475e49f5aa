"""Edits of a network: what they leave, what they cut off, and that undoing them restores the very numbers."""

import numpy as np
import pytest

from outboard.network import edits
from outboard.network.circuit import laid_out
from outboard.network.outcome import SOLVED
from outboard.network.part import Heat, Part
from outboard.network.solve import solved

AMBIENT = 298.15
PARTS = (
    Part("source", "source", {"plus": "in", "minus": "ground"}, {"voltage": 10.0}),
    Part("R1", "resistor", {"a": "in", "b": "middle"}, {"resistance": 1e3}),
    Part("R2", "resistor", {"a": "middle", "b": "ground"}, {"resistance": 1e3}),
    Part("Q1", "bipolar", {"collector": "in", "base": "middle", "emitter": "out"},
         {"saturation_current": 1e-14, "forward_gain": 100.0}, "npn", heat=Heat("sink", 2.0)),
    Part("RL", "resistor", {"a": "out", "b": "ground"}, {"resistance": 1e3}),
    Part("sink", "thermal_resistance", {"a": "sink", "b": "ambient"}, {"resistance": 5.0}),
)  # fmt: skip


def voltages(parts: tuple[Part, ...]) -> dict[str, float]:
    circuit, _ = edits.edited(parts, AMBIENT)
    block = solved(circuit)
    assert (block.outcomes == SOLVED).all()
    return {node[1]: float(block.at(node)[0, 0]) for node in circuit.unknowns if node[0] == "net"}


def test_divider_with_a_resistor_open_or_shorted() -> None:
    alone = edits.left_out(PARTS, "Q1")
    assert voltages(edits.left_out(alone, "R1"))["middle"] == pytest.approx(0.0, abs=1e-12)
    assert voltages(edits.left_out(alone, "R2"))["middle"] == pytest.approx(10.0)
    # Ohm's law: 1 mΩ beside 1 kΩ
    short = voltages(edits.shorted(alone, "R1", "a", "b"))["middle"]
    bridged = 1e-3 * 1e3 / (1e-3 + 1e3)
    assert short == pytest.approx(10.0 * 1e3 / (1e3 + bridged), rel=1e-12)
    assert voltages(edits.drifted(alone, "R1", "resistance", 3.0))["middle"] == pytest.approx(2.5, rel=1e-12)


def test_an_open_base_leaves_only_leakage() -> None:
    assert voltages(edits.opened(PARTS, "Q1", "base"))["out"] == pytest.approx(0.0, abs=1e-3)


def test_what_is_cut_off_from_ground_is_named() -> None:
    whole = edits.pruned(edits.left_out(edits.left_out(PARTS, "R2"), "R1"))
    # the base still hangs on the transistor's junctions, so nothing floats
    assert whole.floating == ()
    whole = edits.pruned((*PARTS, Part("C1", "capacitor", {"a": "out", "b": "far"}, {"capacitance": 1e-6}),
                          Part("R7", "resistor", {"a": "far", "b": "farther"}, {"resistance": 1.0})))  # fmt: skip
    assert set(whole.floating) == {"far", "farther"}
    assert set(whole.lost) == {"C1", "R7"}


def test_a_sink_that_nothing_heats_goes_with_its_device() -> None:
    assert "sink" not in {part.name for part in edits.pruned(edits.left_out(PARTS, "Q1")).parts}
    assert "sink" in {part.name for part in edits.pruned(PARTS).parts}


def test_an_absent_part_changes_nothing() -> None:
    gone = edits.left_out(PARTS, "R2")
    assert edits.left_out(gone, "R2") == gone
    assert edits.opened(gone, "R2", "a") == gone
    assert edits.shorted(gone, "R2", "a", "b") == gone
    assert edits.drifted(gone, "R2", "resistance", 2.0) == gone
    assert edits.reversed_pins(gone, "R2", "a", "b") == gone


def test_taking_out_and_putting_back_gives_the_very_same_bits() -> None:
    place = next(k for k, part in enumerate(PARTS) if part.name == "R2")
    gone = edits.left_out(PARTS, "R2")
    back = (*gone[:place], PARTS[place], *gone[place:])
    first, second = (solved(laid_out(parts, AMBIENT)).xs for parts in (PARTS, back))
    assert np.array_equal(first, second)
    twice = edits.drifted(edits.drifted(PARTS, "R2", "resistance", 2.0), "R2", "resistance", 0.5)
    assert np.array_equal(first, solved(laid_out(twice, AMBIENT)).xs)


def test_a_taken_name_is_refused() -> None:
    with pytest.raises(ValueError, match="R1 already"):
        edits.added(PARTS, edits.bridge("R1", "in", "out"))


def test_a_regulator_without_reference_passes_its_input_on() -> None:
    """[NEC-G12702] section 5.2: without its ground pin the raw input comes out, less the drop-out."""
    regulator = Part("U1", "regulator", {"in": "in", "out": "out", "ref": "ground"},
                     {"set_voltage": 5.0, "current_limit": 1.0, "dropout_voltage": 2.0})  # fmt: skip
    parts = (PARTS[0], regulator, PARTS[4])
    whole, open_pin = voltages(parts), voltages(edits.opened(parts, "U1", "ref"))
    assert whole["out"] == pytest.approx(5.0, abs=0.05)
    assert 7.0 < open_pin["out"] < 10.0


def test_a_regulator_that_nothing_feeds_is_dead() -> None:
    regulator = Part("U1", "regulator", {"in": "in", "out": "out", "ref": "ground"},
                     {"set_voltage": 5.0, "current_limit": 1.0})  # fmt: skip
    parts = edits.opened((PARTS[0], regulator, PARTS[4]), "U1", "in")
    assert voltages(parts)["out"] == pytest.approx(0.0, abs=1e-12)
