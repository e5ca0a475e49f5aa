"""Solved lanes looked at anew with NumPy: balances straight from the device equations, and the models' range."""

from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from outboard.devices.catalogue import DEVICES
from outboard.network.compile import solver
from outboard.network.solution import Block

Floats = NDArray[np.float64]
BALANCE = 1e-12
ROUNDINGS = 8.0 * np.finfo(float).eps


class Arrays:
    """The mathematics namespace of NumPy arrays."""

    exp, log, log1p, sqrt, tanh = (staticmethod(f) for f in (np.exp, np.log, np.log1p, np.sqrt, np.tanh))
    above = staticmethod(np.greater)
    choose = staticmethod(np.where)

    @staticmethod
    def with_slope(value: Floats, x: Floats, slope: Floats) -> Floats:
        return value


def parameters(block: Block) -> Floats:
    """The parameter vector of every lane, [slot, lane]."""
    slots, values = block._lane_overrides()
    numbers = np.repeat(block.circuit.base[:, None], len(values), axis=1)
    numbers[slots] = values.T
    return numbers


def residuals(block: Block) -> Floats:
    """Sum of all contributions to every balance, straight from the device equations, [unknown, lane]."""
    circuit, numbers = block.circuit, parameters(block)
    x = block.xs.reshape(-1, block.xs.shape[-1]).T
    tables = circuit.tables
    total = np.zeros((len(circuit.unknowns) + 1, x.shape[1]))
    with np.errstate(all="ignore"):
        for e, number in enumerate(tables.device):
            device = DEVICES[number]
            ports = tables.port[tables.port_start[e] :][: len(device.ports)]
            own = tables.parameter[tables.parameter_start[e] :][: len(device.parameters)]
            p = SimpleNamespace(**dict(zip(device.parameters, numbers[own], strict=True)))
            for port, flow in zip(ports, device.equations(list(x[ports]), p, Arrays()), strict=True):
                total[min(port, len(circuit.unknowns))] += flow
    return total[:-1]


def jacobian(block: Block, lane: int) -> Floats:
    """The whole jacobian of one lane, dense."""
    circuit, n = block.circuit, len(block.circuit.unknowns)
    residual, places = np.zeros(n + 1), np.zeros(len(circuit.tables.entry_row) + 1)
    x = np.ascontiguousarray(block.xs.reshape(-1, n + 2)[lane])
    solver().balances(x, np.ascontiguousarray(parameters(block)[:, lane]), circuit.tables, residual, places)
    matrix = np.zeros((n, n))
    matrix[circuit.tables.entry_row, circuit.tables.entry_column] = places[:-1]
    return matrix


def excess(block: Block) -> Floats:
    """Largest residual of each lane over what is allowed: 1e-12 plus eight roundings of the row's largest term."""
    found = np.abs(residuals(block))
    n = len(block.circuit.unknowns)
    worst = np.zeros(found.shape[1])
    for lane in np.flatnonzero(block.is_solved.ravel()):
        terms = np.abs(jacobian(block, lane) * block.xs.reshape(-1, n + 2)[lane, :n]).max(axis=1)
        worst[lane] = (found[:, lane] / (BALANCE + ROUNDINGS * terms)).max()
    return worst


def least_range(block: Block, lane: int) -> float:
    """The smallest of the numbers that must be positive inside the models' range."""
    circuit = block.circuit
    tables, numbers = circuit.tables, parameters(block)[:, lane]
    x = block.xs.reshape(-1, block.xs.shape[-1])[lane]
    least = np.inf
    for e, number in enumerate(tables.device):
        device = DEVICES[number]
        if device.valid:
            ports = tables.port[tables.port_start[e] :][: len(device.ports)]
            own = tables.parameter[tables.parameter_start[e] :][: len(device.parameters)]
            p = SimpleNamespace(**dict(zip(device.parameters, numbers[own], strict=True)))
            least = min(least, *device.valid(list(x[ports]), p, Arrays()))
    return float(least)


def hottest(block: Block, lane: int) -> float:
    """Highest temperature of a lane [K]."""
    x = block.xs.reshape(-1, block.xs.shape[-1])[lane, :-2]
    return float(x[block.circuit.tables.is_temperature].max())
