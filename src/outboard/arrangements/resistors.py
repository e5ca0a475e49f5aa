"""Resistors of a design, and which construction bears their heat."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from outboard.arrangements.catalogued import AS_WRITTEN
from outboard.arrangements.design import DesignPart, RatedPower
from outboard.constants import ZERO_CELSIUS
from outboard.formulas import Worked
from outboard.formulas.derating_policies import Policy
from outboard.formulas.dissipation import rating_for_power
from outboard.formulas.resistor_derating import used_share_at
from outboard.network.part import Heat, Part
from outboard.parts import ResistorRating, resistor_ratings
from outboard.parts.records import Origin

if TYPE_CHECKING:
    from outboard.arrangements.sizing import SizedValue
    from outboard.brief import Stage

USUAL_TOLERANCE = 0.05
"""Tolerance of a resistor of which the file says nothing (common practice, no source)."""

FULL_POWER = ZERO_CELSIUS + 70.0
"""Ambient temperature [K] up to which a stated power holds when the file says no other (common practice, no source)."""

USED_SHARE = 0.5
"""Share of a resistor's rating that is used (common practice, no source)."""

BOUGHT_AS = ("tolerance", "drift", "rated_power", "full_power_temperature", "zero_power_temperature")
"""Fields of a resistor that say what it was bought as."""


@dataclass(frozen=True, slots=True)
class Construction:
    """The resistor that bears a power: its rating, with the working of what it must stand."""

    rating: ResistorRating
    needed: Worked

    @property
    def rated_power(self) -> RatedPower:
        """The rating as a part of a design carries it."""
        made = self.rating
        origin = Origin("limit", made.source, f"limit: rated power of {made.name}")
        return RatedPower(made.rated_power, made.full_power_temperature, made.zero_power_temperature, origin)


def construction(
    power: float, resistance: float, ambient: float, policy: Policy | None = None
) -> Construction | None:
    """The smallest listed construction that bears a power [W] at an ambient temperature [K], half used; else None.

    A derating policy may leave less than that half.
    """
    for rating in resistor_ratings():
        makers = _share(rating, ambient)
        share = USED_SHARE * makers
        if policy is not None:
            share = min(share, policy.resistor_share(makers, ambient))
        if share <= 0.0 or not rating.suits(resistance):
            continue
        needed = rating_for_power.evaluated(power=power, used_share=share)
        if needed.value <= rating.rated_power:
            return Construction(rating, needed)
    return None


def _share(rating: ResistorRating, ambient: float) -> float:
    """What the maker leaves of a rating; nothing above full power where the end of the derating line is not known."""
    if rating.zero_power_temperature is None:
        return 1.0 if ambient <= rating.full_power_temperature else 0.0
    return used_share_at(
        share=1.0,
        temperature=ambient,
        full_until=rating.full_power_temperature,
        nothing_from=rating.zero_power_temperature,
    )


def resistor(
    name: str, role: str, pins: tuple[str, str], resistance: float, tolerance: float, rated: RatedPower | None
) -> DesignPart:
    """A resistor of a stage, between two nets."""
    part = Part(name, "resistor", dict(zip(("a", "b"), pins, strict=True)), {"resistance": resistance})
    return DesignPart(part, role, tolerance=tolerance, tolerance_origin=AS_WRITTEN, rated_power=rated)


def divider_resistor(name: str, pins: tuple[str, str], value: "SizedValue", stage: "Stage") -> DesignPart:
    """A resistor of a regulator's divider, closer than the rest of the stage."""
    made = resistor(name, value.role, pins, value.chosen or 0.0, stage.divider_tolerance, value.rated_power)
    return replace(made, drift=stage.divider_tempco)


def written_resistor(
    name: str,
    role: str,
    pins: Mapping[str, str],
    values: Mapping[str, float],
    heat: Heat | None,
    pad: float | None,
    usual: float | None,
) -> DesignPart:
    """A resistor that the file spells out; `usual` is the tolerance of the stage's resistors."""
    own = {field: value for field, value in values.items() if field not in BOUGHT_AS}
    tolerance = values.get("tolerance", usual)
    origin = AS_WRITTEN
    if tolerance is None:
        tolerance, origin = USUAL_TOLERANCE, Origin("default", "", f"default: tolerance of {name} taken as 5 %")
    return DesignPart(
        Part(name, "resistor", pins, own, heat=heat), role, tolerance=tolerance, tolerance_origin=origin,
        rated_power=_written_rating(name, values), pad=pad, drift=values.get("drift"),
    )  # fmt: skip


def _written_rating(name: str, values: Mapping[str, float]) -> RatedPower | None:
    if "rated_power" not in values:
        return None
    origin = Origin("stated", "", f"rated power of {name} as written in the file")
    if "full_power_temperature" not in values:
        origin = Origin("default", "", f"default: rated power of {name} taken to hold up to 70 °C")
    return RatedPower(
        values["rated_power"], values.get("full_power_temperature", FULL_POWER), values.get("zero_power_temperature"),
        origin,
    )  # fmt: skip
