"""RG, the gate resistor, and which Zener diode keeps the gate without stealing its drive."""

from outboard.arrangements.choosing import Wish, sized_value
from outboard.arrangements.sizing import Bound, Fact, SizedValue, Window, bound
from outboard.arrangements.stage_types import Given
from outboard.formulas import NoSolution, Worked
from outboard.formulas.dissipation import resistor_power_from_drop
from outboard.formulas.mosfet_bypass import greatest_gate_drive, least_gate_resistor, zener_voltage
from outboard.identify import identified
from outboard.parts import PartType, ratings
from outboard.quantity import VOLTAGE, shown

USUAL_GATE_RESISTOR = 100.0
"""Against oscillation at the gate [Ω] (common practice, no source)."""

BELOW = "the Zener diode is overloaded while the regulator limits"
SLOW = "a larger one makes the gate slow"


def sized_gate(
    given: Given, base: SizedValue, full: float, ambient: float
) -> tuple[SizedValue, tuple[Fact, ...], tuple[str, ...]]:
    """RG, the facts on the gate's drive, and remarks; `full` is V_GS at full load at most [V]."""
    known = identified(given.types["regulator"])
    ends = known.at(limit="most") if known.spread("limit") else known.values
    drive = greatest_gate_drive.evaluated(
        regulator_limit=ends["current_limit"] * given.stage.regulators, base_resistance=base.chosen or 0.0
    )
    wish = Wish(("RG",), "gate resistor", USUAL_GATE_RESISTOR, None, "up", "against oscillation", given.stage.series,
                _window(given, drive.value))  # fmt: skip

    def power(resistance: float) -> Worked:
        zener = _zener(given.types.get("gate_zener"))[0] or 0.0
        drop = max(0.0, drive.value - zener) if zener else 0.0
        return resistor_power_from_drop.evaluated(drop=drop, resistance=resistance * (1.0 - given.stage.resistors))

    value, about = sized_value(wish, given.stage.RG, None, power, ambient)
    facts = [Fact("gate-source voltage while the regulator limits, without a Zener diode", drive)]
    limit = ratings(given.types["pass"]).get("V_GS")
    if limit is None:
        return value, tuple(facts), (*about, f"the sheet of {given.types['pass'].name} prints no V_GS(max)")
    try:
        wanted = zener_voltage.evaluated(gate_source_voltage=full, gate_source_limit=limit.value)
    except NoSolution as none:
        return value, tuple(facts), (*about, str(none))
    facts.append(Fact("Zener voltage to look for", wanted))
    return value, tuple(facts), (*about, *_judged(given, drive.value, full, limit.value))


def _window(given: Given, drive: float) -> Window:
    """Only a Zener diode sets a least value."""
    most = Bound(None, SLOW, open=True)
    zener_type = given.types.get("gate_zener")
    voltage, power = _zener(zener_type)
    if zener_type is None or (voltage is not None and drive <= voltage):
        return Window(Bound(None, "no Zener diode conducts", open=True), most, BELOW, SLOW, given.stage.resistors)
    if voltage is None or power is None:
        return Window(Bound(None, f"the sheet of {zener_type.name} prints no V_Z or no power"), most, BELOW, SLOW,
                      given.stage.resistors)  # fmt: skip
    least = bound(lambda: least_gate_resistor.evaluated(gate_drive=drive, zener_voltage=voltage, zener_power=power), "")
    return Window(least, most, BELOW, SLOW, given.stage.resistors)


def _zener(part_type: PartType | None) -> tuple[float | None, float | None]:
    """Zener voltage, usual [V], and power [W]; None where the sheet is silent."""
    if part_type is None:
        return None, None
    rows = part_type.rows("VZ")
    voltage = next((row.typical or row.most or row.least for row in rows), None)
    rated = ratings(part_type).get("P_tot")
    return voltage, rated.value if rated else None


def _ends(part_type: PartType, usual: float) -> tuple[float, float]:
    """Least and greatest Zener voltage [V]."""
    rows = part_type.rows("VZ")
    least = min((row.least for row in rows if row.least is not None), default=usual)
    return least, max((row.most for row in rows if row.most is not None), default=usual)


def _judged(given: Given, drive: float, full: float, limit: float) -> tuple[str, ...]:
    """Whether the gate needs a Zener diode, and whether the one that the file names does."""
    zener_type = given.types.get("gate_zener")
    if zener_type is None:
        if drive <= limit:
            return ()
        return (f"while the regulator limits, {shown(drive, VOLTAGE)} stand from gate to source, "
                f"{given.types['pass'].name} bears {shown(limit, VOLTAGE)}: a Zener diode between "
                f"{shown(full, VOLTAGE)} and {shown(limit, VOLTAGE)} is needed (gate_zener)",)  # fmt: skip
    usual = _zener(zener_type)[0]
    if usual is None:
        return (f"the sheet of {zener_type.name} prints no V_Z: it cannot be told whether it keeps the gate",)
    least, most = _ends(zener_type, usual)
    if least < full:
        return (f"{zener_type.name} may conduct from {shown(least, VOLTAGE)} on, full load needs up to "
                f"{shown(full, VOLTAGE)} from gate to source: it steals drive",)  # fmt: skip
    if most > limit:
        return (f"{zener_type.name} may let {shown(most, VOLTAGE)} stand from gate to source, "
                f"{given.types['pass'].name} bears {shown(limit, VOLTAGE)}",)  # fmt: skip
    return ()
