"""Where the heat of a stage's devices goes: onto a sink through a pad, or from the bare package into the air."""

from dataclasses import dataclass

from outboard.arrangements.design import DesignPart
from outboard.brief import HeatPaths
from outboard.network.part import AMBIENT, Heat, Part
from outboard.parts import PartType, ratings


@dataclass(frozen=True, slots=True)
class HeatPath:
    """A device's way for its heat; a note when the sheet does not allow to tell it."""

    heat: Heat | None
    pad: float | None = None
    note: str = ""


def heat_path(paths: HeatPaths, role: str, name: str, part_type: PartType) -> HeatPath:
    """R_thJC and the pad to the sink that the role is mounted on, else R_thJA to the air."""
    mount = paths.mounts.get(role)
    symbol = "R_thJA" if mount is None else "R_thJC"
    rating = ratings(part_type).get(symbol)
    if rating is None:
        note = f"{name} has no heat path, because the sheet of {part_type.name} prints no {symbol}"
        return HeatPath(None, None if mount is None else mount.pad, note)
    if mount is None:
        return HeatPath(Heat(AMBIENT, rating.value))
    return HeatPath(Heat(mount.sink, rating.value + mount.pad), mount.pad)


def sinks(paths: HeatPaths) -> tuple[DesignPart, ...]:
    """Every sink as a thermal resistance to the surroundings."""
    return tuple(
        DesignPart(
            Part(f"sink {name}", "thermal_resistance", {"a": name, "b": AMBIENT}, {"resistance": resistance}), "sink"
        )
        for name, resistance in paths.sinks.items()
    )
