"""The heat of a stage by hand: how hot a junction may have become, how many devices the heat asks for."""

from dataclasses import dataclass, replace

from outboard.arrangements.extremes import Extremes
from outboard.arrangements.sizing import Bound, DeviceCount, PutIn, bound
from outboard.arrangements.stage_types import Given
from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.formulas import NoSolution, Worked
from outboard.formulas.derating_policies import Shares
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


def left_of(given: Given, key: str, symbol: str) -> float:
    """Share of a rating that the derating policy leaves [1]; all of it where it says nothing."""
    shares = _shares(given, key)
    share = shares.share(symbol) if shares is not None else None
    return ALL_OF_RATING if share is None else share


def _shares(given: Given, key: str) -> Shares | None:
    policy = given.brief.requirements.policy
    return None if policy is None else policy.kinds.get(given.types[key].kind)


@dataclass(frozen=True, slots=True)
class _Path:
    """A device's way to its surroundings [K, K/W]: how hot they are, R_th to the case, from the case on, T_J rated."""

    surroundings: float
    to_case: float
    onward: float
    highest: float


def _path(given: Given, ends: Extremes, key: str) -> _Path:
    """The way of one device's heat beside all others; NoSolution where its sheet does not tell it."""
    part_type, mount = given.types[key], given.brief.heat.mounts.get(key)
    rated = ratings(part_type)
    symbol = "R_thJA" if mount is None else "R_thJC"
    highest, resistance = rated.get("T_J"), rated.get(symbol)
    if highest is None or resistance is None:
        raise NoSolution(f"the sheet of {part_type.name} prints no {'T_J' if highest is None else symbol}")
    if mount is None:
        to_case = rated.get("R_thJC", resistance).value
        return _Path(ends.hot, to_case, resistance.value - to_case, highest.value)
    beside = sink_power(given, ends, mount.sink) * given.brief.heat.sinks[mount.sink]
    return _Path(ends.hot + beside, resistance.value, mount.pad, highest.value)


def case_at(given: Given, ends: Extremes, key: str, power: float) -> float:
    """Case temperature [K] of a device that makes a power [W] beside all others; NoSolution where it is not known."""
    path = _path(given, ends, key)
    return path.surroundings + power * path.onward


def allowed_device_power(given: Given, ends: Extremes, key: str) -> Worked:
    """Heat [W] that one device may make beside all others, on its sink or in the air; NoSolution when none is left.

    Its junction stays as cool as the derating policy wants it, and its heat within the policy's share of P_tot.
    """
    by_junction = _power_to(given, key, _path(given, ends, key), capped=True)
    by_rating = _power_of_line(given, ends, key)
    return by_junction if by_rating is None or by_junction.value <= by_rating.value else by_rating


def _power_to(given: Given, key: str, path: _Path, capped: bool = False) -> Worked:
    """Heat [W] at which the junction reaches its rating, or the policy's temperature when `capped`."""
    shares = _shares(given, key) if capped else None
    most = path.highest if shares is None else shares.junction(path.highest)
    if path.surroundings >= most:
        raise NoSolution(
            f"beside all others {given.types[key].name} has {path.surroundings - ZERO_CELSIUS:.0f} °C around it, its "
            f"junction may reach {most - ZERO_CELSIUS:.0f} °C; a better sink is needed"
        )
    return allowed_power.evaluated(
        junction_temperature=most, ambient_temperature=path.surroundings, thermal_resistance=path.to_case + path.onward
    )


def _power_of_line(given: Given, ends: Extremes, key: str) -> Worked | None:
    """Heat [W] of which the sheet's power line leaves the policy's share at the case that it warms; None without one.

    P = d·P_tot·(T_J − T_C)/(T_J − T_0) with T_C = T_A + P·R_CA: as if R_thJC were (T_J − T_0)/(d·P_tot).  The line
    does not rise above P_tot where it is colder than T_0 = 25 °C.
    """
    share, rated = left_of(given, key, "P_tot"), ratings(given.types[key]).get("P_tot")
    if _shares(given, key) is None or rated is None:
        return None
    path = _path(given, ends, key)
    line = (path.highest - REFERENCE_TEMPERATURE) / (share * rated.value)
    warm = max(path.surroundings, REFERENCE_TEMPERATURE)
    return _power_to(given, key, replace(path, surroundings=warm, to_case=line))


def device_count(given: Given, ends: Extremes) -> DeviceCount:
    """How many pass devices heat and current ask for; of each rating what the derating policy leaves."""
    power = pass_power(input_voltage=ends.input_most, output_voltage=ends.output_least, current=ends.beyond)
    policy_share = left_of(given, "pass", "P_tot")

    def by_power() -> Worked:
        by_junction = _power_to(given, "pass", _path(given, ends, "pass"), capped=True)
        count = device_count_by_power.evaluated(
            power=power, used_share=ALL_OF_RATING, power_per_device=by_junction.value
        )
        by_line = _power_of_line(given, ends, "pass")
        if by_line is None or by_line.value >= by_junction.value:
            return count
        return device_count_by_power.evaluated(
            power=power, used_share=policy_share, power_per_device=by_line.value / policy_share
        )

    rated = ratings(given.types["pass"])
    symbol = "I_C" if "I_C" in rated else "I_D"
    current = rated.get(symbol)
    by_current = Bound(None, f"the sheet of {given.types['pass'].name} prints no rated current")
    if current is not None:
        by_current = Bound(
            device_count_by_current.evaluated(
                current=ends.beyond, used_share=left_of(given, "pass", symbol), current_per_device=current.value
            )
        )
    return DeviceCount(given.stage.count, bound(by_power, ""), by_current)
