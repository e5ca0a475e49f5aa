"""The transformer before a rectifier: what it gives without load, and the resistance of its windings."""

from math import sqrt
from typing import Annotated

from outboard.formulas.formula import NoSolution, Symbol, formula

V_s = Annotated[float, Symbol("V_s", "V", "rated voltage of the secondary, effective")]
I_s = Annotated[float, Symbol("I_s", "A", "rated current of the secondary, effective")]
V_p = Annotated[float, Symbol("V_p", "V", "rated voltage of the primary, effective")]
V_0 = Annotated[float, Symbol("V_0", "V", "voltage of the secondary without load, effective")]
regulation = Annotated[float, Symbol("u", "1", "how far the secondary rises without load, above its rated voltage")]
R_p = Annotated[float, Symbol("R_p", "Ω", "resistance of the primary winding")]
R_s = Annotated[float, Symbol("R_s", "Ω", "resistance of the secondary winding, or of the half that conducts")]
R_t = Annotated[float, Symbol("R_t", "Ω", "resistance of the transformer, seen from the secondary that conducts")]
V_dc = Annotated[float, Symbol("V_dc", "V", "direct voltage behind regulator and rectifier")]
V_reg = Annotated[float, Symbol("V_reg", "V", "voltage that the regulator needs")]
V_rec = Annotated[float, Symbol("V_rec", "V", "forward voltage of all diodes in the way")]
V_rip = Annotated[float, Symbol("V_rip", "V", "peak of the ripple")]
V_nom = Annotated[float, Symbol("V_nom", "V", "rated mains, effective")]
V_low = Annotated[float, Symbol("V_low", "V", "least mains, effective")]
I_dc = Annotated[float, Symbol("I_dc", "A", "direct current")]


@formula("V_0 = V_s·(1 + u)", validity="rated mains; regulation as makers state it", source="feed-physics")
def voltage_without_load(*, rated: V_s, rise: regulation) -> V_0:
    """Secondary voltage of a transformer without load [V]."""
    return rated * (1.0 + rise)


@formula(
    "R_t = u·V_s / I_s", validity="small transformers, whose windings' resistance outweighs their leakage",
    source="derived",
)  # fmt: skip
def resistance_of_transformer(*, rise: regulation, rated: V_s, current: I_s) -> R_t:
    """Resistance of a transformer from its regulation [Ω]."""
    return rise * rated / current


@formula(
    "R_t = 0.75·u·V_s / I_s",
    validity="two halves in turn, primary and secondary made for the same loss; regulation stated with both loaded",
    source="derived",
)
def resistance_of_tapped_transformer(*, rise: regulation, rated: V_s, current: I_s) -> R_t:
    """Resistance of a transformer of which one half conducts at a time, from its regulation [Ω]."""
    return 0.75 * rise * rated / current


@formula("R_t = R_s + R_p·(V_0 / V_p)^2", validity="leakage left out", source="derived")
def resistance_of_windings(*, secondary: R_s, primary: R_p, without_load: V_0, primary_voltage: V_p) -> R_t:
    """Resistance of a transformer from those of its windings [Ω]."""
    return secondary + primary * (without_load / primary_voltage) ** 2


@formula(
    "V_0 = V_p^2 / (2·I_s·R_p)·(1 − sqrt(1 − 4·I_s·R_p·(V_s + I_s·R_s) / V_p^2))",
    validity="rated with the whole winding loaded by a resistor; leakage left out",
    source="derived",
)
def voltage_without_load_by_windings(*, rated: V_s, current: I_s, secondary: R_s, primary: R_p, primary_voltage: V_p
                                     ) -> V_0:  # fmt: skip
    """Secondary voltage of a transformer without load, from its windings' resistances [V]."""
    under_root = 1.0 - 4.0 * current * primary * (rated + current * secondary) / primary_voltage**2
    if under_root < 0.0:
        raise NoSolution("these windings lose more than the primary gives; their resistances are too high")
    return primary_voltage**2 / (2.0 * current * primary) * (1.0 - sqrt(under_root))


@formula(
    "V_s = (V_dc + V_reg + V_rec + V_rip) / 0.9·V_nom / (V_low·sqrt(2))",
    validity="capacitor-input filter; 0.9 is what is left of the crest at the rectifier's pulses",
    source="secondary-guide",
)
def secondary_voltage(
    *, direct: V_dc, regulator: V_reg, rectifier: V_rec, ripple: V_rip, rated_mains: V_nom, least_mains: V_low
) -> V_s:
    """Secondary voltage that a regulated supply needs at low mains [V]."""
    return (direct + regulator + rectifier + ripple) / 0.9 * rated_mains / (least_mains * sqrt(2.0))


@formula("I_s = 1.8·I_dc", validity="bridge and capacitor, rule of thumb", source="secondary-guide")
def secondary_current(*, direct: I_dc) -> I_s:
    """Effective current of the secondary by the rule of thumb [A]."""
    return 1.8 * direct
