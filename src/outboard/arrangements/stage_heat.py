"""The heat of a stage by hand: how hot a junction may have become, how many devices the heat asks for."""

from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Bound, DeviceCount, PutIn, bound
from outboard.arrangements.stage_types import Given
from outboard.constants import ZERO_CELSIUS
from outboard.formulas import NoSolution, Worked
from outboard.formulas.dissipation import device_count_by_current, device_count_by_power, pass_power
from outboard.formulas.thermal import allowed_power, junction_temperature, junction_temperature_on_shared_sink
from outboard.parts import ratings
from outboard.parts.records import Origin

ALL_OF_RATING = 1.0

USUAL_HIGHEST = ZERO_CELSIUS + 150.0
"""Highest junction temperature of silicon in plastic, where a sheet says nothing [K] (common practice, no source)."""


def hottest_junction(given: Given, ends: Extremes, key: str, name: str, current: float) -> PutIn:
    """Junction temperature [K] of a device at full load, highest input and ambient; never above its rating."""
    part_type, mount = given.types[key], given.brief.heat.mounts.get(key)
    rated = ratings(part_type)
    power = pass_power(input_voltage=ends.input_most, output_voltage=ends.output_least, current=current)
    to_case, to_air = rated.get("R_thJC"), rated.get("R_thJA")
    worked: Worked | None = None
    if mount is not None and to_case is not None:
        worked = junction_temperature_on_shared_sink.evaluated(
            ambient_temperature=ends.hot, all_power=sink_power(given, ends, mount.sink),
            sink_to_ambient=given.brief.heat.sinks[mount.sink], power=power, junction_to_case=to_case.value,
            case_to_sink=mount.pad,
        )  # fmt: skip
    elif mount is None and to_air is not None:
        worked = junction_temperature.evaluated(
            ambient_temperature=ends.hot, power=power, junction_to_case=to_air.value
        )
    highest = rated.get("T_J")
    words = f"T_J of {name} ({part_type.name}) at full load, highest input and ambient"
    derived = Origin("derived", "", f"derived: heat path of {name}")
    if highest is not None and (worked is None or worked.value > highest.value):
        return PutIn(f"{words}: taken as its rating", highest.value, "°C", highest.origin, worked)
    if worked is None:
        taken = Origin("default", "", f"default: {part_type.name} taken as 150 °C hot")
        return PutIn(words, USUAL_HIGHEST, "°C", taken)
    return PutIn(words, worked.value, "°C", derived, worked)


def sink_power(given: Given, ends: Extremes, sink: str) -> float:
    """Most heat [W] that reaches a sink: all that the stage makes when the pass devices sit on it."""
    mounts = given.brief.heat.mounts
    roles = [role for role, mount in mounts.items() if mount.sink == sink]
    current = ends.full_load if "pass" in roles else ends.full_load - ends.beyond
    return pass_power(input_voltage=ends.input_most, output_voltage=ends.output_least, current=current)


def allowed_device_power(given: Given, ends: Extremes, key: str) -> Worked:
    """Heat [W] that one device may make beside all others, on its sink or in the air; NoSolution when none is left."""
    part_type, mount = given.types[key], given.brief.heat.mounts.get(key)
    rated = ratings(part_type)
    symbol = "R_thJA" if mount is None else "R_thJC"
    highest, resistance = rated.get("T_J"), rated.get(symbol)
    if highest is None or resistance is None:
        raise NoSolution(f"the sheet of {part_type.name} prints no {'T_J' if highest is None else symbol}")
    surroundings, path = ends.hot, resistance.value
    if mount is not None:
        surroundings += sink_power(given, ends, mount.sink) * given.brief.heat.sinks[mount.sink]
        path += mount.pad
    if surroundings >= highest.value:
        raise NoSolution(
            f"beside all others {part_type.name} has {surroundings - ZERO_CELSIUS:.0f} °C around it, its junction "
            f"may reach {highest.value - ZERO_CELSIUS:.0f} °C; a better sink is needed"
        )
    return allowed_power.evaluated(
        junction_temperature=highest.value, ambient_temperature=surroundings, thermal_resistance=path
    )


def device_count(given: Given, ends: Extremes) -> DeviceCount:
    """How many pass devices heat and current ask for; ratings used to the full."""
    power = pass_power(input_voltage=ends.input_most, output_voltage=ends.output_least, current=ends.beyond)

    def by_power() -> Worked:
        each = allowed_device_power(given, ends, "pass")
        return device_count_by_power.evaluated(power=power, used_share=ALL_OF_RATING, power_per_device=each.value)

    rated = ratings(given.types["pass"])
    current = rated.get("I_C") or rated.get("I_D")
    by_current = Bound(None, f"the sheet of {given.types['pass'].name} prints no rated current")
    if current is not None:
        by_current = Bound(
            device_count_by_current.evaluated(
                current=ends.beyond, used_share=ALL_OF_RATING, current_per_device=current.value
            )
        )
    return DeviceCount(given.stage.count, bound(by_power, ""), by_current)
