"""Slopes of figures by parameters against circuits solved anew, against the compiled derivatives, and closed forms."""

from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

import numpy as np
import pytest

from outboard.analysis.sensitivity import Address, _solutions, parameters_of, sloped, slopes
from outboard.arrangements import designed
from outboard.brief import read
from outboard.devices.catalogue import DEVICES
from outboard.network.circuit import AMBIENT_FIELD, Circuit, laid_out
from outboard.network.compile import places_of, solver
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.sloped import Sloped
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities import figures
from outboard.quantities.regulation import regulator_headroom

ROOT = Path(__file__).resolve().parents[2]
BYPASS, COMPOUND = "model-railway", "observatory"
SHARED = [
    ("U1", "set_voltage"), ("U1", "heat.resistance"), ("U1", "dropout_voltage"), ("R1", "resistance"),
    ("Q1", "forward_gain"), ("Q1", "saturation_current"), ("Q1", "heat.resistance"), ("Q1", "forward_knee_current"),
    ("input", "voltage"), ("load", "draws"), AMBIENT_FIELD,
]  # fmt: skip
OWN = {
    BYPASS: [("sink bracket", "resistance")],
    COMPOUND: [
        ("sink main", "resistance"), ("R2", "resistance"), ("Q2", "forward_gain"), ("Q2", "saturation_current"),
        ("Q2", "heat.resistance"), ("Q2", "forward_early_voltage"),
    ],
}  # fmt: skip
STEP = 4e-3
ROUNDING = 3e-9
"""What the solver's last digits make of a difference over such a step, as a share of the figure."""


@cache
def circuit(example: str) -> Circuit:
    parts = [part.part for part in designed(read(ROOT / "examples" / f"{example}.toml")).parts]
    return laid_out(parts, 300.0)


def read_off(name: str) -> dict[str, Callable[[Block], np.ndarray]]:
    return {
        "collector current": partial(figures.collector_current, part=name),
        "base current": partial(figures.base_current, part=name),
        "collector-emitter voltage": partial(figures.collector_emitter_voltage, part=name),
        "power": lambda block: block.power(name),
        "junction temperature": lambda block: block.junction_temperature(name),
        "case temperature": partial(figures.case_temperature, part=name, junction_to_case=1.1),
        "allowed power": lambda block: figures.allowed_power(block.junction_temperature(name), 50.0, 423.15),
        "output": lambda block: block.net_voltage("out"),
        "regulator current": partial(figures.regulator_current, part="U1"),
        "headroom": partial(regulator_headroom, part="U1"),
    }


@cache
def around(example: str, address: Address) -> tuple[Block, float, float]:
    """Circuits solved anew at −3…3 steps around the usual value; that value, and the step."""
    net = circuit(example)
    usual = float(net.base[0]) if address == AMBIENT_FIELD else float(solved(net).number(*address)[0, 0])
    values = usual * (1.0 + STEP * np.arange(-3.0, 4.0))
    block = solved(net, Overrides.column(*address, values))
    assert block.is_solved.all()
    return block, usual, STEP * usual


@pytest.mark.parametrize(("example", "name"), [(BYPASS, "Q1"), (COMPOUND, "Q1"), (COMPOUND, "Q2")])
@pytest.mark.parametrize("figure", read_off(""))
def test_slopes_are_those_of_circuits_solved_anew(example: str, name: str, figure: str) -> None:
    """Against central differences of sixth order."""
    wanted, addresses = read_off(name)[figure], SHARED + OWN[example]
    found = slopes(solved(circuit(example)), [wanted], addresses)[0, 0]
    for slope, address in zip(found, addresses, strict=True):
        block, usual, step = around(example, address)
        y = wanted(block)[:, 0]
        difference = np.array([-1.0, 9.0, -45.0, 0.0, 45.0, -9.0, 1.0]) @ y / (60.0 * step)
        assert slope == pytest.approx(difference, rel=1e-6, abs=ROUNDING * abs(y[3] / usual)), address


@pytest.mark.parametrize("example", [BYPASS, COMPOUND])
def test_local_slopes_are_those_of_the_compiled_kernels(example: str) -> None:
    """The tracer's derivatives, compiled, and arrays that carry slopes: two ways, one circuit, all parameters.

    Both kinds of derivative of F must give zero together: ∂F/∂x·dx + ∂F/∂p = 0 for every parameter.
    """
    net = circuit(example)
    block = solved(net)
    addresses = [address for address in parameters_of(net) if address != AMBIENT_FIELD]
    moved = sloped(block, addresses).xs.slopes[0, 0]  # type: ignore[attr-defined]
    n, tables = len(net.unknowns), net.tables
    x, p = block.xs[0, 0].copy(), net.base.copy()
    residual, entries = np.zeros(n + 1), np.zeros(len(tables.entry_row) + 1)
    solver().balances(x, p, tables, residual, entries)
    jacobian = np.zeros((n, n))
    jacobian[tables.entry_row, tables.entry_column] = entries[:-1]
    by_parameter = np.zeros(int(tables.parameter_slope_start[-1]))
    solver().evaluate_parameter_slopes(x, p, tables, by_parameter)
    by_slot = np.zeros((n + 1, len(p)))
    for e, device in enumerate(DEVICES[number] for number in tables.device):
        start = int(tables.parameter_slope_start[e])
        for m, (k, j) in enumerate(places_of(device).parameter_slopes):
            row = tables.row[int(tables.port_start[e]) + k]
            by_slot[row, tables.parameter[int(tables.parameter_start[e]) + j]] += by_parameter[start + m]
    for m, address in enumerate(addresses):
        driven = sum(by_slot[:n, slot] * (-(p[slot] ** 2) if inverse else 1.0) for slot, inverse in net.slots[address])
        terms = jacobian * moved[:n, m]
        left = terms.sum(axis=1) + driven
        assert np.all(np.abs(left) <= 1e-9 * (np.abs(terms).sum(axis=1) + np.abs(driven)) + 1e-300), address


def divider(upper: float = 10e3, lower: float = 10e3) -> list[Part]:
    return [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 5.0}),
        Part("R1", "resistor", {"a": "in", "b": "out"}, {"resistance": upper}),
        Part("R2", "resistor", {"a": "out", "b": "ground"}, {"resistance": lower}),
    ]


def test_divider_in_closed_form_lane_by_lane() -> None:
    """∂(V·R2/(R1 + R2)): by V R2/ΣR, by R1 −V·R2/ΣR², by R2 V·R1/ΣR²; at two inputs, along a sweep of R2."""
    net = laid_out(divider(), 300.0)
    uppers, lowers = np.array([1e3, 5e3, 10e3]), np.array([2e3, 10e3])
    block = solved(net, Overrides.column("R1", "resistance", uppers), Overrides.column("R2", "resistance", lowers))
    addresses = [("input", "voltage"), ("R1", "resistance"), ("R2", "resistance"), AMBIENT_FIELD]
    found = slopes(block, [lambda b: b.net_voltage("out"), lambda b: b.power("R2")], addresses)
    assert found.shape == (6, 2, 4)
    one, two = (a.reshape(-1) for a in np.meshgrid(uppers, lowers, indexing="ij"))
    total = one + two
    by_hand = np.column_stack([two / total, -5.0 * two / total**2, 5.0 * one / total**2, 0.0 * one])
    np.testing.assert_allclose(found[:, 0], by_hand, rtol=1e-12, atol=1e-20)
    power = (
        np.column_stack([10.0 * two, -50.0 * two / total, 25.0 * (one - two) / total, 0.0 * one]) / total[:, None] ** 2
    )
    np.testing.assert_allclose(found[:, 1], power, rtol=1e-9, atol=1e-16)


def test_bypass_of_constant_gain_in_closed_form() -> None:
    """I_REG = (I_L + h·V/R1)/(1 + h): slopes by I_L, h, V, R1 (derived); a transistor that is off moves nothing."""
    values = {"set_voltage": 5.0, "output_resistance": 1e-3, "quiescent_current": 0.0, "current_limit": 20.0}
    device = {"gain": 25.0, "base_emitter_voltage": 0.7}
    parts = [
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": 12.0}),
        Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": 3.0}),
        Part("Q1", "bipolar", {"collector": "out", "base": "x", "emitter": "in"}, device, "pnp", "constant_gain"),
        Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"}, values),
        Part("load", "load", {"plus": "out", "minus": "ground"}, {"draws": 2.0}),
    ]
    block = solved(laid_out(parts, 300.0), Overrides.column("load", "draws", np.array([4.0, 0.1])))
    addresses = [("load", "draws"), ("Q1", "gain"), ("Q1", "base_emitter_voltage"), ("R1", "resistance")]
    on, off = slopes(block, [partial(figures.regulator_current, part="U1")], addresses)[:, 0]
    h, v, r = 25.0, 0.7, 3.0
    by_hand = [1.0 / (1.0 + h), (v / r - 4.0) / (1.0 + h) ** 2, h / r / (1.0 + h), -h * v / r**2 / (1.0 + h)]
    np.testing.assert_allclose(on, by_hand, rtol=1e-6)
    np.testing.assert_allclose(off, [1.0, 0.0, 0.0, 0.0], rtol=1e-9, atol=1e-9)


def test_a_matrix_without_inverse_spoils_no_other_lane() -> None:
    """Lanes at the very edge of runaway have no slopes; their neighbours have."""
    matrices = np.array([[[2.0, 0.0], [0.0, 4.0]], [[1.0, 1.0], [1.0, 1.0]]])
    found = _solutions(matrices, np.ones((2, 2, 1)))
    np.testing.assert_allclose(found[0, :, 0], [0.5, 0.25])
    assert np.isnan(found[1]).all()


def test_pieces_agree_with_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    block = solved(circuit(BYPASS), Overrides.column("load", "draws", np.linspace(0.2, 2.0, 7)))
    wanted = [read_off("Q1")["power"]]
    whole = slopes(block, wanted, SHARED)
    monkeypatch.setattr("outboard.analysis.sensitivity.TOGETHER", 3)
    assert np.array_equal(slopes(block, wanted, SHARED), whole)


def test_a_lane_without_solution_has_no_slopes() -> None:
    block = solved(circuit(BYPASS), Overrides.column("load", "draws", np.array([0.5, 300.0])))
    broken = Block(block.circuit, block.corners, block.sweep, block.xs, np.array([[0], [1]], np.int8), block.notes)
    found = slopes(broken, [read_off("Q1")["power"]], SHARED)
    assert np.isfinite(found[0]).all()
    assert np.isnan(found[1]).all()


def test_a_field_that_the_circuit_lacks() -> None:
    with pytest.raises(KeyError):
        slopes(solved(circuit(BYPASS)), [read_off("Q1")["power"]], [("R1", "colour")])


@pytest.mark.parametrize(
    ("function", "at"),
    [
        (lambda x: np.exp(x) * x - 3.0 / x, 0.7), (lambda x: np.log(x) + np.log1p(x * x), 1.3),
        (lambda x: np.sqrt(x) / (1.0 + x), 2.0), (lambda x: np.tanh(x) - (-x), 0.4), (lambda x: abs(x - 2.0), 0.5),
        (lambda x: np.maximum(0.0, x) + np.minimum(x, 1.0), 0.3), (lambda x: np.clip(x * x, 0.0, 1.0), 0.5),
        (lambda x: np.clip(x * x, 0.0, 1.0), 1.5), (lambda x: np.where(x > 1.0, x * x, 5.0), 1.5),
        (lambda x: np.square(x) + np.array([1.0]) - x, 1.1),
    ],
)  # fmt: skip
def test_arrays_that_carry_slopes(function: Callable[..., object], at: float) -> None:
    found = function(Sloped(np.array([at]), np.array([[1.0]])))
    assert isinstance(found, Sloped)
    step = 1e-5
    assert found.values == pytest.approx(function(np.array([at])))
    both = function(np.array([at + step])), function(np.array([at - step]))
    assert found.slopes[0, 0] == pytest.approx((both[0] - both[1])[0] / (2.0 * step), rel=1e-8, abs=1e-9)  # type: ignore[operator]


@pytest.mark.parametrize("function", [np.asarray, np.sin, np.cumsum, lambda x: np.add(x, 1.0, out=np.zeros(1))])
def test_no_slope_is_lost_in_silence(function: Callable[..., object]) -> None:
    with pytest.raises(TypeError):
        function(Sloped(np.array([0.5]), np.array([[1.0]])))
