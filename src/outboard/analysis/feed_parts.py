"""The feed of a design file as figures: crest without load, resistance of the charging path, law of the diodes."""

from dataclasses import dataclass
from math import exp, pi, sqrt

from outboard.arrangements.design import NO_RATINGS
from outboard.brief import Feed
from outboard.constants import thermal_voltage
from outboard.devices.junction import temperature_exponent
from outboard.devices.mathematics import FLOATS
from outboard.errors import Mistake, WrongInput
from outboard.formulas.formula import NoSolution
from outboard.formulas.transformer import (
    resistance_of_tapped_transformer,
    resistance_of_transformer,
    resistance_of_windings,
    voltage_without_load,
    voltage_without_load_by_windings,
)
from outboard.identify import Identified, identified
from outboard.parts import PartType, Ratings, find, ratings

BRIDGE = "bridge"
USUAL, COLD, HOT = "usual", "cold", "hot"
ENDS = {COLD: "most", USUAL: "usual", HOT: "least"}
"""End of the forward voltage that goes with a word: cold diodes are those that take most."""


@dataclass(frozen=True, slots=True)
class Transformer:
    """Seen from the secondary that conducts: voltage without load at rated mains [V], resistance [Ω], turns ratio.

    ratio  secondary over primary, of the half that conducts
    """

    without_load: float
    resistance: float
    ratio: float


@dataclass(frozen=True, slots=True)
class Diodes:
    """The diodes of a feed: how many conduct in series, and the law of one.

    type   of the catalogue, and `known` what its sheet says; None where the file states a forward voltage
    """

    in_series: int
    type: PartType | None
    known: Identified | None
    ratings: Ratings
    forward_voltage: float
    forward_resistance: float

    def law(self, word: str, ambient: float) -> tuple[float, float, float, float]:
        """Constant voltage [V], resistance [Ω], n·V_T [V], all of those in series, and I_S [A]; word is of ENDS."""
        count = float(self.in_series)
        if self.known is None:
            return count * self.forward_voltage, count * self.forward_resistance, 0.0, 0.0
        values = self.known.at(forward_voltage=ENDS[word])
        emission = values["emission_coefficient"]
        stated_at, exponent = (values[key] for key in ("reference_temperature", "temperature_exponent"))
        growth = temperature_exponent(ambient, stated_at, exponent, values["bandgap_eV"], FLOATS)
        saturation = values["saturation_current"] * exp(growth / emission)
        resistance = count * values.get("series_resistance", 0.0)
        return 0.0, resistance, count * emission * thermal_voltage(ambient), saturation


def transformer(feed: Feed, file: str) -> Transformer:
    """The transformer by its regulation, or by its windings; WrongInput where the windings cannot be."""
    rated, current = feed.secondary, feed.rated_current
    if feed.regulation is not None:
        without_load = voltage_without_load(rated=rated, rise=feed.regulation)
        formula = resistance_of_transformer if feed.rectifier == BRIDGE else resistance_of_tapped_transformer
        resistance = formula(rise=feed.regulation, rated=rated, current=current)
        return Transformer(without_load, resistance, without_load / feed.rated_primary)
    primary, secondary = feed.primary_winding or 0.0, feed.secondary_winding or 0.0
    loaded = current if feed.rectifier == BRIDGE else 2.0 * current
    try:
        without_load = voltage_without_load_by_windings(
            rated=rated, current=loaded, secondary=secondary * current / loaded, primary=primary,
            primary_voltage=feed.rated_primary,
        )  # fmt: skip
    except NoSolution as none:
        raise mistaken(feed, "primary_winding", str(none), "the resistance of the winding", file) from None
    resistance = resistance_of_windings(
        secondary=secondary, primary=primary, without_load=without_load, primary_voltage=feed.rated_primary
    )
    return Transformer(without_load, resistance, without_load / feed.rated_primary)


def diodes(feed: Feed, file: str) -> Diodes:
    """The diodes as the catalogue or the file has them; WrongInput for a type that is none, or has no curve."""
    count = 2 if feed.rectifier == BRIDGE else 1
    if feed.diode is None:
        resistance = feed.forward_resistance or 0.0
        return Diodes(count, None, None, NO_RATINGS, feed.forward_voltage or 0.0, resistance)
    found = find(feed.diode)
    if found.kind != "diode":
        raise mistaken(feed, "diode", f"{feed.diode} is a {found.kind}", "a diode", file)
    try:
        known = identified(found)
    except ValueError as unknown:
        raise mistaken(feed, "diode", str(unknown), "a type whose sheet has a curve", file) from None
    return Diodes(count, found, known, ratings(found), 0.0, 0.0)


def crest(feed: Feed, made: Transformer, mains: float) -> float:
    """Crest of the secondary without load at a mains voltage [V]."""
    return sqrt(2.0) * made.ratio * mains


def angular_frequency(feed: Feed) -> float:
    """Of the mains [1/s]."""
    return 2.0 * pi * feed.frequency


def mistaken(feed: Feed, key: str, what: str, expected: str, file: str) -> WrongInput:
    """A value of the feed that cannot be, at its place in the file."""
    line, column = feed.places.get(key, (1, 1))
    return WrongInput([Mistake(f"{key} in [feed]: {what}", expected, "", f"feed.{key}", file, line, column)])
