"""Feedback, output impedance and load steps: worked examples of printed books, solved as whole networks.

"second-hand": read in a written-out copy of the printed book.
"""

import numpy as np
import pytest
from moving_networks import begun, capacitor, load, seen, source

from outboard.network.small_signal import answers, return_ratio
from outboard.network.transient import course

LOW = np.array([1e-3])


def amplifier(gain, out, differential, lower, upper, behind, extra=0.0):
    """Non-inverting amplifier: input, inverting input, output, controlled voltage, source's own current.

    Unknowns: v_p, v_n, v_out, v_c = gain·(v_p − v_n); `behind` is the source's resistance, `extra` a load.
    """
    f = np.zeros((4, 4))

    def between(i: int, j: int | None, ohms: float) -> None:
        f[i, i] += 1.0 / ohms
        if j is not None:
            f[i, j] -= 1.0 / ohms
            f[j, i] -= 1.0 / ohms
            f[j, j] += 1.0 / ohms

    between(0, 1, differential)
    between(0, None, behind)
    between(1, None, lower)
    between(1, 2, upper)
    f[2, 2] += 1.0 / out
    f[2, 3] -= 1.0 / out
    if extra:
        between(2, None, extra)
    f[3] = [-gain, gain, 0.0, 1.0]
    return f


def at_rest(f, drive):
    return answers(f, np.zeros_like(f), np.asarray(drive, dtype=float), LOW)[0].real


def test_franco_1_9_operational_amplifier(printed):
    """L1. Franco, Design with Operational Amplifiers, ex. 1.9, p. 33 (second-hand): a 2e5, r_o 75 Ω, r_d 2 MΩ, 1 : 999.

    The book counts the divider as 1/1000 exactly and unloaded; kilohms are taken small enough for that: 1 Ω and 999 Ω
    would load the output, 1 kΩ and 999 kΩ the input, both by less than a part in a thousand.
    """
    f = amplifier(2e5, 75.0, 2e6, 1e3, 999e3, 1e-3)
    (loop,) = return_ratio(f, np.zeros_like(f), [3], LOW)
    assert loop.real == pytest.approx(200.0, rel=1e-3)
    gain = at_rest(f, [1e3, 0, 0, 0])[2] / at_rest(f, [1e3, 0, 0, 0])[0]
    assert gain == printed("995.0")
    assert at_rest(f, [0, 0, 1.0, 0])[2] == pytest.approx(0.373134, rel=1e-3)
    alone = amplifier(2e5, 75.0, 2e6, 1e3, 999e3, 1e15)
    assert at_rest(alone, [1.0, 0, 0, 0])[0] == pytest.approx(402e6, rel=2e-3)


def test_sedra_8_1_output_and_input_resistance(printed):
    """L3. Sedra and Smith, Microelectronic Circuits, ex. 8.1, p. 808 (second-hand): µ 1e4, R_id 100 kΩ, r_o 1 kΩ.

    R_L 2 kΩ, R1 1 kΩ, R2 1 MΩ, R_S 10 kΩ. The book's R_in is a misprint (the one who wrote it out says so); 766.6 kΩ
    is what the exact nodal solution and its own formulas give. R_out is that of the amplifier without R_L.
    """
    whole = amplifier(1e4, 1e3, 100e3, 1e3, 1e6, 10e3, extra=2e3)
    assert at_rest(whole, [1.0 / 10e3, 0, 0, 0])[2] == pytest.approx(857.9, rel=1e-3)
    bare = amplifier(1e4, 1e3, 100e3, 1e3, 1e6, 10e3)
    assert at_rest(bare, [0, 0, 1.0, 0])[2] == printed("100")
    assert at_rest(bare, [0, 0, 1.0, 0])[2] == pytest.approx(99.98911, rel=1e-6)
    seen_by_source = amplifier(1e4, 1e3, 100e3, 1e3, 1e6, 1e15, extra=2e3)
    assert at_rest(seen_by_source, [1.0, 0, 0, 0])[0] == printed("766.6", 1e3)


def test_zero_of_a_capacitors_series_resistance():
    """L7. f = 1/(2π·ESR·C), 1 Ω and 10 µF: 15.92 kHz (rule: TI SLVAEY8; number from memory and recomputed)."""
    circuit, x = begun([source(0.0, "out", 1e9), capacitor("C", "out", "ground", 10e-6, series_resistance=1.0)])
    point = circuit.evaluation(x, circuit.numbers({}, 0.0))
    drive = np.zeros(circuit.size)
    drive[circuit.place("out")] = 1.0
    (z,) = answers(point.by_f, point.by_q, drive, np.array([15.915494e3]))[:, circuit.place("out")]
    assert z.real == pytest.approx(1.0, rel=1e-5)
    assert z.imag == pytest.approx(-1.0, rel=1e-5)


def test_dip_before_a_loop_acts(printed):
    """L8. ΔV = ΔI·ESR + ΔI·t_d/C: 1 A, 50 mΩ, 47 µF, 2 µs: 50 mV + 42.6 mV (mechanism: TI TPS70351EVM manual, 3.1)."""
    circuit, x = begun([source(5.0, "out", 1e6), capacitor("C", "out", "ground", 47e-6, series_resistance=0.05),
                        load(0.0)], {("load", "draws"): lambda _: 0.0})  # fmt: skip
    edge = 1e-10
    drives = {("load", "draws"): lambda time: min(1.0, time / edge)}
    way = course(circuit, x, drives, 2e-6, (edge,))
    fallen = 5.0 - seen(circuit, way.xs, "out")
    assert fallen[-1] == printed("92.6", 1e-3)
    assert fallen[np.searchsorted(way.times, edge)] == pytest.approx(0.05, rel=1e-3)
