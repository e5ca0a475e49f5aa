"""The symbols: IEC 60617 shapes as strokes about a point on the main line of current, and where their pins are.

A symbol stands upright: its first pin on top, its second below, a commanding pin at the left. The line of current is
x = 0. Sizes are on a grid of four.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal

Style = Literal["iec", "ieee"]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Symbol:
    """Half the height of the symbol with its own leads, its box, its drawing, and where a commanding pin sits.

    box    left, top, right, bottom of what is drawn, leads left out
    """

    half: float
    box: tuple[float, float, float, float]
    drawing: str
    side: Point | None = None
    sides: Mapping[str, Point] = field(default_factory=dict)


def _body(path: str) -> str:
    return f'<path class="bd" d="{path}"/>'


def _ink(path: str, name: str = "in") -> str:
    return f'<path class="{name}" d="{path}"/>'


def _resistor(style: Style) -> Symbol:
    if style == "ieee":
        teeth = "".join(f"L{8 if n % 2 else -8} {-21 + 6 * n + 3}" for n in range(7))
        wash = '<path class="bd wash" d="M-10-22H10V22H-10Z"/>'
        return Symbol(26.0, (-10, -26, 10, 26), wash + _ink(f"M0-26V-21{teeth}L0 21V26", "zig"))
    return Symbol(26.0, (-11, -26, 11, 26), _body("M-11-26H11V26H-11Z"))


def _capacitor(style: Style) -> Symbol:
    if style == "ieee":
        drawing = _ink("M-17-4.5H17", "pl") + _ink("M-17 9Q0 0 17 9", "pl") + _ink("M0-14V-4.5M0 4.5V14")
    else:
        drawing = _ink("M-17-4.5H17M-17 4.5H17", "pl") + _ink("M0-14V-4.5M0 4.5V14")
    return Symbol(14.0, (-17, -10, 17, 10), drawing)


def _inductor(style: Style) -> Symbol:
    """The same in both styles."""
    coil = "M0-24" + "a6 6 0 0 1 0 12" * 4
    return Symbol(26.0, (-3, -26, 9, 26), _ink("M0-26V-24M0 24V26") + _ink(coil))


def _diode(upwards: bool, zener: bool, style: Style) -> Symbol:
    """Anode on top unless it looks upwards; the bar of a breakdown diode has one hook by IEC, two by IEEE."""
    turn = -1 if upwards else 1
    triangle = f"M-12 {-11 * turn}H12L0 {11 * turn}Z"
    bar = f"M-13 {11 * turn}H13"
    if zener:
        bar = f"M-13 {11 * turn}H13V{4 * turn}" if style == "iec" else f"M-13 {17 * turn}V{11 * turn}H13V{5 * turn}"
    return Symbol(18.0, (-13, -17, 13, 17), _body(triangle) + _ink("M0-18V-11M0 11V18") + _ink(bar, "pl"))


def _arrow(tip: Point, tail: Point) -> str:
    """A filled head at the end of a short line."""
    dx, dy = tip[0] - tail[0], tip[1] - tail[1]
    length = (dx * dx + dy * dy) ** 0.5
    ux, uy = dx / length, dy / length
    back = (tip[0] - 11 * ux, tip[1] - 11 * uy)
    left, right = (back[0] - 4.6 * uy, back[1] + 4.6 * ux), (back[0] + 4.6 * uy, back[1] - 4.6 * ux)
    points = " ".join(f"{x:.1f} {y:.1f}" for x, y in (left, tip, right))
    return f'<path class="ar" d="M{points}Z"/>'


MAIN_LEADS = "M0-24V-42M0 24V42"
"""Of a transistor, above and below its circle."""

GATE = 14.0
"""How far from the middle a gate leaves: level with the source, as IEC 60617 draws it."""


def _bipolar(emitter_on_top: bool, inwards: bool) -> Symbol:
    """`inwards`: the arrow of the emitter points at the base (PNP)."""
    turn = -1.0 if emitter_on_top else 1.0
    lines = "M-39 0H-22M-22-7L0-24M-22 7L0 24"
    near, far = (-20.0, 8.5 * turn), (-1.5, 22.8 * turn)
    near_inward, far_inward = (-19.4, 9.0 * turn), (-3.0, 21.7 * turn)
    head = _arrow(near_inward, far_inward) if inwards else _arrow(far, near)
    drawing = '<circle class="hl" cx="-12" r="30"/><circle class="bd" cx="-12" r="27"/>'
    drawing += _ink(f"M-46 0H-39{MAIN_LEADS}", "st") + _ink(lines) + _ink("M-22-15V15", "bar") + head
    return Symbol(42.0, (-39, -28, 15, 28), drawing, (-46.0, 0.0))


def _mosfet(source_on_top: bool, opposed: bool) -> Symbol:
    """Enhancement type, its gate an L whose foot is at the source; `opposed`: P-channel, its arrow leaves."""
    gate = -GATE if source_on_top else GATE
    drawing = '<circle class="hl" cx="-12" r="30"/><circle class="bd" cx="-12" r="27"/>'
    lines = f"M-35 {gate}H-28M-20-14H0V-24M-20 14H0V24M-20 0H0V{gate}"
    channel = "M-20-19V-9M-20-5V5M-20 9V19"
    head = _arrow((-3.0, 0.0), (-18.0, 0.0)) if opposed else _arrow((-18.0, 0.0), (-3.0, 0.0))
    drawing += _ink(f"M-46 {gate}H-35{MAIN_LEADS}", "st") + _ink(lines + "M-28-14V14") + _ink(channel, "bar") + head
    return Symbol(42.0, (-39, -28, 15, 28), drawing, (-46.0, gate))


def _source(plus_on_top: bool) -> Symbol:
    signs = "M-31-25H-22M-26.5-29.5V-20.5M-31 25H-22" if plus_on_top else "M-31 25H-22M-26.5 20.5V29.5M-31-25H-22"
    drawing = '<circle class="bd" r="20"/>' + _ink("M0-30V30") + _ink(signs)
    return Symbol(30.0, (-32, -30, 20, 30), drawing)


def _load(plus_on_top: bool) -> Symbol:
    arrow = "M0-15V12M-5.5 4L0 13L5.5 4" if plus_on_top else "M0 15V-12M-5.5-4L0-13L5.5-4"
    return Symbol(34.0, (-19, -34, 19, 34), _body("M-19-34H19V34H-19Z") + _ink(arrow))


def _regulator() -> Symbol:
    return Symbol(36.0, (-60, -36, 60, 36), _body("M-60-36H60V36H-60Z"), None,
                  {"in": (-60.0, 0.0), "out": (60.0, 0.0)})  # fmt: skip


def _box() -> Symbol:
    return Symbol(34.0, (-24, -34, 24, 34), _body("M-24-34H24V34H-24Z"), (-24.0, 0.0))


def _thyristor(upwards: bool) -> Symbol:
    turn = -1 if upwards else 1
    drawing = _body(f"M-12 {-11 * turn}H12L0 {11 * turn}Z") + _ink(f"M-13 {11 * turn}H13", "pl")
    drawing += _ink(f"M0-24V-11M0 11V24M-3 {11 * turn}L-12 {20 * turn}H-30")
    return Symbol(24.0, (-26, -22, 13, 22), drawing, (-30.0, 20.0 * turn))


PLAIN: Mapping[str, Callable[[Style], Symbol]] = {
    "resistor": _resistor, "capacitor": _capacitor, "inductor": _inductor,
}  # fmt: skip


def symbol(kind: str, polarity: str | None, top: str, style: Style = "iec", zener: bool = False) -> Symbol:
    """The symbol of a part of a kind whose pin `top` is uppermost."""
    if kind in PLAIN:
        return PLAIN[kind](style)
    if kind == "source":
        return _source(top == "plus")
    if kind == "load":
        return _load(top == "plus")
    if kind == "diode":
        return _diode(top == "cathode", zener, style)
    if kind == "bipolar":
        return _bipolar(top == "emitter", polarity == "pnp")
    if kind == "mosfet":
        return _mosfet(top == "source", polarity == "p-channel")
    if kind == "regulator":
        return _regulator()
    if kind == "thyristor":
        return _thyristor(top == "cathode")
    return _box()
