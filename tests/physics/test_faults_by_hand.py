"""Single faults of a stage of constant-gain transistors against hand algebra.

Driver (PNP) gain 150, pass device (NPN) gain 30, 0.6 V each, hand-over of the driver at 500 mA, of the pass device at
1 mA, load 3 A (common practice, no source).  The algebra is Kirchhoff's laws with the regulator as an ideal source of
its set voltage; an ideal device has no state with its emitter or collector cut off, so these are not among them.
"""

import pytest

from outboard.network import edits
from outboard.network.outcome import SOLVED
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

G1, G2, V, LOAD = 150.0, 30.0, 0.6, 3.0
H1, H2 = 0.5, 1e-3
DRIVER = {"collector": "y", "base": "x", "emitter": "in"}
PASS = {"collector": "in", "base": "y", "emitter": "out"}
ON = {"base_emitter_voltage": V}
PARTS = (
    Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 18.0}),
    Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": V / H1}),
    Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"},
         {"set_voltage": 12.0, "current_limit": 10.0, "quiescent_current": 0.0, "sharpness": 1e-9}),
    Part("Q1", "bipolar", DRIVER, {"gain": G1} | ON, "pnp", "constant_gain"),
    Part("R2", "resistor", {"a": "y", "b": "out"}, {"resistance": V / H2}),
    Part("Q2", "bipolar", PASS, {"gain": G2} | ON, "npn", "constant_gain"),
    Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": LOAD}),
)  # fmt: skip


def currents(parts: tuple[Part, ...]) -> tuple[float, float, float]:
    """Regulator, driver's collector and pass device's emitter [A] with faults in the parts."""
    circuit, _ = edits.edited(parts, 298.15)
    block = solved(circuit)
    assert (block.outcomes == SOLVED).all()
    return _into(block, "U1", "in"), -_into(block, "Q1", "collector"), -_into(block, "Q2", "emitter")


def _into(block: Block, part: str, pin: str) -> float:
    return float(block.pin_current(part, pin)[0, 0]) if part in block.parts else 0.0


def test_healthy_stage() -> None:
    """I_R = H1 + I_B1, I_C1 = G1·I_B1, I_L = I_R + I_C1 + G2·(I_C1 − H2)."""
    base = (LOAD - H1 + G2 * H2) / (1.0 + G1 * (1.0 + G2))
    regulator, driver, emitter = currents(PARTS)
    assert regulator == pytest.approx(H1 + base, rel=1e-9)
    assert driver == pytest.approx(G1 * base, rel=1e-9)
    assert emitter == pytest.approx((G2 + 1.0) * (G1 * base - H2), rel=1e-9)
    assert (regulator, driver) == (pytest.approx(0.50054, abs=5e-6), pytest.approx(81.6e-3, abs=5e-5))


def test_bleed_open() -> None:
    """I_B2 = I_C1: I_L = H1 + I_B1·(1 + G1·(1 + G2))."""
    base = (LOAD - H1) / (1.0 + G1 * (1.0 + G2))
    regulator, driver, emitter = currents(edits.left_out(PARTS, "R2"))
    assert regulator == pytest.approx(H1 + base, rel=1e-9)
    assert driver == pytest.approx(G1 * base, rel=1e-9)
    assert emitter == pytest.approx((G2 + 1.0) * G1 * base, rel=1e-9)
    assert driver == pytest.approx(80.6e-3, abs=5e-5)


@pytest.mark.parametrize("fault", ["bleed", "junction"])
def test_bleed_or_base_emitter_junction_of_the_pass_device_shorted(fault: str) -> None:
    """The pass device is off: I_L = H1 + I_B1·(1 + G1)."""
    parts = edits.shorted(PARTS, "R2", "a", "b") if fault == "bleed" else edits.shorted(PARTS, "Q2", "base", "emitter")
    base = (LOAD - H1) / (1.0 + G1)
    regulator, driver, emitter = currents(parts)
    assert regulator == pytest.approx(H1 + base, rel=1e-9)
    assert driver == pytest.approx(G1 * base, rel=1e-9)
    assert emitter == pytest.approx(0.0, abs=1e-9)


def test_base_resistor_open() -> None:
    """All of the regulator's current is base current: I_L = I_B1·(1 + G1·(1 + G2)) − G2·H2."""
    base = (LOAD + G2 * H2) / (1.0 + G1 * (1.0 + G2))
    regulator, driver, _ = currents(edits.left_out(PARTS, "R1"))
    assert regulator == pytest.approx(base, rel=1e-9)
    assert driver == pytest.approx(G1 * base, rel=1e-9)


@pytest.mark.parametrize("fault", ["resistor", "junction", "gone"])
def test_driver_that_cannot_drive_leaves_all_to_the_regulator(fault: str) -> None:
    parts = {
        "resistor": edits.shorted(PARTS, "R1", "a", "b"),
        "junction": edits.shorted(PARTS, "Q1", "base", "emitter"),
        "gone": edits.left_out(PARTS, "Q1"),
    }[fault]
    regulator, driver, emitter = currents(parts)
    assert regulator == pytest.approx(LOAD, rel=1e-9)
    assert driver == pytest.approx(0.0, abs=1e-9)
    assert emitter == pytest.approx(0.0, abs=1e-9)


def test_base_resistor_doubled() -> None:
    """H1 is halved."""
    base = (LOAD - H1 / 2.0 + G2 * H2) / (1.0 + G1 * (1.0 + G2))
    regulator, driver, _ = currents(edits.drifted(PARTS, "R1", "resistance", 2.0))
    assert regulator == pytest.approx(H1 / 2.0 + base, rel=1e-9)
    assert driver == pytest.approx(G1 * base, rel=1e-9)


def test_load_taken_off_leaves_nothing_running() -> None:
    assert currents(edits.left_out(PARTS, "load")) == pytest.approx((0.0, 0.0, 0.0), abs=1e-7)
