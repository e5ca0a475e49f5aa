"""What makes the input, as one figure at the left of a drawing: mains, fuse, transformer, rectifier, reservoir.

IEC 60617 shapes put together: windings as half circles with a line for the core, a fuse as a box with its wire going
through, a bridge as a square with a diode in it.  The line of current, x = 0, is the reservoir.
"""

from outboard.brief import Feed
from outboard.draw.schematic.symbols import Style, Symbol, symbol
from outboard.quantity import APPARENT_POWER, CAPACITANCE, VOLTAGE, shown

BRIDGE = "bridge"
HALF, LEFT, RIGHT = 44.0, -222.0, 20.0
"""Half the height, and the sides of it all."""

JOINT = 26.0
"""How far above and below the middle the rectifier meets the reservoir; the ends of the windings too."""

SECONDARY, CORE, PRIMARY = -134.0, -143.0, -152.0
END = -212.0


def feed_symbol(feed: Feed, positive_on_top: bool, style: Style) -> Symbol:
    """The symbol of a feed whose pin of higher potential is on top, or below."""
    pieces = [_reservoir(positive_on_top, style), _mains(feed), _transformer()]
    pieces.append(_bridge(positive_on_top) if feed.rectifier == BRIDGE else _halves(positive_on_top))
    return Symbol(HALF, (LEFT, -JOINT - 12.0, RIGHT, JOINT + 12.0), "".join(pieces))


def feed_words(feed: Feed) -> tuple[str, ...]:
    """What is said beside it: the winding, the reservoir."""
    halves = "2 × " if feed.rectifier != BRIDGE else ""
    winding = f"{halves}{shown(feed.secondary, VOLTAGE, 3, zeros=False)}"
    return (f"{winding} · {shown(feed.rated_power, APPARENT_POWER, 3)}", shown(feed.reservoir, CAPACITANCE, 3))


def _ink(path: str, name: str = "in") -> str:
    return f'<path class="{name}" d="{path}"/>'


def _lead(path: str) -> str:
    """As thin as a net."""
    return _ink(path, "st")


def _dot(x: float, y: float) -> str:
    """Where conductors meet; those of the nets alone are circles."""
    return _ink(f"M{x - 3:g} {y:g}a3 3 0 1 0 6 0a3 3 0 1 0-6 0Z", "ar")


def _sign(x: float, y: float, plus: bool) -> str:
    return _ink(f"M{x - 4:g} {y:g}h8" + (f"M{x:g} {y - 4:g}v8" if plus else ""))


def _alternating(x: float, y: float) -> str:
    return _ink(f"M{x - 6:g} {y:g}q3-6 6 0t6 0")


def _reservoir(positive_on_top: bool, style: Style) -> str:
    """A capacitor with its sign at the positive plate, and leads to the pins."""
    leads = _lead(f"M0-{HALF:g}V-14M0 14V{HALF:g}")
    sign = _sign(-24.0, -11.0 if positive_on_top else 11.0, True)
    return symbol("capacitor", None, "a", style).drawing + leads + sign + _dot(0.0, -JOINT) + _dot(0.0, JOINT)


def _mains(feed: Feed) -> str:
    """Two terminals, and the fuse in the upper lead where there is one."""
    fuse = '<path class="bd" d="M-196-31h26v10h-26Z"/>' if feed.fuse is not None else ""
    terminals = "".join(f'<circle class="bd" cx="{END - 3:g}" cy="{y:g}" r="3"/>' for y in (-JOINT, JOINT))
    leads = _lead(f"M{END:g}-{JOINT:g}H{PRIMARY:g}V-24M{END:g} {JOINT:g}H{PRIMARY:g}V24")
    return fuse + leads + terminals + _alternating(END - 3.0, 0.0)


def _transformer() -> str:
    """Two windings back to back, the line of the core between them."""
    primary = _ink(f"M{PRIMARY:g}-24" + "a6 6 0 0 1 0 12" * 4)
    secondary = _ink(f"M{SECONDARY:g}-24" + "a6 6 0 0 0 0 12" * 4)
    return primary + secondary + _ink(f"M{CORE:g}-24V24")


def _bridge(positive_on_top: bool) -> str:
    """The square of a bridge: alternating at its left, both poles at its right."""
    square = '<path class="bd" d="M-106-34h56v68h-56Z"/>'
    diode = '<path class="bd" d="M-88-10V10L-70 0Z"/>' + _ink("M-70-10V10M-96 0H-62")
    leads = "".join(_lead(f"M{SECONDARY:g} {y:g}V{end:g}H-106M-50 {end:g}H0")
                    for y, end in ((-24.0, -JOINT), (24.0, JOINT)))  # fmt: skip
    signs = _sign(-58.0, -22.0, positive_on_top) + _sign(-58.0, 22.0, not positive_on_top)
    return square + diode + signs + _alternating(-96.0, -22.0) + leads


def _halves(positive_on_top: bool) -> str:
    """A diode at each end of the winding, its middle to the other pole; the lead of the middle passes over."""
    outer = "".join(_diode(y, positive_on_top) for y in (-JOINT, JOINT))
    ends = _lead(f"M{SECONDARY:g}-24V-{JOINT:g}H-98M{SECONDARY:g} 24V{JOINT:g}H-98")
    joined = _lead(f"M-78-{JOINT:g}H0M-78 {JOINT:g}H-58V-{JOINT:g}")
    halo = '<path class="halo" d="M-64 0H-52" stroke-width="7"/>'
    middle = _lead(f"M{SECONDARY:g} 0H-36V{JOINT:g}H0")
    return outer + ends + joined + halo + middle + _dot(-58.0, -JOINT)


def _diode(y: float, to_the_right: bool) -> str:
    back, tip = (-97.0, -79.0) if to_the_right else (-79.0, -97.0)
    triangle = f'<path class="bd" d="M{back:g} {y - 10:g}V{y + 10:g}L{tip:g} {y:g}Z"/>'
    return triangle + _ink(f"M{tip:g} {y - 10:g}v20", "pl")
