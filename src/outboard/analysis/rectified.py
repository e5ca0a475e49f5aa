"""A transformer with its rectifier as a law: the current into the reservoir for the voltage that is left over for it.

Seen from the reservoir the conducting winding is a sine behind a resistance, its diodes in series with it.  Current
flows one way; what the transformer leaks inductively is left out, so pulses are a little shorter and higher than real.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

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
        drawn = self.load + self.bleeder * stored
        return np.asarray(self.crest * np.abs(np.sin(angle)) - self.offset - stored + self.esr * drawn)

    def charging(self, spare: Floats) -> tuple[Floats, Floats]:
        """Current of the rectifier [A] for the voltage left over, and its slope [S].

        With a junction: spare = R·i + n·V_T·ln(1 + i/I_S), solved by Lambert's function; without: spare = R·i, i ≥ 0.
        """
        from scipy.special import wrightomega  # half a second to load, and only this needs it

        path = self.path
        junction = self.slope > 0.0
        slope = np.where(junction, self.slope, 1.0)
        saturation = np.where(junction, self.saturation, 1.0)
        scaled = saturation * path / slope
        root = np.asarray(wrightomega(np.log(scaled) + spare / slope + scaled), dtype=np.float64)
        curved = slope / path * root - saturation
        straight = np.maximum(0.0, spare) / path
        slopes = np.where(junction, root / (1.0 + root), spare > 0.0) / path
        return np.where(junction, curved, straight), slopes

    def terminal(self, stored: Floats, current: Floats) -> Floats:
        """Voltage at the reservoir's terminals [V] for what it stores, and the rectifier's current."""
        return np.asarray(stored + self.esr * (current - self.load - self.bleeder * stored))
