"""Current gain: one shape over collector current, and its level at the least, usual and most end.

With integral charge control and the base-emitter leakage diode

    1/h_FE = q1·(1 + q1·I_C/I_K)/β_F + κ·I_F^(1/n)/I_C        I_F = q1·I_C·(1 + q1·I_C/I_K)

exactly in the active region, with κ = I_LE/I_S^(1/n) and q1 from the Early voltage.  κ makes gain fall at low
current, I_K at high current; β_F sets the level and is the only field of the axis "gain".

References
----------
[GummelPoon] Bell Syst. Tech. J. 49 (1970) p. 827
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from outboard.identify.records import default, derived
from outboard.parts.ratings import ratings
from outboard.parts.records import Figure, Origin, PartType

LEAKAGE_EMISSION = 1.5
EARLY_VOLTAGE = 100.0
"""Default forward Early voltage [V]."""

MOST_OVER_LEAST = 3.0
"""Default ratio of the most to the least gain where only a least gain is printed."""

SHARPEST_KNEE = 1 / 3
"""Least knee current, as a part of the current of the main gain row (default): below it gain would be ∝ 1/I_C."""


@dataclass(frozen=True, slots=True)
class GainPoint:
    """One printed gain: collector current [A], collector-emitter voltage [V], the gain and its figure."""

    current: float
    voltage: float
    gain: float
    figure: Figure


@dataclass(frozen=True, slots=True)
class GainFit:
    """Knee current [A], κ [A^(1−1/n)] and β_F at the three levels, each with its origin."""

    knee_current: float
    kappa: float
    usual: float
    least: float
    most: float
    knee_origin: Origin
    origins: tuple[Origin, Origin, Origin]
    notes: tuple[str, ...]


def early_factor(voltage: float) -> float:
    """q1 at a collector-emitter voltage [V], base-emitter voltage taken as 0.75 V."""
    return 1.0 / (1.0 + (voltage - 0.75) / EARLY_VOLTAGE)


def spreading(current: float, voltage: float, knee: float) -> float:
    """q_b = q1·(1 + q1·I_C/I_K), by which high current and the Early effect change the gain."""
    q1 = early_factor(voltage)
    return q1 * (1.0 + q1 * current / knee)


def leaking(current: float, voltage: float, knee: float) -> float:
    """I_F^(1/n)/I_C: what κ is multiplied with."""
    injected = current * spreading(current, voltage, knee)
    return math.pow(injected, 1.0 / LEAKAGE_EMISSION) / current


def printed_points(part_type: PartType) -> tuple[list[GainPoint], list[GainPoint], list[GainPoint]]:
    """Printed least, typical and most gains, rising in current; of several makers the loosest limit counts."""
    return _side(part_type, "least", min), _side(part_type, "typical", min), _side(part_type, "most", max)


def _side(part_type: PartType, side: str, loosest: Callable[[float, float], float]) -> list[GainPoint]:
    points: dict[float, GainPoint] = {}
    for row in part_type.rows("hFE"):
        gain, current = getattr(row, side), row.conditions.collector_current
        if gain is None or current is None:
            continue
        known = points.get(current)
        if known is None or (loosest(gain, known.gain) == gain and gain != known.gain):
            points[current] = GainPoint(current, row.conditions.collector_emitter_voltage or 4.0, gain, row)
    return [points[current] for current in sorted(points)]


def gain_fit(part_type: PartType, working_current: float | None) -> GainFit | None:
    """Shape and levels of the gain; None when no least gain is printed.  Only the ends follow the working current."""
    minima, typicals, maxima = printed_points(part_type)
    if not minima:
        return None
    both = [(low, high) for low in minima for high in maxima if low.current == high.current]
    best = max(point.gain for point in minima)
    anchor = both[0][0] if both else [point for point in minima if point.gain == best][-1]
    if both:
        top = both[0][1] if working_current is None else _nearest(maxima, working_current)
        most_gain, most_origin = both[0][1].gain, derived(top.figure, "most", f"most h_FE of {part_type.name}")
    else:
        most_gain = MOST_OVER_LEAST * anchor.gain
        top = replace(anchor, gain=most_gain)
        most_origin = default(f"most h_FE of {part_type.name} taken as {MOST_OVER_LEAST:g} times the printed least")
    typical = next((point for point in typicals if point.current == anchor.current), None)
    if len(minima) == 1 and typical is not None and len(typicals) > 1:
        knee, kappa, knee_origin = _shape(part_type, typicals, typical, typical.gain)
    else:
        knee, kappa, knee_origin = _shape(part_type, minima, anchor, most_gain)

    def level(point: GainPoint, gain: float) -> float:
        room = 1.0 / gain - kappa * leaking(point.current, point.voltage, knee)
        return spreading(point.current, point.voltage, knee) / room if room > 0.0 else math.inf

    usual_gain = typical.gain if typical else math.sqrt(anchor.gain * most_gain)
    if typical:
        usual_origin = derived(typical.figure, "typical", f"h_FE of {part_type.name}")
    else:
        words = f"derived: geometric mean of least and most h_FE of {part_type.name}"
        usual_origin = Origin("derived", anchor.figure.source, words)
    working, least_origin, notes = least_point(part_type.name, minima, anchor, working_current)
    usual = level(anchor, usual_gain)
    least, most = min(level(working, working.gain), usual), max(level(top, top.gain), usual)
    notes += _optimistic(minima, working, least, knee, kappa, part_type.name)
    return GainFit(knee, kappa, usual, least, most, knee_origin, (usual_origin, least_origin, most_origin), notes)


def _nearest(points: list[GainPoint], current: float) -> GainPoint:
    """The printed gain whose current is nearest in ratio."""
    return min(points, key=lambda point: abs(math.log(point.current / current)))


def _shape(
    part_type: PartType, minima: list[GainPoint], anchor: GainPoint, most_gain: float
) -> tuple[float, float, Origin]:
    """Knee current and κ whose curve is parallel to the printed gains, as nearly as the model can be."""
    rated = ratings(part_type).get("I_C")
    highest = rated.value if rated else 10.0 * anchor.current
    name = part_type.name
    higher = any(point.current > anchor.current for point in minima)
    if not higher and not any(point.gain > anchor.gain for point in minima):
        origin = default(f"knee current at the rated I_C of {name}")
        return highest, _kappa(minima, anchor, most_gain, highest), origin

    def misfit(logarithm: float) -> float:
        """How far the printed least gains are from being in proportion to the model's."""
        knee = math.exp(logarithm)
        kappa = _kappa(minima, anchor, most_gain, knee)
        leak = kappa * leaking(anchor.current, anchor.voltage, knee)
        top = (1.0 / most_gain - leak) / spreading(anchor.current, anchor.voltage, knee)
        ratios = []
        for point in minima:
            spread, leak = (law(point.current, point.voltage, knee) for law in (spreading, leaking))
            ratios.append(math.log(point.gain * (top * spread + kappa * leak)))
        mean = sum(ratios) / len(ratios)
        return sum((ratio - mean) ** 2 for ratio in ratios)

    logarithm = _lowest(misfit, math.log(SHARPEST_KNEE * anchor.current), math.log(10.0 * highest))
    knee = math.exp(logarithm)
    origin = Origin("derived", anchor.figure.source, f"derived: fall of the least h_FE of {name} over current")
    return knee, _kappa(minima, anchor, most_gain, knee), origin


def _kappa(minima: list[GainPoint], anchor: GainPoint, most_gain: float, knee: float) -> float:
    """κ that makes the gain at the lowest printed current fall, at the most end, in the printed proportion; else 0."""
    low = minima[0]
    if low.current >= anchor.current or low.gain >= anchor.gain:
        return 0.0
    low_gain = most_gain * low.gain / anchor.gain
    s_low, s_anchor = (spreading(point.current, point.voltage, knee) for point in (low, anchor))
    l_low, l_anchor = (leaking(point.current, point.voltage, knee) for point in (low, anchor))
    kappa = (s_anchor / low_gain - s_low / most_gain) / (s_anchor * l_low - s_low * l_anchor)
    return max(0.0, min(kappa, 0.9 / (most_gain * l_anchor)))


def _lowest(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function of one valley is lowest, by golden section."""
    ratio = (math.sqrt(5.0) - 1.0) / 2.0
    left, right = high - ratio * (high - low), low + ratio * (high - low)
    for _ in range(60):
        if function(left) < function(right):
            high, right = right, left
            left = high - ratio * (high - low)
        else:
            low, left = left, right
            right = low + ratio * (high - low)
    return (low + high) / 2.0


def least_point(
    name: str, minima: list[GainPoint], anchor: GainPoint, working: float | None
) -> tuple[GainPoint, Origin, tuple[str, ...]]:
    """The least gain at the working current: between printed rows on a straight line in logarithms."""
    if working is None:
        return anchor, derived(anchor.figure, "least", f"least h_FE of {name} at {anchor.current:g} A"), ()
    first, last = minima[0], minima[-1]
    if working <= first.current:
        note = () if working == first.current else (
            f"least h_FE of {name} is printed from {first.current:g} A on; it is taken as the same at {working:g} A",
        )  # fmt: skip
        point = GainPoint(working, first.voltage, first.gain, first.figure)
        return point, derived(first.figure, "least", f"least h_FE of {name} at {first.current:g} A"), note
    if working > last.current:
        steep = 1.0
        if len(minima) > 1:
            before = minima[-2]
            steep = max(1.0, math.log(before.gain / last.gain) / math.log(last.current / before.current))
        gain = last.gain * (last.current / working) ** steep
        words = f"least h_FE of {name} carried on from {last.current:g} A to {working:g} A, falling as I_C^−{steep:.3g}"
        return GainPoint(working, last.voltage, gain, last.figure), default(words), (words,)
    below = [point for point in minima if point.current < working][-1]
    above = next(point for point in minima if point.current >= working)
    share = math.log(working / below.current) / math.log(above.current / below.current)
    gain = below.gain ** (1.0 - share) * above.gain**share
    words = f"least h_FE of {name} between {below.current:g} A and {above.current:g} A"
    return GainPoint(working, above.voltage, gain, above.figure), derived(above.figure, "least", words), ()


def _optimistic(
    minima: list[GainPoint], working: GainPoint, least: float, knee: float, kappa: float, name: str
) -> tuple[str, ...]:
    """Says where the least curve lies above a printed least gain."""
    high = []
    for point in minima:
        spread, leak = (law(point.current, point.voltage, knee) for law in (spreading, leaking))
        model = 1.0 / (spread / least + kappa * leak)
        if model > 1.05 * point.gain:
            high.append(f"{model:.3g} at {point.current:g} A, printed {point.gain:g}")
    if not high:
        return ()
    return (
        f"least h_FE of {name} is right at {working.current:g} A; away from it the model lies above the sheet: "
        + "; ".join(high),
    )
