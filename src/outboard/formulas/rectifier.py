"""Rectifier and reservoir by hand: ripple, mean, conduction; and the exact valley under a constant current.

The small-ripple forms take the discharge for a straight line over a whole half cycle.  Above a ripple of a tenth they
are wrong by volts; `exact_discharge` is the yardstick of what source resistance does beside.
"""

from dataclasses import dataclass
from math import acos, cos, pi, sin, sqrt
from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula
from outboard.formulas.vocabulary import R_L

I_dc = Annotated[float, Symbol("I_dc", "A", "direct current")]
frequency = Annotated[float, Symbol("f", "1/s", "frequency of the mains")]
C = Annotated[float, Symbol("C", "A·s/V", "capacitance of the reservoir")]
ripple = Annotated[float, Symbol("ΔV", "V", "ripple, peak to peak")]
V_r = Annotated[float, Symbol("V_r", "V", "ripple, effective")]
V_m = Annotated[float, Symbol("V_m", "V", "crest of the rectified voltage")]
V_dc = Annotated[float, Symbol("V_dc", "V", "mean voltage of the reservoir")]
V_ac = Annotated[float, Symbol("V_ac", "V", "voltage of the secondary, effective")]
share = Annotated[float, Symbol("r", "1", "effective ripple as a share of the mean")]
t_d = Annotated[float, Symbol("t_d", "s", "time of the discharge")]
R_series = Annotated[float, Symbol("R", "Ω", "resistor of a smoothing section")]
V_2 = Annotated[float, Symbol("V_2", "V", "mean behind the smoothing section")]
angle = Annotated[float, Symbol("θ", "1", "conduction angle in a cycle [rad]")]
I_D = Annotated[float, Symbol("I_D", "A", "mean current of a diode while it conducts")]
I_D_peak = Annotated[float, Symbol("I_D,max", "A", "greatest current of a diode")]
TEXTBOOK = "linear discharge over a half cycle: ripple up to a tenth of the crest; no source resistance"


@formula("ΔV = I_dc / (2·f·C)", validity=TEXTBOOK, source="feed-physics")
def full_wave_ripple(*, current: I_dc, mains_frequency: frequency, capacitance: C) -> ripple:
    """Ripple of a full-wave rectifier, peak to peak [V]."""
    return current / (2.0 * mains_frequency * capacitance)


@formula("V_r = I_dc / (4·sqrt(3)·f·C)", validity=TEXTBOOK, source="Boylestad-15.3")
def full_wave_ripple_effective(*, current: I_dc, mains_frequency: frequency, capacitance: C) -> V_r:
    """Effective ripple of a full-wave rectifier [V]."""
    return current / (4.0 * sqrt(3.0) * mains_frequency * capacitance)


@formula("V_dc = V_m − I_dc / (4·f·C)", validity=TEXTBOOK, source="Boylestad-15.3")
def full_wave_mean(*, crest: V_m, current: I_dc, mains_frequency: frequency, capacitance: C) -> V_dc:
    """Mean voltage behind a full-wave rectifier: the crest less half the ripple [V]."""
    return crest - current / (4.0 * mains_frequency * capacitance)


@formula("r = V_r / V_dc", validity="always", source="Boylestad-15.3")
def ripple_share(*, effective: V_r, mean: V_dc) -> share:
    """Effective ripple as a share of the mean [1]."""
    return effective / mean


@formula("C = I_dc·t_d / ΔV", validity="constant current; the whole half cycle is on the safe side",
         source="hobby-article-sharing")  # fmt: skip
def reservoir_for_ripple(*, current: I_dc, discharge: t_d, wanted: ripple) -> C:
    """Reservoir for a ripple [A·s/V]."""
    return current * discharge / wanted


@formula("V_dc = 0.85·sqrt(2)·V_ac", validity="full wave, source resistance and ωCR_L as designers usually find them",
         source="Schade-point")  # fmt: skip
def mean_by_rule(*, secondary: V_ac) -> V_dc:
    """Mean voltage of a reservoir by the point that designers read off Schade's curves [V]."""
    return 0.85 * sqrt(2.0) * secondary


@formula("V_2 = V_dc·R_L / (R + R_L)", validity="direct current", source="Boylestad-15.6")
def mean_behind_smoothing(*, mean: V_dc, load: R_L, series: R_series) -> V_2:
    """Mean voltage behind a smoothing section of resistor and capacitor [V]."""
    return mean * load / (series + load)


@formula("C = V_m / (ΔV·f·R_L)", validity="half wave, small ripple", source="Sedra-3.9")
def half_wave_reservoir(*, crest: V_m, wanted: ripple, mains_frequency: frequency, load: R_L) -> C:
    """Reservoir behind a single diode [A·s/V]."""
    return crest / (wanted * mains_frequency * load)


@formula("θ = sqrt(2·ΔV / V_m)", validity="small ripple, no source resistance", source="Sedra-3.9")
def conduction_angle(*, peak_to_peak: ripple, crest: V_m) -> angle:
    """Conduction angle of a peak rectifier [1]."""
    return sqrt(2.0 * peak_to_peak / crest)


@formula("I_D = I_dc·(1 + π·sqrt(2·V_m / ΔV))", validity="half wave, small ripple, no source resistance",
         source="Sedra-3.9")  # fmt: skip
def half_wave_diode_mean(*, current: I_dc, crest: V_m, peak_to_peak: ripple) -> I_D:
    """Mean current of a single diode while it conducts [A]."""
    return current * (1.0 + pi * sqrt(2.0 * crest / peak_to_peak))


@formula("I_D,max = I_dc·(1 + 2·π·sqrt(2·V_m / ΔV))", validity="half wave, small ripple, no source resistance",
         source="Sedra-3.9")  # fmt: skip
def half_wave_diode_peak(*, current: I_dc, crest: V_m, peak_to_peak: ripple) -> I_D_peak:
    """Greatest current of a single diode [A]."""
    return current * (1.0 + 2.0 * pi * sqrt(2.0 * crest / peak_to_peak))


@formula("I_D = I_dc·(1 + π·sqrt(V_m / (2·ΔV)))", validity="full wave, small ripple, no source resistance",
         source="Sedra-3.9")  # fmt: skip
def full_wave_diode_mean(*, current: I_dc, crest: V_m, peak_to_peak: ripple) -> I_D:
    """Mean current of a diode of a full-wave rectifier while it conducts [A]."""
    return current * (1.0 + pi * sqrt(crest / (2.0 * peak_to_peak)))


@formula("I_D,max = I_dc·(1 + 2·π·sqrt(V_m / (2·ΔV)))", validity="full wave, small ripple, no source resistance",
         source="Sedra-3.9")  # fmt: skip
def full_wave_diode_peak(*, current: I_dc, crest: V_m, peak_to_peak: ripple) -> I_D_peak:
    """Greatest current of a diode of a full-wave rectifier [A]."""
    return current * (1.0 + 2.0 * pi * sqrt(crest / (2.0 * peak_to_peak)))


@dataclass(frozen=True, slots=True)
class Discharge:
    """The reservoir between two crests, angles in [rad] from a zero of the sine: it leaves it, and meets the next one.

    valley, mean [V]; conduction is the angle in a half cycle during which the diodes conduct.
    """

    leaves: float
    meets: float
    valley: float
    mean: float

    @property
    def conduction(self) -> float:
        """Angle in a half cycle during which diodes conduct [rad]."""
        return pi - (self.meets - self.leaves)


def exact_discharge(crest: float, current: float, capacitance: float, mains_frequency: float) -> Discharge:
    """The exact discharge of a full-wave reservoir under a constant current, without source resistance.

    Leaves the sine where its slope is that of the discharge, cos θ1 = −I / (ω·C·V_m), then a straight line to where it
    meets |sin|.  NoSolution where the discharge is steeper than the sine anywhere: the reservoir then follows it to
    nothing.  Source: derived, of physics that every textbook has; the yardstick for R = 0.
    """
    omega = 2.0 * pi * mains_frequency
    steepness = current / (omega * capacitance * crest)
    if steepness >= 1.0:
        raise NoSolution("the reservoir is so small that it follows the sine down; a larger one would hold it")
    leaves = acos(-steepness)
    low, high = pi, pi + pi / 2.0  # the line starts below the next half sine's crest and above its zero
    for _ in range(200):
        middle = 0.5 * (low + high)
        if sin(leaves) - steepness * (middle - leaves) > sin(middle - pi):
            low = middle
        else:
            high = middle
    meets = 0.5 * (low + high)
    valley = crest * sin(meets - pi)
    line = 0.5 * (crest * sin(leaves) + valley) * (meets - leaves)
    sine = crest * (cos(meets - pi) - cos(leaves))
    return Discharge(leaves, meets, valley, (line + sine) / pi)


def most_current_for_valley(crest: float, valley: float, capacitance: float, mains_frequency: float) -> float:
    """The constant current that just leaves a valley [A], by halving the exact discharge."""
    low, high = 0.0, 2.0 * pi * mains_frequency * capacitance * crest
    for _ in range(200):
        middle = 0.5 * (low + high)
        if exact_discharge(crest, middle, capacitance, mains_frequency).valley > valley:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
