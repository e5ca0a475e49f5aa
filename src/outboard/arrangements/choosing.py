"""From an exact resistance to the one that is bought: preferred value on the safe side, inside its window, wattage."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from outboard.arrangements.resistors import construction
from outboard.arrangements.sizing import SizedValue, Window
from outboard.formulas import Worked
from outboard.parts import preferred
from outboard.quantity import RESISTANCE, shown

Direction = Literal["up", "down", "nearest"]
OTHER: Mapping[Direction, Direction] = {"up": "down", "down": "up", "nearest": "down"}


@dataclass(frozen=True, slots=True)
class Wish:
    """What a resistor should be: exact value [Ω] with its working, which way to round and why, where it must stay."""

    names: tuple[str, ...]
    role: str
    exact: float
    worked: Worked | None
    rounding: Direction
    reason: str
    series: str
    window: Window | None = None
    key: str = ""

    @property
    def name(self) -> str:
        """The first of its names."""
        return self.names[0]

    @property
    def title(self) -> str:
        """Its names: “R1”, “R3 … R6”."""
        return self.names[0] if len(self.names) == 1 else f"{self.names[0]} … {self.names[-1]}"


def sized_value(
    wish: Wish, written: float | None, effect: Worked | None, dissipation: Callable[[float], Worked], ambient: float
) -> tuple[SizedValue, tuple[str, ...]]:
    """The value that is taken, and what is to be said about it.

    written      the value of the file, which is kept whatever the wish
    effect       what a written value does, worked out
    dissipation  worst power for a resistance
    ambient      highest ambient temperature [K]
    """
    if written is not None:
        value, direction, remarks = written, "as written in the file", _outside(wish, written)
    else:
        value, direction, remarks = _preferred(wish)
    power = dissipation(value)
    made = construction(power.value, value, ambient)
    if made is None:
        remarks += (f"no listed resistor bears the {power.value:.2g} W of {wish.title}; put several together",)
    value_with_working = SizedValue(
        names=wish.names,
        role=wish.role,
        chosen=value,
        exact=wish.exact,
        worked=wish.worked if written is None else effect,
        series=wish.series,
        direction=direction,
        origin="sized" if written is None else "from the file",
        window=wish.window,
        dissipation=power,
        needed=made.needed if made else None,
        construction=made.rating.name if made else "",
        rated_power=made.rated_power if made else None,
        key=wish.key or wish.name,
    )
    return value_with_working, remarks


def left_out(wish: Wish) -> SizedValue:
    """A resistor that the file leaves out."""
    return SizedValue(
        wish.names, wish.role, None, wish.exact, None, wish.series, "left out", "from the file", wish.window,
        key=wish.key,
    )  # fmt: skip


def _preferred(wish: Wish) -> tuple[float, str, tuple[str, ...]]:
    """The preferred value, how it was taken, and what is wrong with it."""
    window, series = wish.window, wish.series
    usual = f"{wish.rounding}, {wish.reason}"
    if window is None:
        return preferred(wish.exact, series, wish.rounding), usual, ()
    if window.is_empty:
        value = preferred(wish.exact, series, wish.rounding)
        return value, usual, (f"no value of {wish.title} does: {_emptiness(window)}",)
    target = min(max(wish.exact, window.least_nominal), window.most_nominal)
    moved = "" if target == wish.exact else f"moved into the window from {_ohms(wish.exact)}; "
    for rounding in (wish.rounding, OTHER[wish.rounding]):
        value = preferred(target, series, rounding)
        if window.holds(value):
            words = usual if rounding == wish.rounding else f"{rounding}, to stay in the window"
            return value, moved + words, ()
    value = preferred(target, series, wish.rounding)
    remark = (
        f"no {series} value of {wish.title} lies between {_ohms(window.least_nominal)} and "
        f"{_ohms(window.most_nominal)}; a finer series or a smaller tolerance may have one"
    )
    return value, moved + usual, (remark,)


def _outside(wish: Wish, value: float) -> tuple[str, ...]:
    """What happens with a written value that lies outside its window."""
    window = wish.window
    if window is None or window.holds(value):
        return ()
    if window.is_empty:
        return (f"no value of {wish.title} does: {_emptiness(window)}",)
    if value < window.least_nominal:
        return (f"{wish.title} = {_ohms(value)} is less than {_ohms(window.least_nominal)}: {window.below}",)
    return (f"{wish.title} = {_ohms(value)} is more than {_ohms(window.most_nominal)}: {window.above}",)


def _emptiness(window: Window) -> str:
    missing = [end.missing for end in (window.least, window.most) if end.worked is None and not end.open]
    if missing:
        return "; ".join(missing)
    least, most = _ohms(window.least_nominal), _ohms(window.most_nominal)
    return f"below {least} {window.below}, above {most} {window.above}"


def _ohms(value: float) -> str:
    return shown(value, RESISTANCE)
