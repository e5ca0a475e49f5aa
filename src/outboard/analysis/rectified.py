"""A transformer with its rectifier as a law: the current into the reservoir for the voltage that is left over for it.

Seen from the reservoir the conducting winding is a sine behind a resistance, its diodes in series with it.  Current
flows one way; what the transformer leaks inductively is left out, so pulses are a little shorter and higher than real.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Law = Callable[[Floats], tuple[Floats, Floats]]

SMALLEST = 1e-6
"""A charging path of less resistance than this counts as having it [Ω]."""


@dataclass(frozen=True, slots=True)
class Rectified:
    """Feeds side by side, one element each, with the constant current that the stage draws.

    crest       crest of the secondary (of the half that conducts) without load [V]
    omega       angular frequency of the mains [1/s]
    resistance  of windings, leads and diodes in the charging path, ESR apart [Ω]
    offset      forward voltage of the diodes in the path that does not depend on current [V]
    slope       n·V_T of all diodes in the path together [V]; nothing where only `offset` counts
    saturation  I_S of the diodes [A]
    capacitance [F], esr [Ω], load [A]
    bleeder     conductance across the reservoir [S]
    """

    crest: Floats
    omega: Floats
    resistance: Floats
    offset: Floats
    slope: Floats
    saturation: Floats
    capacitance: Floats
    esr: Floats
    load: Floats
    bleeder: Floats

    def __len__(self) -> int:
        return len(self.crest)

    @property
    def half_cycle(self) -> Floats:
        """Time of a half cycle [s]."""
        return np.asarray(np.pi / self.omega)

    @property
    def path(self) -> Floats:
        """Resistance that the charging current sees, ESR counted [Ω]."""
        return np.asarray(np.maximum(self.resistance + self.esr, SMALLEST))

    def spare(self, angle: float | Floats, stored: Floats) -> Floats:
        """What the sine has left over for the charging path, above the stored voltage [V]."""
        return self.spare_of(np.abs(np.sin(angle)), stored)

    def spare_of(self, sine: Floats, stored: Floats) -> Floats:
        """The same for the size of a sine of 1 [V]."""
        return self.crest * sine - self.offset - stored + self.esr * (self.load + self.bleeder * stored)

    def charging_law(self) -> Law:
        """Current of the rectifier [A] and its slope [S] for the voltage left over [V], as a function.

        With a junction: spare = R·i + n·V_T·ln(1 + i/I_S), solved by Lambert's function; without: spare = R·i, i ≥ 0.
        """
        from scipy.special import wrightomega  # half a second to load, and only this needs it

        path = self.path
        junction = self.slope > 0.0
        slope = np.where(junction, self.slope, 1.0)
        saturation = np.where(junction, self.saturation, 1.0)
        scaled = saturation * path / slope
        begin, conductance, per_volt, size = np.log(scaled) + scaled, 1.0 / path, 1.0 / slope, slope / path

        def curved(spare: Floats) -> tuple[Floats, Floats]:
            root = wrightomega(begin + per_volt * spare)
            return size * root - saturation, conductance * root / (1.0 + root)

        def straight(spare: Floats) -> tuple[Floats, Floats]:
            return conductance * np.maximum(0.0, spare), conductance * (spare > 0.0)

        if junction.all():
            return curved
        if not junction.any():
            return straight

        def either(spare: Floats) -> tuple[Floats, Floats]:
            pairs = zip(curved(spare), straight(spare), strict=True)
            current, slopes = (np.where(junction, one, other) for one, other in pairs)
            return current, slopes

        return either

    def terminal(self, stored: Floats, current: Floats) -> Floats:
        """Voltage at the reservoir's terminals [V] for what it stores, and the rectifier's current."""
        return np.asarray(stored + self.esr * (current - self.load - self.bleeder * stored))
