"""Every device's compiled values and slopes against its own equations at forty digits, and against finite differences.

Allowed is one part in 10⁹ (values: 10¹²), and beside it what sixteen roundings of the inputs, and of the largest
contribution, would do: where two large terms nearly cancel, no double-precision number can be better than that.
Effects below 10⁻¹⁸ A or W, a millionth of what counts as balanced, are nothing.
"""

from collections.abc import Callable, Sequence
from types import SimpleNamespace
from typing import Any

import mpmath
import numpy as np
import pytest
from mpmath import mp, mpf

from outboard.devices.catalogue import DEVICES, NUMBER
from outboard.devices.device import Device
from outboard.network.compile import solver
from outboard.network.generate import parameter_slope_places, slope_places
from outboard.network.tables import Tables

DIGITS = 40
STEP = mpf(10) ** -18
VALUE_SHARE = 1e-12
SLOPE_SHARE = 1e-9
ROUNDINGS = 16.0 * np.finfo(float).eps
NOTHING = 1e-18
POINTS = 60

Point = tuple[list[float], list[float]]


class Digits:
    """The mathematics namespace of forty-digit numbers."""

    exp, log, log1p, sqrt, tanh = (staticmethod(f) for f in (mp.exp, mp.log, mp.log1p, mp.sqrt, mp.tanh))

    @staticmethod
    def above(x: Any, limit: Any) -> bool:
        return bool(x > limit)

    @staticmethod
    def choose(condition: bool, yes: Any, no: Any) -> Any:
        return yes if condition else no

    @staticmethod
    def with_slope(value: Any, x: Any, slope: Any) -> Any:
        return value


# ------------------------------------------------------------------------------------------------ points


def decades(random: np.random.Generator, low: float, high: float) -> float:
    return float(np.exp(random.uniform(np.log(low), np.log(high))))


def or_nothing(random: np.random.Generator, value: float) -> float:
    return value if random.random() < 0.6 else 0.0


def sign(random: np.random.Generator) -> float:
    return 1.0 if random.random() < 0.5 else -1.0


def bipolar_point(random: np.random.Generator) -> Point:
    """Off, on, reverse, saturated, cold and hot, of either polarity."""
    polarity, t = sign(random), random.uniform(225.0, 480.0)
    vbe, vbc = {
        "on": (random.uniform(0.4, 0.85), -decades(random, 0.1, 40.0)),
        "saturated": (random.uniform(0.5, 0.85), random.uniform(0.4, 0.8)),
        "off": (-decades(random, 1e-3, 5.0), -decades(random, 1e-2, 40.0)),
        "reverse": (-decades(random, 1e-2, 5.0), random.uniform(0.4, 0.75)),
        "past all use": (random.uniform(2.0, 6.0), random.uniform(-2.0, 1.0)),
    }[str(random.choice(["on", "saturated", "off", "reverse", "past all use"]))]
    base = random.uniform(-30.0, 30.0)
    ports = [base - polarity * vbc, base, base - polarity * vbe, t]
    values = {
        "polarity": polarity,
        "saturation_current": decades(random, 1e-16, 1e-10),
        "forward_gain": decades(random, 5.0, 400.0),
        "reverse_gain": decades(random, 0.3, 20.0),
        "forward_emission": random.uniform(1.0, 1.2),
        "reverse_emission": random.uniform(1.0, 1.2),
        "inverse_forward_early_voltage": or_nothing(random, 1.0 / random.uniform(60.0, 300.0)),
        "inverse_reverse_early_voltage": or_nothing(random, 1.0 / random.uniform(15.0, 60.0)),
        "inverse_forward_knee_current": or_nothing(random, 1.0 / decades(random, 0.05, 30.0)),
        "inverse_reverse_knee_current": or_nothing(random, 1.0 / decades(random, 0.05, 30.0)),
        "emitter_leakage_current": or_nothing(random, decades(random, 1e-14, 1e-9)),
        "inverse_emitter_leakage_emission": 1.0 / random.uniform(1.2, 2.2),
        "collector_leakage_current": or_nothing(random, decades(random, 1e-14, 1e-9)),
        "inverse_collector_leakage_emission": 1.0 / random.uniform(1.2, 2.2),
        "bandgap_eV": random.uniform(1.05, 1.2),
        "current_temperature_exponent": random.uniform(2.0, 4.0),
        "gain_temperature_exponent": or_nothing(random, random.uniform(0.5, 2.0)),
        "cutoff_current": or_nothing(random, decades(random, 1e-9, 1e-4)),
        "inverse_cutoff_doubling": 1.0 / random.uniform(6.0, 12.0),
        "reference_temperature": random.uniform(290.0, 310.0),
    }
    return ports, list(values.values())


def regulator_point(random: np.random.Generator) -> Point:
    """Regulating, in drop-out, at its limit, shorted, held up from outside, without input; of either polarity."""
    polarity = sign(random)
    set_voltage, resistance = random.uniform(3.0, 24.0), decades(random, 1e-3, 0.1)
    limit, start = decades(random, 0.1, 5.0), random.uniform(3.0, 12.0)
    regime = str(random.choice(["regulates", "drops out", "limits", "shorted", "held up", "dead"]))
    differential = random.uniform(2.0, 30.0) if regime != "drops out" else random.uniform(-1.0, 2.5)
    v_out = {
        "regulates": set_voltage - resistance * limit * random.uniform(0.0, 1.0),
        "drops out": set_voltage - random.uniform(0.0, 2.0),
        "limits": set_voltage - random.uniform(0.1, 3.0),
        "shorted": random.uniform(0.0, 0.1),
        "held up": set_voltage + random.uniform(0.0, 10.0),
        "dead": random.uniform(0.0, 0.5),
    }[regime]
    if regime == "dead":
        differential = random.uniform(-1.0, 1.0)
    ref = random.uniform(-10.0, 10.0)
    ports = [ref + polarity * (v_out + differential), ref + polarity * v_out, ref, random.uniform(225.0, 480.0)]
    values = {
        "polarity": polarity,
        "set_voltage": set_voltage,
        "output_resistance": resistance,
        "line_coefficient": or_nothing(random, 2e-4),
        "nominal_differential": random.uniform(3.0, 8.0),
        "set_voltage_tempco": or_nothing(random, -1e-4),
        "dropout_voltage": random.uniform(0.5, 2.0),
        "dropout_resistance": decades(random, 0.1, 2.0),
        "dropout_tempco": or_nothing(random, -2e-3),
        "current_limit": limit,
        "short_circuit_current": limit * random.uniform(0.1, 1.0),
        "foldback_start": start,
        "foldback_end": start + random.uniform(5.0, 20.0),
        "limit_tempco": or_nothing(random, -2e-3),
        "quiescent_current": decades(random, 1e-4, 1e-2),
        "quiescent_load_coefficient": or_nothing(random, 1e-3),
        "quiescent_line_coefficient": or_nothing(random, 1e-4),
        "shutdown_temperature": random.uniform(400.0, 460.0),
        "shutdown_width": random.uniform(0.5, 4.0),
        "sharpness": decades(random, 2e-5, 2e-3),
        "reference_temperature": random.uniform(290.0, 310.0),
    }
    return ports, list(values.values())


def diode_point(random: np.random.Generator) -> Point:
    v = float(random.choice([random.uniform(0.3, 0.9), -decades(random, 1e-3, 50.0), random.uniform(2.0, 5.0)]))
    cathode = random.uniform(-20.0, 20.0)
    ports = [cathode + v, cathode, random.uniform(225.0, 480.0)]
    return ports, [decades(random, 1e-15, 1e-8), random.uniform(1.0, 2.0), 1.11, 3.0, random.uniform(290.0, 310.0)]


def breakdown_point(random: np.random.Generator) -> Point:
    voltage, cathode = random.uniform(3.0, 60.0), random.uniform(-20.0, 20.0)
    ports = [cathode - voltage + random.uniform(-0.5, 1.0), cathode, random.uniform(225.0, 480.0)]
    return ports, [voltage, decades(random, 1e-4, 1e-2), random.uniform(1.0, 4.0)]


def mosfet_point(random: np.random.Generator) -> Point:
    """Weak and strong inversion, off, triode, saturated, drain and source exchanged, cold and hot; both polarities."""
    polarity, source = sign(random), random.uniform(-30.0, 30.0)
    threshold = random.uniform(-2.0, 4.0)
    v_gs = threshold + float(
        random.choice([random.uniform(-0.3, 0.3), random.uniform(0.3, 12.0), -random.uniform(0.5, 9.0)])
    )
    v_ds = sign(random) * float(random.choice([decades(random, 1e-6, 0.1), random.uniform(0.1, 40.0)]))
    ports = [source + polarity * v_ds, source + polarity * v_gs, source, random.uniform(225.0, 480.0)]
    return ports, [polarity, threshold, decades(random, 0.05, 100.0), random.uniform(1.0, 1.8),
                   or_nothing(random, random.uniform(0.0, 0.05)), or_nothing(random, -random.uniform(1e-3, 8e-3)),
                   random.uniform(290.0, 310.0)]  # fmt: skip


def gain_point(random: np.random.Generator, lost: bool) -> Point:
    """The base current on either side of what the junction voltage asks for."""
    polarity, base = sign(random), random.uniform(-20.0, 20.0)
    short, spare = sign(random) * decades(random, 1e-9, 1.0), sign(random) * decades(random, 1e-9, 10.0)
    emitter = base - polarity * (0.7 - short)
    collector = emitter + polarity * (0.3 + spare)
    own = [sign(random) * decades(random, 1e-12, 1.0) for _ in range(2 if lost else 1)]
    return [collector, base, emitter, *own], [polarity, decades(random, 5.0, 300.0), 0.7] + ([0.3] if lost else [])


def pair(random: np.random.Generator, most: float = 30.0) -> list[float]:
    return [random.uniform(-most, most), random.uniform(-most, most)]


def threshold_point(random: np.random.Generator) -> Point:
    threshold, resistance, width = random.uniform(0.5, 9.0), decades(random, 0.05, 5.0), decades(random, 1e-6, 1e-3)
    past = float(random.choice([random.uniform(-3.0, 3.0), width * resistance * random.uniform(-5.0, 5.0)]))
    minus = random.uniform(-20.0, 20.0)
    return [minus + threshold + past, minus, 300.0], [threshold, resistance, width]


SAMPLES: dict[str, Callable[[np.random.Generator], Point]] = {
    "resistor": lambda r: (
        [*pair(r), r.uniform(225.0, 480.0)],
        [decades(r, 1e-3, 1e6), r.uniform(-1e-3, 4e-3), r.uniform(290.0, 310.0)],
    ),
    "source": lambda r: ([*pair(r), r.uniform(-10.0, 10.0)], [r.uniform(-30.0, 30.0), decades(r, 1e-3, 10.0)]),
    "current_load": lambda r: ([*pair(r, 0.3)], [decades(r, 1e-3, 10.0)]),
    "power_load": lambda r: ([*pair(r)], [decades(r, 1e-2, 100.0), r.uniform(0.5, 2.0)]),
    "battery": lambda r: ([*pair(r)], [r.uniform(0.0, 14.0), decades(r, 1e-2, 10.0)]),
    "lamp": lambda r: ([*pair(r)], [r.uniform(6.0, 28.0), r.uniform(1.0, 50.0), decades(r, 0.05, 0.7)]),
    "thermal_resistance": lambda r: ([r.uniform(230.0, 480.0), r.uniform(230.0, 480.0)], [decades(r, 0.1, 100.0)]),
    "threshold": threshold_point,
    "diode": diode_point,
    "breakdown": breakdown_point,
    "bipolar": bipolar_point,
    "mosfet": mosfet_point,
    "regulator": regulator_point,
    "constant_gain": lambda r: gain_point(r, lost=False),
    "saturating_gain": lambda r: gain_point(r, lost=True),
}


def points(device: Device, seed: int = 1) -> list[Point]:
    random = np.random.default_rng([seed, NUMBER[device.name]])
    return [SAMPLES[device.name](random) for _ in range(POINTS)]


# ------------------------------------------------------------------------------------------------ ours and theirs


def alone(device: Device) -> Tables:
    """Tables of a circuit that consists of this device; port k is unknown k and balance k."""
    ports, slopes = len(device.ports), len(slope_places(device))
    none = np.zeros(0, dtype=np.uint32)
    first = np.zeros(1, dtype=np.uint32)
    every = {name: none for name in Tables._fields} | {
        "device": np.array([NUMBER[device.name]], dtype=np.uint32),
        "port_start": first,
        "parameter_start": first,
        "place_start": first,
        "parameter_slope_start": first,
        "corner_start": first,
        "port": np.arange(ports, dtype=np.uint32),
        "row": np.arange(ports, dtype=np.uint32),
        "parameter": np.arange(len(device.parameters), dtype=np.uint32),
        "place": np.arange(slopes, dtype=np.uint32),
        "is_temperature": np.zeros(0, dtype=np.bool_),
        "junction_sign": np.zeros(0),
        "thermal_from": 0,
        "parity": 1.0,
        "dense": False,
    }
    return Tables(**every)


def compiled(device: Device, point: Point) -> tuple[Any, Any, Any]:
    """Contributions [port], slopes by port and by parameter, as the kernels compute them."""
    x, p = (np.array(numbers) for numbers in point)
    tables = alone(device)
    values, slopes = np.zeros(len(device.ports)), np.zeros(len(slope_places(device)))
    solver().balances(x, p, tables, values, slopes)
    by_parameter = np.zeros(len(parameter_slope_places(device)))
    solver().evaluate_parameter_slopes(x, p, tables, by_parameter)
    flows = np.zeros(len(device.ports))
    solver().evaluate_flows(x, p, tables, flows)
    assert np.array_equal(flows, values)
    return values, slopes, by_parameter


def exact(device: Device, inputs: Sequence[Any]) -> list[Any]:
    """Contributions at forty digits; inputs are ports, then parameters."""
    ports = len(device.ports)
    parameters = SimpleNamespace(**dict(zip(device.parameters, inputs[ports:], strict=True)))
    return list(device.equations(list(inputs[:ports]), parameters, Digits()))


def moved(inputs: Sequence[Any], j: int, by: Any) -> list[Any]:
    return [value + by if i == j else value for i, value in enumerate(inputs)]


def exact_slopes(device: Device, inputs: Sequence[Any]) -> list[list[Any]]:
    """[input][port]: central differences, whose own error is about STEP² of the third derivative."""
    found = []
    for j, value in enumerate(inputs):
        h = STEP * (abs(value) or 1)
        up, down = exact(device, moved(inputs, j, h)), exact(device, moved(inputs, j, -h))
        found.append([(a - b) / (2 * h) for a, b in zip(up, down, strict=True)])
    return found


def rounding_of_slope(device: Device, inputs: Sequence[Any], k: int, j: int) -> Any:
    """What one relative rounding of every input does to the slope of contribution k by input j, added up."""
    total = mpf(0)
    for i, value in enumerate(inputs):
        h = mpf(10) ** -12 * (abs(value) or 1)
        up = exact_slope(device, moved(inputs, i, h), k, j)
        down = exact_slope(device, moved(inputs, i, -h), k, j)
        total += abs((up - down) / (2 * h) * value)
    return total


def exact_slope(device: Device, inputs: Sequence[Any], k: int, j: int) -> Any:
    h = STEP * (abs(inputs[j]) or 1)
    return (exact(device, moved(inputs, j, h))[k] - exact(device, moved(inputs, j, -h))[k]) / (2 * h)


def inputs_of(point: Point) -> list[Any]:
    return [mpf(float(value)) for numbers in point for value in numbers]


@pytest.fixture(autouse=True)
def digits() -> Any:
    with mpmath.workdps(DIGITS + 25):
        yield


# ------------------------------------------------------------------------------------------------ tests


@pytest.mark.parametrize("device", DEVICES, ids=lambda device: device.name)
def test_values(device: Device) -> None:
    for point in points(device):
        inputs = inputs_of(point)
        have, _, _ = compiled(device, point)
        slopes = exact_slopes(device, inputs)
        values = exact(device, inputs)
        for k, want in enumerate(values):
            condition = max(map(abs, values)) + sum(abs(slopes[j][k] * inputs[j]) for j in range(len(inputs)))
            allowed = NOTHING + VALUE_SHARE * abs(want) + ROUNDINGS * condition
            assert abs(have[k] - want) <= allowed, (point, device.ports[k])


@pytest.mark.parametrize("device", DEVICES, ids=lambda device: device.name)
def test_slopes(device: Device) -> None:
    ports = len(device.ports)
    places = list(slope_places(device)) + [(k, ports + j) for k, j in parameter_slope_places(device)]
    names = device.ports + device.parameters
    for point in points(device):
        inputs = inputs_of(point)
        values, by_port, by_parameter = compiled(device, point)
        want = exact_slopes(device, inputs)
        have = dict(zip(places, [*by_port, *by_parameter], strict=True))
        floor = NOTHING + ROUNDINGS * np.abs(values).max()
        for j, x in enumerate(inputs):
            for k in range(ports):
                # a slope that is nowhere written down is zero everywhere
                error = abs(have.get((k, j), 0.0) - want[j][k])
                allowed = SLOPE_SHARE * abs(want[j][k]) + ROUNDINGS * max(map(abs, want[j]))
                if error * abs(x) > floor and error > allowed:
                    allowed += ROUNDINGS * rounding_of_slope(device, inputs, k, j)
                    assert error <= allowed, (point, device.ports[k], names[j])


@pytest.mark.parametrize("device", DEVICES, ids=lambda device: device.name)
def test_slopes_against_finite_differences(device: Device) -> None:
    """In double precision throughout.  Halving the step shows how good a difference is; the best of several counts."""
    for point in points(device, seed=2)[:20]:
        values, slopes, _ = compiled(device, point)
        have = dict(zip(slope_places(device), slopes, strict=True))
        largest = np.abs(values).max()
        for j, x in enumerate(point[0]):
            best = np.full(len(values), np.inf)
            nearest = np.zeros(len(values))
            for exponent in range(-36, -23, 3):
                h = 2.0**exponent * max(1.0, abs(x))
                wide, narrow = difference(device, point, j, h), difference(device, point, j, 0.5 * h)
                for k in range(len(values)):
                    row = max(abs(have.get((k, i), 0.0) * at) for i, at in enumerate(point[0]))
                    noise = (8.0 * np.finfo(float).eps * (largest + row) + NOTHING) / h
                    doubt = 2.0 * abs(wide[k] - narrow[k]) + noise
                    if doubt < best[k]:
                        best[k], nearest[k] = doubt, narrow[k]
            for k, difference_quotient in enumerate(nearest):
                slope = have.get((k, j), 0.0)
                allowed = NOTHING + best[k] + 1e-6 * abs(slope)
                assert abs(difference_quotient - slope) <= allowed, (point, device.ports[k], device.ports[j])


def difference(device: Device, point: Point, j: int, h: float) -> Any:
    up, down = (compiled(device, (moved(point[0], j, by), point[1]))[0] for by in (h, -h))
    return (up - down) / (2.0 * h)


@pytest.mark.parametrize("device", [device for device in DEVICES if device.valid], ids=lambda device: device.name)
def test_range(device: Device) -> None:
    """What must stay positive inside the model's range."""
    for point in points(device):
        inputs, ports = inputs_of(point), len(device.ports)
        parameters = SimpleNamespace(**dict(zip(device.parameters, inputs[ports:], strict=True)))
        assert device.valid is not None
        want = min(1, *device.valid(inputs[:ports], parameters, Digits()))
        have = solver().least_range(np.array(point[0]), np.array(point[1]), alone(device))
        assert abs(have - want) <= 1e-10 * max(1, abs(want))


def test_every_device_is_sampled() -> None:
    assert list(SAMPLES) == [device.name for device in DEVICES]
