"""What a regulator is doing: holding its voltage, limiting its current, dropped out, or delivering nothing."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from outboard.devices.regulator import REGULATOR, regulator_corners
from outboard.network.solution import Block
from outboard.quantities.figures import direction, regulator_current, regulator_differential

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


class _Arrays:
    """The mathematics namespace of arrays, as far as the bends of a regulator need it."""

    exp = staticmethod(np.exp)
    log = staticmethod(np.log)
    log1p = staticmethod(np.log1p)
    sqrt = staticmethod(np.sqrt)
    tanh = staticmethod(np.tanh)
    above = staticmethod(np.greater)
    choose = staticmethod(np.where)

    @staticmethod
    def with_slope(value: object, x: object, slope: object) -> object:
        """The value alone; nobody asks these for slopes."""
        return value


ARRAYS = _Arrays()


@dataclass(frozen=True, slots=True)
class Regulation:
    """Masks [corner, point]; where none is true the regulator holds its voltage.

    idle         the output is above the set voltage: nothing is delivered, and a regulator cannot sink
    limiting     the output is too low because the current limit (or the thermal shutdown) holds it
    dropped_out  the output is too low because too little voltage is left across the regulator
    lacking      how far the output is below the voltage that the regulator would hold [V]; negative while idle
    """

    idle: Mask
    limiting: Mask
    dropped_out: Mask
    lacking: Floats


def regulation(block: Block, part: str) -> Regulation:
    """What a regulator does in every lane, from the bends of its own equations."""
    values = (*(block.pin_voltage(part, pin) for pin in ("in", "out", "ref")), block.junction_temperature(part))
    numbers = _numbers(block, part)
    want, beyond, _, limited = regulator_corners(values, numbers, ARRAYS)
    short, idle = np.asarray(beyond > 0.0), np.asarray(want < 0.0)
    # in regulation it wants what it gives; short of that, or idle, an output further off would make it content
    unmet = np.where(short, beyond, np.where(idle, want, 0.0)) * numbers.sharpness
    lacking: Floats = unmet * numbers.output_resistance
    return Regulation(idle, short & (limited > 0.0), short & (limited <= 0.0), lacking)


def regulator_headroom(block: Block, part: str) -> Floats:
    """What is left above drop-out: V_in − V_hold − V_d0 − R_d·I − k_d·(T_j − T0) [V].

    V_hold is the output that the regulator would hold.
    Negative exactly where the regulator has dropped out, or would if its output had not floated above V_hold.
    """
    state = regulation(block, part)
    numbers = _numbers(block, part)
    warmer = block.junction_temperature(part) - numbers.reference_temperature
    needed = numbers.dropout_voltage + numbers.dropout_tempco * warmer
    needed = needed + numbers.dropout_resistance * regulator_current(block, part)
    spare = regulator_differential(block, part) - needed
    # at and below drop-out the model leaves no voltage spare but rounding; what is missing is missing at the output
    spare = np.where(state.dropped_out, 0.0, np.where(state.idle, spare, np.maximum(0.0, spare)))
    left: Floats = np.where(state.limiting, spare, spare - state.lacking)
    return left


def _numbers(block: Block, part: str) -> SimpleNamespace:
    """The regulator's parameters in every lane; the short-circuit current is the limit where the file gives none."""
    found = SimpleNamespace(polarity=direction(block, part))
    for name in REGULATOR.parameters:
        if name == "polarity":
            continue
        try:
            number = block.number(part, name)
        except KeyError:
            number = block.number(part, "current_limit")
        setattr(found, name, number)
    return found
