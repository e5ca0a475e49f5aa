"""Whether every transistor stays inside its safe operating area, as a check: current as a share of what is allowed.

I_allowed = min(I_C max; (T_J − T_C)/(V·R_thJC) and P_tot/V; I_S/b(V), taken down along the power line), nothing above
V_CEO; T_C is the case's own temperature in the lane.  A pulse's point of second breakdown bounds the unknown line for
lasting current from above: what exceeds it fails.  Without that line nothing passes, and beyond its last point nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements.design import Design, DesignPart
from outboard.checks import needs
from outboard.checks.check import AT_MOST, Check, Floats
from outboard.checks.needs import Need
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.formulas.derating_policies import Policy, Shares
from outboard.formulas.safe_area import heat_limited_current
from outboard.network.solution import Block
from outboard.parts import Rating
from outboard.parts.records import Origin
from outboard.parts.safe_area import LinePoint, SafeArea, lasts, safe_area
from outboard.quantities import figures

REQUIREMENT = "safe area"

LEAST_VOLTAGE = 1e-3
"""Below this the power line allows any current [V]."""

FAR = 1e9
"""More than any current [A]: a line that is drawn on far below its first point."""

MOST_SHARE = 1e6
"""A share where nothing at all is allowed: a number, so that it fails."""

OFF = "sense transistor"
"""Role of a transistor that carries nothing in service."""

UNKNOWN = Origin("", "", "not known")
WHOLE = Shares(1.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of one transistor's area with what a policy leaves of them; not a number where a figure is missing.

    most_current, most_voltage, power   [A, V, W at 25 °C]
    junction   highest temperature of the power line [K]; `rated` is that of the rating
    lasting    points of the line for lasting current, empty where it is not known; `derated` as in the sheet
    brief      points of second breakdown that hold for a pulse: bounds of the line, never the line
    share      of second breakdown that the policy leaves
    """

    most_current: float
    most_voltage: float
    power: float
    junction: float
    rated: float
    to_case: float
    lasting: tuple[LinePoint, ...]
    brief: tuple[LinePoint, ...]
    derated: bool
    share: float

    def heat(self, voltage: Floats, case: Floats) -> Floats:
        """Current that heat allows [A]: the rated power up to 25 °C at the case, beyond it what R_thJC leaves."""
        v = np.maximum(voltage, LEAST_VOLTAGE)
        left = np.clip((self.rated - case) / (self.rated - REFERENCE_TEMPERATURE), 0.0, 1.0)
        heated = heat_limited_current.compute(junction_temperature=self.junction, case_temperature=case,  # type: ignore[arg-type]
                                              collector_emitter_voltage=v, junction_to_case=self.to_case)  # type: ignore[arg-type]  # fmt: skip
        return np.maximum(0.0, np.minimum(self.power * left / v, heated))

    def second_breakdown(self, voltage: Floats, case: Floats) -> Floats:
        """Current of second breakdown [A], as far as points tell; infinite where none does."""
        lasting = self._line(self.lasting, voltage, case, self.derated)
        return np.minimum(lasting, self._line(self.brief, voltage, case, True))

    def _line(self, points: tuple[LinePoint, ...], voltage: Floats, case: Floats, derated: bool) -> Floats:
        """Through points, straight on logarithmic scales; beyond the last no more than there, whatever the line does.

        Below the first a line is drawn on as steep as it begins; a single point tells nothing there.
        """
        if not points:
            return np.full(np.shape(voltage), np.inf)
        volts, amperes = (np.log([getattr(one, name) for one in points]) for name in ("voltage", "current"))
        v = np.log(np.maximum(voltage, LEAST_VOLTAGE))
        steepness = (amperes[1] - amperes[0]) / (volts[1] - volts[0]) if len(points) > 1 else -np.inf
        with np.errstate(invalid="ignore", over="ignore"):
            before = np.where(v < volts[0], (v - volts[0]) * steepness, 0.0)
            drawn = self.share * np.exp(np.interp(v, volts, amperes) + before)
        cold = max(point.case for point in points)
        left = np.clip((self.rated - case) / (self.rated - cold), 0.0, 1.0) if derated else 1.0
        return np.where(np.isfinite(drawn), np.minimum(drawn, FAR) * left, np.inf)

    def allowed(self, voltage: Floats, case: Floats) -> Floats:
        """The least of the lines [A]; nothing above the greatest voltage."""
        least = np.minimum(self.heat(voltage, case), self.second_breakdown(voltage, case))
        return np.where(voltage > self.most_voltage, 0.0, np.minimum(self.most_current, least))

    def ends_before(self, voltage: Floats) -> NDArray[np.bool_]:
        """Where the line for lasting current has ended: beyond its last point nothing is told."""
        end = self.lasting[-1].voltage if self.lasting else np.inf
        return np.asarray(voltage > end)

    def binding(self, voltage: float, case: float) -> str:
        """Which line allows least."""
        if voltage > self.most_voltage:
            return "greatest voltage"
        at, hot = np.array(voltage), np.array(case)
        found = {"greatest current": self.most_current, "power": float(self.heat(at, hot)),
                 "second breakdown": float(self.second_breakdown(at, hot))}  # fmt: skip
        return min(found, key=lambda name: found[name])


def lines_of(area: SafeArea, policy: Policy | None) -> Lines:
    """The lines of a type's area; of the line of second breakdown a policy leaves what it leaves of power."""
    shares = WHOLE if policy is None else policy.kinds.get(area.kind, WHOLE)

    def left(rating: Rating | None, share: float | None) -> float:
        return needs.value(rating) * (1.0 if share is None else share)

    rated = needs.value(area.junction)
    return Lines(
        left(area.most_current, shares.current), left(area.most_voltage, shares.voltage),
        left(area.power, shares.power), shares.junction(rated), rated, needs.value(area.to_case),
        area.lasting, area.brief, area.derated, 1.0 if shares.power is None else shares.power,
    )  # fmt: skip


def area_of(part: DesignPart, design: Design) -> SafeArea | None:
    """The safe area of a part that has one and carries current in service; its line as the design file has it."""
    if part.part.kind not in ("bipolar", "mosfet") or part.role == OFF or part.part.model or part.type is None:
        return None
    area = safe_area(part.type)
    names = {name.casefold() for name in (part.type.name, *part.type.aliases, *part.type.members)}
    for name, line in design.brief.heat.areas.items():
        if area is not None and name.casefold() in names:
            origin = Origin("stated", line.sheet, f"stated: line for lasting current of {part.type.name}, {line.sheet}")
            points = tuple(LinePoint(volts, amperes, None, line.case, origin) for volts, amperes in line.points)
            return replace(area, lasting=points, derated=line.derated)
    return area


def volts_and_amperes(block: Block, part: DesignPart) -> tuple[Floats, Floats]:
    """Collector-emitter or drain-source voltage [V] and the current that goes with it [A]."""
    if part.part.kind == "bipolar":
        return figures.collector_emitter_voltage(block, part.name), figures.collector_current(block, part.name)
    voltage = np.abs(figures.voltage_between(block, part.name, "drain", "source"))
    return voltage, figures.drain_current(block, part.name)


def safe_area_checks(design: Design) -> Iterator[Check]:
    """One check for each transistor: its current as a share of what its area allows."""
    shared, policy = needs.operating_point(design), design.brief.requirements.policy
    for part in design.parts:
        if part.part.kind in ("bipolar", "mosfet") and part.role != OFF:
            area = area_of(part, design)
            yield _unknown(part) if area is None else _check(part, area, policy, shared)


def _unknown(part: DesignPart) -> Check:
    need = Need(None, f"the safe area of {needs.titled(part)} is not known: it has no type")
    return Check(REQUIREMENT, part.name, lambda block: np.full(block.outcomes.shape, np.nan), 1.0, AT_MOST, "",
                 UNKNOWN, (need,))  # fmt: skip


def _check(part: DesignPart, area: SafeArea, policy: Policy | None, shared: tuple[Need, ...]) -> Check:
    lines = lines_of(area, policy)

    def share(block: Block) -> Floats:
        voltage, current = volts_and_amperes(block, part)
        case = figures.case_temperature(block, part.name, lines.to_case)
        with np.errstate(divide="ignore"):
            used = current / lines.allowed(voltage, case)
        used = np.where(voltage > lines.most_voltage, voltage / lines.most_voltage, used)
        untold = lines.ends_before(voltage) & (used <= 1.0)
        return np.where(untold, np.nan, np.minimum(used, MOST_SHARE))

    ratings = [needs.rating(part, symbol) for symbol in ("P_tot", "T_J", "R_thJC", *_symbols(area))]
    origins = [Need(point.origin) for point in (*lines.lasting, *lines.brief)]
    first = origins[0].origin if origins else None
    check = Check(REQUIREMENT, part.name, share, 1.0, AT_MOST, "", first or UNKNOWN,
                  (*ratings, *origins, needs.heat_path(part), *shared),
                  silent="" if lines.lasting else unlit(part, area))  # fmt: skip
    return check if policy is None else replace(check, derating=f"lines as {policy.name} leaves them")


def _symbols(area: SafeArea) -> tuple[str, str]:
    return ("I_C", "V_CEO") if area.kind == "bipolar" else ("I_D", "V_DSS")


def unlit(part: DesignPart, area: SafeArea) -> str:
    """Why a safe area cannot be certified."""
    title = needs.titled(part)
    if not area.brief:
        return f"no line for lasting current (DC) of {title} is known, nor any point of second breakdown"
    points = ", ".join(f"{point.current:g} A at {point.voltage:g} V {lasts(point, area)}" for point in area.brief)
    return f"no line for lasting current (DC) of {title} is known, only {points}"
