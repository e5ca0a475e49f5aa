"""A field-effect transistor's data sheet as parameters of the smooth law from weak to strong inversion.

The threshold follows from V_GS(th), the transconductance from the least g_fs, the drain resistance from what the
channel leaves of R_DS(on), the body diode from V_SD and from the hot limit of I_DSS.  Slope, temperature law and the
usual place between the limits are not printed: they are defaults and count as such.

On-resistance and threshold differ independently; R_DS(on) is met with the usual threshold, so that a device at the most
end of both has more than the sheet allows: an error on the safe side.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType, SimpleNamespace

from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS, thermal_voltage
from outboard.devices.junction import temperature_exponent
from outboard.devices.mathematics import FLOATS
from outboard.devices.mosfet import mosfet_equations
from outboard.identify.halving import root
from outboard.identify.records import Identified, Spread, default, derived
from outboard.parts.records import Figure, Origin, PartType

SLOPE = 1.3
"""Slope of weak inversion (default)."""

THRESHOLD_TEMPCO = -6e-3
"""Temperature coefficient of the threshold voltage [V/K] (default)."""

THRESHOLD_SPREAD = 0.2
"""How far the threshold differs either way of a typical value, where no limit is printed (default)."""

STRONGER, STRONGEST = 1.5, 2.5
"""Transconductance of the usual and of the strongest device, in parts of what the least g_fs asks for (default)."""

USUAL_SHARE, LEAST_SHARE = 0.75, 0.5
"""On-resistance of the usual and of the best device, in parts of the limit (default)."""

CHANNEL_SHARE, MOST_CHANNEL_SHARE = 0.7, 0.9
"""Part of R_DS(on) that the channel has where g_fs is not printed, and the most that it may have (default)."""

LEAST_DRAIN_SHARE = 0.02
"""No device is without resistance at the drain (default)."""

BODY_VOLTAGE = 0.8
"""Usual voltage of the body diode's junction at its test current [V] (default)."""

BODY_BANDGAP, BODY_EXPONENT = 1.11, 3.0
NOTHING = 1e-24
"""Saturation current of a body diode that leaks nothing [A]."""

_VT = thermal_voltage(REFERENCE_TEMPERATURE)


def drain_current(values: Mapping[str, float], v_gs: float, v_ds: float, t: float = REFERENCE_TEMPERATURE) -> float:
    """Current of the channel [A] at inner voltages [V], read as N-channel."""
    given = {"polarity": 1.0, "output_conductance": 0.0, "threshold_tempco": 0.0, "slope": SLOPE,
             "reference_temperature": REFERENCE_TEMPERATURE, **values}  # fmt: skip
    return float(mosfet_equations((v_ds, v_gs, 0.0, t), SimpleNamespace(**given), FLOATS)[0])


def on_resistance(values: Mapping[str, float], v_gs: float, current: float) -> float:
    """R_DS(on) [Ω] at a gate-source voltage and a drain current, 25 °C; infinite where that current does not flow."""
    if drain_current(values, v_gs, MOST_DROP) < current:
        return math.inf
    across = root(lambda v_ds: drain_current(values, v_gs, v_ds) - current, 0.0, MOST_DROP)
    return across / current + values.get("drain_resistance", 0.0)


MOST_DROP = 30.0
"""Drain-source voltage beyond which a device is no closed switch any more [V]."""


def gate_voltage(values: Mapping[str, float], current: float, v_ds: float | None = None) -> float:
    """V_GS [V] at a drain current; without V_DS the drain is at the gate, as where the threshold is measured."""
    return root(lambda v: drain_current(values, v, v if v_ds is None else v_ds) - current, -50.0, 50.0)


def transconductance(values: Mapping[str, float], current: float, v_ds: float) -> float:
    """g_fs [S] at a drain current and a drain-source voltage [V], 25 °C."""
    at, step = gate_voltage(values, current, v_ds), 1e-4
    return (drain_current(values, at + step, v_ds) - drain_current(values, at - step, v_ds)) / (2.0 * step)


@dataclass(frozen=True, slots=True)
class _Channel:
    """Transconductance [A/V²] of the weakest device, where that comes from, and what must be said of it."""

    weakest: float
    origin: Origin
    notes: tuple[str, ...] = ()


def mosfet(part_type: PartType) -> Identified:
    """Parameters of a field-effect transistor type; ValueError without V_GS(th) or without R_DS(on) at its V_GS."""
    name = part_type.name
    gate, switch = _threshold_row(part_type), _on_row(part_type)
    if gate is None or switch is None:
        raise ValueError(f"{name}: neither model nor verdict without {'V_GS(th)' if gate is None else 'R_DS(on)'}")
    least, usual, most = _threshold_ends(gate)
    channel = _channel(part_type, switch, usual[0])
    at = gate.conditions.drain_current or 250e-6

    def threshold(printed: float) -> float:
        """V_TH with which the usual device carries the test current at the printed V_GS = V_DS."""
        values = {"threshold_voltage": 0.0, "transconductance": STRONGER * channel.weakest}
        return root(lambda v_th: at - drain_current(values | {"threshold_voltage": v_th}, printed, printed),
                    printed - 10.0, printed + 10.0)  # fmt: skip

    middle = threshold(usual[0])
    strengths = (STRONGEST * channel.weakest, STRONGER * channel.weakest, channel.weakest)
    shares = (LEAST_SHARE, USUAL_SHARE, 1.0)
    ways = [_drain_resistance(switch, middle, k, share) for k, share in zip(strengths, shares, strict=True)]
    (usual_current, usual_body), spread, undecided, notes = _body(part_type, ways[1])
    values = {
        "threshold_voltage": middle, "transconductance": strengths[1], "drain_resistance": ways[1],
        "slope": SLOPE, "threshold_tempco": THRESHOLD_TEMPCO, "output_conductance": 0.0,
        "body_saturation_current": usual_current, "reference_temperature": REFERENCE_TEMPERATURE,
    }  # fmt: skip
    of_limit = default(f"{USUAL_SHARE:g} of the limit of R_DS(on) of {name}, {STRONGER:g} times the least g_fs")
    origins = dict.fromkeys(values, default("power field-effect transistor"))
    origins |= {"threshold_voltage": usual[1], "transconductance": of_limit, "drain_resistance": of_limit,
                "body_saturation_current": usual_body}  # fmt: skip
    fields = ("transconductance", "drain_resistance")
    spreads = [
        Spread("threshold", ("threshold_voltage",), (threshold(least[0]),), (threshold(most[0]),),
               (least[1], most[1])),
        Spread("on-resistance", fields, (strengths[0], ways[0]), (strengths[2], ways[2]),
               (default(f"{LEAST_SHARE:g} of the limit of R_DS(on) of {name}"), _weaker(channel, switch, name))),
    ]  # fmt: skip
    notes = (*channel.notes, *notes)
    return Identified(MappingProxyType(values), MappingProxyType(origins), (*spreads, *spread), notes,
                      MappingProxyType(undecided))  # fmt: skip


def _threshold_row(part_type: PartType) -> Figure | None:
    """The V_GS(th) row: the widest of several makers."""
    rows = list(part_type.rows("VGS_th"))
    return max(rows, key=lambda row: (row.most or 0.0) - (row.least or row.most or 0.0), default=None)


def _on_row(part_type: PartType) -> Figure | None:
    """The R_DS(on) limit with its gate voltage: the loosest at the highest gate voltage that is printed."""
    rows = [row for row in part_type.rows("RDS_on")
            if row.most is not None and row.conditions.gate_source_voltage is not None
            and row.conditions.temperature == REFERENCE_TEMPERATURE]  # fmt: skip
    return max(rows, key=lambda row: (row.conditions.gate_source_voltage or 0.0, row.most or 0.0), default=None)


_End = tuple[float, Origin]


def _threshold_ends(row: Figure) -> tuple[_End, _End, _End]:
    """Least, usual and most V_GS(th) with their origins; what is not printed lies a fifth away from what is."""
    words = f"V_GS(th) at {1e6 * (row.conditions.drain_current or 250e-6):g} µA"
    if row.typical is not None:
        usual = (row.typical, derived(row, "typical", words))
    elif row.least is not None and row.most is not None:
        usual = (0.5 * (row.least + row.most), default(f"the middle of the limits of {words}"))
    else:
        upper = row.most is not None
        only = (row.most or 0.0) / (1.0 + THRESHOLD_SPREAD) if upper else (row.least or 0.0) / (1.0 - THRESHOLD_SPREAD)
        usual = (only, default(f"a fifth from the one limit of {words}"))

    def end(side: str, printed: float | None, factor: float) -> _End:
        if printed is not None:
            return printed, derived(row, side, words)
        return usual[0] * factor, default(f"a fifth beyond the usual {words}; no limit is printed")

    return (end("least", row.least, 1.0 - THRESHOLD_SPREAD), usual,
            end("most", row.most, 1.0 + THRESHOLD_SPREAD))  # fmt: skip


def _channel(part_type: PartType, switch: Figure, threshold: float) -> _Channel:
    """The weakest channel: K = n·g_fs²/(2·I_D), but no weaker than nine tenths of R_DS(on) allow."""
    name, over = part_type.name, (switch.conditions.gate_source_voltage or 0.0) - threshold
    if over <= 0.0:
        raise ValueError(f"{name}: R_DS(on) is printed at a gate-source voltage below the threshold")
    limit, current = switch.most or 0.0, _on_current(switch)
    rows = [row for row in part_type.rows("gfs") if row.conditions.drain_current and (row.least or row.typical)]
    if not rows:
        weakest = _strength(over, current, CHANNEL_SHARE * limit)
        return _Channel(weakest, default(f"g_fs of {name} is not printed; the channel has 0.7 of R_DS(on)"))
    row = min(rows, key=lambda row: row.least or math.inf)
    side, printed = ("least", row.least) if row.least is not None else ("typical", (row.typical or 0.0) / STRONGER)
    drawn = row.conditions.drain_current or 1.0
    weakest = SLOPE * (printed or 0.0) ** 2 / (2.0 * drawn)
    asked = _strength(over, current, MOST_CHANNEL_SHARE * limit)
    words = f"g_fs of {name} at {drawn:g} A"
    if asked > weakest:
        said = (f"R_DS(on) of {name} asks for more transconductance than the least g_fs",)
        return _Channel(asked, derived(switch, "most", f"R_DS(on) of {name}"), said)
    return _Channel(weakest, derived(row, side, words))


def _on_current(switch: Figure) -> float:
    """Drain current at which R_DS(on) is printed; where it is not said, 0.1 A, which is in the ohmic part."""
    return switch.conditions.drain_current or 0.1


def _strength(over: float, current: float, resistance: float) -> float:
    """K [A/V²] of a channel that has this resistance: I = K(V·v − n·v²/2) with v = I·R."""
    v = min(current * resistance, over / SLOPE)
    return current / (over * v - SLOPE * v * v / 2.0)


def _drain_resistance(switch: Figure, threshold: float, strength: float, share: float) -> float:
    """What the channel leaves of a share of the limit of R_DS(on) [Ω]."""
    gate, current = switch.conditions.gate_source_voltage or 0.0, _on_current(switch)
    channel = on_resistance({"threshold_voltage": threshold, "transconductance": strength}, gate, current)
    limit = switch.most or 0.0
    return max(LEAST_DRAIN_SHARE * limit, share * limit - channel)


def _weaker(channel: _Channel, switch: Figure, name: str) -> Origin:
    """The origin of the most end: worth no more than the weaker of its two figures."""
    limit = derived(switch, "most", f"R_DS(on) of {name}")
    return channel.origin if channel.origin.kind != "limit" else limit


def _body(part_type: PartType, drain: float) -> tuple[_End, tuple[Spread, ...], dict[str, str], tuple[str, ...]]:
    """Body diode: usual saturation current, spread of the leakage, what stays open and what must be said.

    The most end runs through the hot limit of I_DSS.  The diode's own law falls from there much faster than printed
    25 °C limits do, which are what a tester can measure: in between the sheet allows more than the diode leaks.
    """
    name, usual = part_type.name, _body_current(part_type, drain)
    rows = [row for row in part_type.rows("IDSS") if row.most is not None]
    hot = max((row for row in rows if row.conditions.temperature > REFERENCE_TEMPERATURE),
              key=lambda row: (row.conditions.temperature, row.most or 0.0), default=None)  # fmt: skip
    if hot is None:
        reason = f"only a 25 °C limit of I_DSS of {name} is printed" if rows else f"I_DSS of {name} is not printed"
        return usual, (), {"leakage": reason, "hot leakage": reason}, ()
    t = hot.conditions.temperature
    law = temperature_exponent(t, REFERENCE_TEMPERATURE, BODY_EXPONENT, BODY_BANDGAP, FLOATS)
    words = f"I_DSS of {name} at {t - ZERO_CELSIUS:.0f} °C"
    most = max((hot.most or 0.0) / math.exp(law), usual[0])
    spread = Spread("leakage", ("body_saturation_current",), (NOTHING,), (most,),
                    (default("no leakage at all"), derived(hot, "most", words)))  # fmt: skip
    notes = (f"leakage of {name} above {t - ZERO_CELSIUS:.0f} °C is carried on, not printed",)
    colder = [row.most for row in rows if row is not hot and row.conditions.temperature < t and row.most is not None]
    reason = f"below {t - ZERO_CELSIUS:.0f} °C {name} may leak more than its body diode's law from there"
    return usual, (spread,), {"cold leakage": reason} if max(colder, default=0.0) > most else {}, notes


def _body_current(part_type: PartType, drain: float) -> _End:
    """Saturation current that makes up V_SD: 0.8 V at the junction, or what the limit leaves when that is less."""
    rows = [row for row in part_type.rows("VSD") if row.conditions.forward_current and (row.most or row.typical)]
    if not rows:
        return 1.0 * math.exp(-BODY_VOLTAGE / _VT), default(f"V_SD of {part_type.name} is not printed; 0.8 V at 1 A")
    row = rows[0]
    current = row.conditions.forward_current or 1.0
    if row.typical is not None:
        origin = derived(row, "typical", f"V_SD of {part_type.name} at {current:g} A")
        return current * math.exp(-(row.typical - current * drain) / _VT), origin
    junction = min(BODY_VOLTAGE, (row.most or 0.0) - current * drain)
    words = f"0.8 V at {current:g} A in the body diode of {part_type.name}"
    return current * math.exp(-junction / _VT), default(words)
