"""Parts that could change places: devices of one type in parallel, and the equal resistors in their emitters.

Devices in parallel share type and the nets of base and collector.  They are alike when figures, ratings, heat path and
what lies in the emitter are the same too: then it does not matter which of them differs from the rest.  Devices on
sinks of their own are never taken as alike, equal as these may be.
"""

from collections.abc import Iterable, Mapping, Sequence

from outboard.arrangements.design import DesignPart

SHARED_PINS = {"bipolar": ("base", "collector"), "mosfet": ("gate", "drain")}
"""Pins whose nets transistors in parallel have in common."""

OWN_PIN = {"bipolar": "emitter", "mosfet": "source"}
"""Pin that each may have to itself, with a resistor between it and the rest."""

DIGITS = 9
"""Figures that agree in so many digits are the same: those taken at a solved current differ by its rounding."""

Group = tuple[DesignPart, ...]


def parallel_groups(parts: Iterable[DesignPart]) -> list[Group]:
    """Transistors that share type and the nets of base and collector, or gate and drain; every other one alone."""
    groups: dict[tuple[str, ...], list[DesignPart]] = {}
    for part in parts:
        if part.part.kind in SHARED_PINS and part.identified is not None:
            kind = part.type.name if part.type else part.name
            nets = (part.part.pins[pin] for pin in SHARED_PINS[part.part.kind])
            groups.setdefault((kind, *nets), []).append(part)
    return [tuple(group) for group in groups.values()]


def like_devices(group: Group, parts: Sequence[DesignPart]) -> list[Group]:
    """The devices of a parallel group, those that could change places together."""
    found: list[list[DesignPart]] = []
    for device in group:
        mine = next((like for like in found if _could_change_places(device, like[0], parts)), None)
        if mine is None:
            found.append([device])
        else:
            mine.append(device)
    return [tuple(like) for like in found]


def apart(group: Group, parts: Sequence[DesignPart]) -> list[DesignPart]:
    """The devices that are set apart from the rest in turn: one of each kind, and of two only the first, since the one
    apart from the other is the other apart from it."""
    if len(group) < 2:
        return []
    return [like[0] for like in like_devices(group, parts)][: 1 if len(group) == 2 else None]


def alike(parts: Sequence[DesignPart]) -> dict[str, tuple[str, ...]]:
    """For every part that has its like, the names of all of them."""
    groups: list[tuple[str, ...]] = []
    for group in parallel_groups(parts):
        for like in like_devices(group, parts):
            if len(like) > 1:
                groups.append(tuple(device.name for device in like))
                resistors = [ballast(device, parts) for device in like]
                groups.append(tuple(resistor.name for resistor in resistors if resistor is not None))
    return {name: group for group in groups if len(set(group)) > 1 for name in group}


def ballast(device: DesignPart, parts: Sequence[DesignPart]) -> DesignPart | None:
    """The resistor that alone leads from a device's emitter or source; None where something else does."""
    net = device.part.pins[OWN_PIN[device.part.kind]]
    others = [part for part in parts if part.name != device.name and net in part.part.pins.values()]
    return others[0] if len(others) == 1 and others[0].part.kind == "resistor" else None


def counterparts(parts: Sequence[DesignPart]) -> Mapping[str, str]:
    """Devices that could change places, their ballasts, the nets between: each by the name of the first one's."""
    found: dict[str, str] = {}
    for group in parallel_groups(parts):
        for like in like_devices(group, parts):
            if len(like) > 1:
                firsts = _own_names(like[0], parts)
                for device in like:
                    found |= dict(zip(_own_names(device, parts), firsts, strict=True))
    return found


def _own_names(device: DesignPart, parts: Sequence[DesignPart]) -> tuple[str, ...]:
    """Its name; with a ballast also that one's, and the net between the two."""
    own = ballast(device, parts)
    return (device.name,) if own is None else (device.name, own.name, device.part.pins[OWN_PIN[device.part.kind]])


def _could_change_places(one: DesignPart, other: DesignPart, parts: Sequence[DesignPart]) -> bool:
    if _figures(one) != _figures(other) or one.ratings != other.ratings or one.role != other.role:
        return False
    pin = OWN_PIN[one.part.kind]
    if one.part.pins[pin] == other.part.pins[pin]:
        return True
    mine, theirs = ballast(one, parts), ballast(other, parts)
    if mine is None or theirs is None:
        return False
    ends = (_far_end(mine, one.part.pins[pin]), _far_end(theirs, other.part.pins[pin]))
    return (
        ends[0] == ends[1] and _figures(mine) == _figures(theirs)
        and (mine.tolerance, mine.drift, _load_curve(mine)) == (theirs.tolerance, theirs.drift, _load_curve(theirs))
    )  # fmt: skip


def _figures(part: DesignPart) -> tuple[object, ...]:
    """What a part is made of, and the way of its heat."""
    values = {name: float(f"{value:.{DIGITS}g}") for name, value in part.part.values.items()}
    return part.part.kind, part.part.model, part.part.polarity, part.part.heat, part.pad, values


def _far_end(resistor: DesignPart, net: str) -> tuple[str, ...]:
    return tuple(at for at in resistor.part.pins.values() if at != net)


def _load_curve(resistor: DesignPart) -> tuple[float | None, ...]:
    """What a resistor may dissipate and up to where; which line of a file says so does not matter."""
    rated = resistor.rated_power
    return () if rated is None else (rated.power, rated.full_power_temperature, rated.zero_power_temperature)
