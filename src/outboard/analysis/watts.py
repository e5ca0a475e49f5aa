"""Where every watt goes: volts by amperes as rectangles that tile the source's own, each watt in one of them.

A part is a current that falls from one net to another; drawn as high as it falls and as wide as it is, it is its own
power. Currents are followed from the source down to its other end, strip by strip, the leftmost way first; pieces of
one part that lie beside each other become one. So the areas add up to what the source gives, whatever the circuit is.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from outboard.analysis.operating import OperatingPoint
from outboard.arrangements.design import Design, DesignPart
from outboard.errors import OutboardError

FEED = "feed"
"""Name of what is lost in the resistance of the source."""

LEFTMOST: Mapping[str, int] = {
    "load": 0, "pass device": 1, "ballast": 1, "sense resistor": 1, "driver": 2, "bleed": 3, "sharing diode": 5,
    "base resistor": 6, "gate resistor": 6, "regulator": 7, "divider": 8, "standing load": 8,
}  # fmt: skip
"""In which order currents that part are followed, by role; what carries most comes first."""

REST = 4
PIN_ORDER = ("out", "collector", "drain", "emitter", "source")
NOTHING = 1e-12
"""Share of the whole current, and of the whole power, below which nothing is followed any more."""


class NotTiled(OutboardError):
    """The point has no such picture: two sources, or a part that gives power back."""


@dataclass(frozen=True, slots=True)
class Tile:
    """A rectangle: from one current to another [A], from one potential down to another [V]; its area is a power."""

    part: str
    left: float
    right: float
    high: float
    low: float

    @property
    def power(self) -> float:
        """Its area [W]."""
        return (self.right - self.left) * (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Tiling:
    """All rectangles; current and voltage of the source without its feed, and the potential of every net [V].

    top, bottom  potentials between which everything lies
    useful       names of the loads
    """

    tiles: tuple[Tile, ...]
    current: float
    top: float
    bottom: float
    nets: Mapping[str, float]
    useful: tuple[str, ...]

    @property
    def power(self) -> float:
        """What the source gives, its feed included [W]."""
        return self.current * (self.top - self.bottom)

    def of(self, part: str) -> float:
        """Power of one part [W]."""
        return sum(tile.power for tile in self.tiles if tile.part == part)


@dataclass(slots=True)
class _Link:
    """A current through a part from one net down to another, and what of it is not followed yet [A]."""

    part: str
    start: str
    end: str
    left: float
    order: tuple[float, ...]


def tiling(design: Design, point: OperatingPoint) -> Tiling:
    """The rectangles of a solved point; NotTiled where it has none."""
    if not point.is_solved:
        raise NotTiled(f"there is no operating point ({point.outcome})")
    sources = [part for part in design.parts if part.part.kind == "source"]
    if len(sources) != 1:
        raise NotTiled("one source is wanted" if not sources else "more than one source feeds the circuit")
    (source,) = sources
    nets = {**point.nets, "ground": 0.0}
    pins = source.part.pins
    given = abs(point.parts[source.name].currents["plus"])
    first, last = sorted((pins["plus"], pins["minus"]), key=lambda net: -nets[net])
    whole = given * (nets[first] - nets[last])
    if whole <= 0.0:
        raise NotTiled("the source gives no power")
    links = [link for part in design.parts if part is not source for link in _links(part, point, nets, whole)]
    tiles = tuple(_merged(_strips(links, nets, first, last, given)))
    lost, top, bottom = given * source.part.values.get("resistance", 0.0), nets[first], nets[last]
    if lost > 0.0 and pins["plus"] == first and bottom == 0.0:
        tiles, top = (*tiles, Tile(FEED, 0.0, given, top + lost, top)), top + lost
    elif lost > 0.0:
        tiles, bottom = (*tiles, Tile(FEED, 0.0, given, bottom, bottom - lost)), bottom - lost
    loads = tuple(part.name for part in design.parts if part.part.kind == "load")
    return Tiling(tiles, given, top, bottom, nets, loads)


def _links(part: DesignPart, point: OperatingPoint, nets: Mapping[str, float], whole: float) -> Iterator[_Link]:
    """What enters a part at its pins, matched with what leaves it: from the highest pins to the highest first."""
    if part.part.kind.startswith("thermal"):
        return
    currents = point.parts[part.name].currents
    pins = sorted(currents, key=lambda pin: -nets[part.part.pins[pin]])
    entering = {pin: currents[pin] for pin in pins if currents[pin] > 0.0}
    leaving = {pin: -currents[pin] for pin in pins if currents[pin] < 0.0}
    while entering and leaving:
        into, out = next(iter(entering)), next(iter(leaving))
        amount = min(entering[into], leaving[out])
        start, end = part.part.pins[into], part.part.pins[out]
        if amount * (nets[end] - nets[start]) > NOTHING * whole:
            raise NotTiled(f"{part.name} gives power back")
        yield _Link(part.name, start, end, amount, _order(part, out, amount))
        for those, pin in ((entering, into), (leaving, out)):
            those[pin] -= amount
            if those[pin] <= 0.0:
                del those[pin]


def _order(part: DesignPart, out: str, current: float) -> tuple[float, ...]:
    pin = PIN_ORDER.index(out) if out in PIN_ORDER else len(PIN_ORDER)
    return LEFTMOST.get(part.role, REST), pin, -current


def _strips(
    links: Sequence[_Link], nets: Mapping[str, float], first: str, last: str, given: float
) -> Iterator[Tile]:  # fmt: skip
    """Way after way from the source's high end to its low end, each as wide as its narrowest part still is."""
    out: dict[str, list[_Link]] = {}
    for link in sorted(links, key=lambda link: link.order):
        out.setdefault(link.start, []).append(link)
    x, least = 0.0, NOTHING * given
    while given - x > least:
        way: list[_Link] = []
        net, seen = first, {first}
        while net != last:
            onward = next((link for link in out.get(net, ()) if link.left > least and link.end not in seen), None)
            if onward is None:
                break
            way.append(onward)
            net = onward.end
            seen.add(net)
        if net != last:
            if not way:
                return
            way[-1].left = 0.0  # what arrives here beyond what leaves it is rounding
            if len(way) == 1 and not any(link.left > least for link in out.get(first, ())):
                return
            continue
        wide = min(min(link.left for link in way), given - x)
        for link in way:
            link.left -= wide
            yield Tile(link.part, x, x + wide, nets[link.start], nets[link.end])
        x += wide


def _merged(strips: Iterator[Tile]) -> Iterator[Tile]:
    """Pieces of one part at one height that touch, made one; what has no area is left out."""
    growing: dict[tuple[str, float, float], Tile] = {}
    for strip in strips:
        key = strip.part, strip.high, strip.low
        before = growing.get(key)
        if before is not None and before.right == strip.left:
            growing[key] = replace(before, right=strip.right)
            continue
        if before is not None and before.power:
            yield before
        growing[key] = strip
    yield from (tile for tile in growing.values() if tile.power)
