"""What a regulator is doing: holding its voltage, limiting its current, dropped out, or delivering nothing."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from numpy.typing import NDArray

from outboard.devices.regulator import REGULATOR, regulator_corners
from outboard.network.solution import Block
from outboard.quantities.figures import direction

Mask = NDArray[np.bool_]


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
    """

    idle: Mask
    limiting: Mask
    dropped_out: Mask


def regulation(block: Block, part: str) -> Regulation:
    """What a regulator does in every lane, from the bends of its own equations."""
    values = (*(block.pin_voltage(part, pin) for pin in ("in", "out", "ref")), block.junction_temperature(part))
    want, beyond, _, limited = regulator_corners(values, _numbers(block, part), ARRAYS)
    short = np.asarray(beyond > 0.0)
    return Regulation(np.asarray(want < 0.0), short & (limited > 0.0), short & (limited <= 0.0))


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
