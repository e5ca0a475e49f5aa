"""The safe operating area of one transistor, on logarithmic scales, and the way of the design through it.

The edge at the case that the worst corner has is drawn in ink, that at 25 °C as a hairline; every line has its name on
it. The path goes from no load to full load; its worst point is marked, with its share of what is allowed there.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.heat import AreaPoint
from outboard.checks.safe_path import PathPoint
from outboard.constants import REFERENCE_TEMPERATURE, ZERO_CELSIUS
from outboard.draw.log_axis import LogAxis
from outboard.draw.page import MARGIN, WIDE, page
from outboard.draw.placing import Box
from outboard.draw.safe_lines import Piece, edge, extent, shown_points
from outboard.draw.sheet import Sheet, save, settings
from outboard.draw.style import (
    CURVE,
    DASHED,
    DOTTED,
    FIGURE,
    HAIRLINE,
    HEAVY,
    INK,
    SMALL,
    SOLID,
    Dash,
    Lettering,
    ThemeName,
    width,
)
from outboard.parts.safe_area import lasts
from outboard.quantity import CURRENT, POWER, VOLTAGE, shown

__all__ = ["safe_area_figure", "write"]

LEFT, RIGHT, HIGH, FOOT, HEAD = 66.0, WIDE - MARGIN - 6.0, 300.0, 29.0, 14.0
"""The panel: its edges [pt], what stands beneath and above it."""

AIR = 2.5
"""Between words and what they must not touch [pt]."""

WORDS_MEET = 1000.0
"""What it costs when words lie on words: more than any strokes that they may lie on."""

LEADS = {PASS: "inside its safe area", FAIL: "outside its safe area", UNDECIDED: "not certified"}
ALONG = (0.5, 0.35, 0.65, 0.2, 0.8, 0.92)
"""Where on a line its name may stand, as shares of its length, the best first."""


def safe_area_figure(point: AreaPoint, title: str = "", theme: ThemeName = "light") -> Figure:
    """The figure of one transistor."""
    with settings():
        sheet, top = page(title, _lead(point), HEAD + HIGH + FOOT, _caption(point), theme, "Safe operating area")
        _Drawing(sheet, top - HEAD, point).draw()
    return sheet.figure


def write(point: AreaPoint, path: str | Path, title: str = "", theme: ThemeName = "light") -> None:
    """Draw a safe area into an .svg or .png."""
    save(safe_area_figure(point, title, theme), path)


def _lead(point: AreaPoint) -> str:
    return f"{point.parts[0]} {point.type}: {LEADS[point.finding.verdict]}; at {point.in_words.replace(', ', ' · ')}"


def _caption(point: AreaPoint) -> str:
    words = (
        "Ink: what lasting current may be at the case of the worst point; hairline: at a case of 25 °C. Heavy: from no "
        "load to full load in that corner, everything settled."
    )
    if not point.lines.lasting or point.lines.lasting[-1].voltage < point.lines.most_voltage:
        words += " Dashed: not certified, since the line for lasting current (DC) is not known there."
    if point.lines.brief and not point.lines.lasting:
        words += " Hollow: second breakdown as printed, for a pulse or a time that is not printed."
    if point.short:
        words += " Dotted: on to the shorted output."
    return words


@dataclass(frozen=True, slots=True)
class _Word:
    """Words that want a place: points of their line, the best first, and on which sides of these they may stand."""

    words: str
    places: tuple[tuple[float, float], ...]
    lettering: Lettering
    colour: str
    sides: tuple[str, ...]


class _Drawing:
    """One panel on a sheet; keeps what is taken, so that no words touch."""

    def __init__(self, sheet: Sheet, top: float, point: AreaPoint) -> None:
        self.sheet, self.theme, self.point = sheet, sheet.theme, point
        self.bottom, self.top = top - HIGH, top
        shown_area = extent(point)
        self.least_volts = shown_area.least_volts
        self.across = LogAxis(shown_area.least_volts, shown_area.most_volts, LEFT, RIGHT)
        self.up = LogAxis(shown_area.least_amperes, shown_area.most_amperes, self.bottom, self.top)
        self.taken: list[Box] = []
        self.ink: list[tuple[float, float]] = []
        self.words: list[_Word] = []
        self.axes: Axes = sheet.panel(LEFT, self.bottom, RIGHT - LEFT, HIGH)
        self.axes.set_xlim(LEFT, RIGHT)
        self.axes.set_ylim(self.bottom, self.top)

    def draw(self) -> None:
        """Everything, then the words where there is room."""
        self._scales()
        cold = list(edge(self.point.lines, REFERENCE_TEMPERATURE, self.least_volts))
        hot = list(edge(self.point.lines, self.point.case, self.least_volts))
        self._edge(cold, hot)
        self._pulses()
        self._path()
        for word in self.words:
            self._letter(word)

    def _scales(self) -> None:
        """Hairlines at round values with their numbers; what the scales are."""
        theme = self.theme
        for tick in self.across.ticks():
            x = self.across.place(tick)
            self.sheet.rule((x, x), (self.bottom, self.top), theme.hairline)
            self.sheet.letter(x, self.bottom - 10.5, f"{tick:g}", SMALL, theme.ink2, "center")
        for tick in self.up.ticks():
            y = self.up.place(tick)
            self.sheet.rule((LEFT, RIGHT), (y, y), theme.hairline)
            self.sheet.letter(LEFT - 6.0, y - 2.6, shown(tick, CURRENT, 1, zeros=False), SMALL, theme.ink2, "right")
        main, ends = ("collector", "collector to emitter") if self._bipolar else ("drain", "drain to source")
        self.sheet.letter(RIGHT, self.bottom - 24.0, f"{ends}, V", CURVE, theme.ink2, "right")
        self.sheet.letter(MARGIN, self.top + 5.0, f"{main} current", CURVE, theme.ink2)

    @property
    def _bipolar(self) -> bool:
        return self.point.area.kind == "bipolar"

    def _stroke(
        self, volts: Sequence[float], amperes: Sequence[float], colour: str, weight: float, dash: Dash = SOLID,
        name: str | None = None, order: float = 2.0,
    ) -> None:  # fmt: skip
        xs, ys = self.across.at(volts), self.up.at(np.maximum(amperes, self.up.least / 10.0))
        (line,) = self.axes.plot(xs, ys, color=colour, linewidth=weight, zorder=order)
        line.set_linestyle((0.0, dash) if dash else "solid")
        line.set_gid(name)
        for (x, y), (z, w) in zip(zip(xs, ys, strict=True), zip(xs[1:], ys[1:], strict=True), strict=False):
            steps = max(2, int(max(abs(z - x), abs(w - y)) / 3.0))
            self.ink += [(x + (z - x) * k / steps, y + (w - y) * k / steps) for k in range(steps + 1)]

    def _edge(self, cold: Sequence[Piece], hot: Sequence[Piece]) -> None:
        """The edge at 25 °C, then the one that counts, every piece with its name."""
        theme, lines = self.theme, self.point.lines
        volts = [float(v) for piece in cold for v in piece.volts]
        amperes = [float(a) for piece in cold for a in piece.amperes]
        self._stroke(volts, amperes, theme.ink2, HAIRLINE, name="safe-edge-25")
        for piece in hot:
            self._stroke([float(v) for v in piece.volts], [float(a) for a in piece.amperes], theme.ink, INK,
                         SOLID if piece.certain else DASHED, f"safe-edge-{piece.line.replace(' ', '-')}")  # fmt: skip
        for line in dict.fromkeys(piece.line for piece in hot):
            self._name(max((piece for piece in hot if piece.line == line), key=lambda piece: len(piece.volts)))
        end = float(hot[-1].amperes[-1]) if hot else 0.0
        high = max(end, amperes[-1])
        self._stroke([lines.most_voltage] * 2, [self.up.least / 2.0, high], theme.ink, INK, name="safe-edge-voltage")
        y = self.up.place(max(high, self.up.least * 1.5))
        x = self.across.place(lines.most_voltage)
        places = [(x, y - down) for down in (16.0, 40.0)]
        words = f"at most {shown(lines.most_voltage, VOLTAGE, zeros=False)}"
        self._want(words, places, CURVE, theme.ink, ("right", "left"))
        if cold and self.point.case > REFERENCE_TEMPERATURE + 1.0:
            piece = max((one for one in cold if one.line != "greatest current"), key=lambda one: len(one.volts),
                        default=cold[-1])  # fmt: skip
            self._want("case 25 °C", self._along(piece), CURVE, theme.ink2, ("above right", "below left"))

    def _along(self, piece: Piece) -> list[tuple[float, float]]:
        """Where on a piece its name may stand."""
        places = [min(int(share * len(piece.volts)), len(piece.volts) - 1) for share in ALONG]
        return [(self.across.place(float(piece.volts[place])), self.up.place(max(float(piece.amperes[place]), 1e-12)))
                for place in places]  # fmt: skip

    def _name(self, piece: Piece) -> None:
        """A line's name on it; a piece too short for words has none."""
        lines = self.point.lines
        if self.across.place(float(piece.volts[-1])) - self.across.place(float(piece.volts[0])) < 6.0:
            return
        sides: tuple[str, ...]
        celsius = f"{self.point.case - ZERO_CELSIUS:.0f} °C"
        if piece.line == "greatest current":
            words, sides = f"at most {shown(lines.most_current, CURRENT, zeros=False)}", ("above", "below")
        elif piece.line == "power":
            power = float(piece.volts[0] * piece.amperes[0])
            words, sides = f"power {shown(power, POWER)}, case {celsius}", ("above right", "below left")
        else:
            words = "second breakdown" if lines.lasting else "second breakdown, a pulse’s"
            sides = ("below left", "above right", "left")
        self._want(words, self._along(piece), CURVE, self.theme.ink, sides)

    def _pulses(self) -> None:
        """Printed points of second breakdown that are not for lasting current."""
        for point in shown_points(self.point.lines):
            x, y = self.across.place(point.voltage), self.up.place(point.current)
            self.sheet.mark(x, y, "o", 4.6, self.theme.ink, hollow=True)
            self.ink.append((x, y))
            words = f"{shown(point.current, CURRENT)} {lasts(point, self.point.area)}"
            self._want(words, [(x, y)], SMALL, self.theme.ink2, ("right", "above right", "above", "below left"))

    def _path(self) -> None:
        """From no load to full load, on to the short; worst point, and how far it is to the edge."""
        theme, point = self.theme, self.point
        for points, dash, name in ((point.path, SOLID, "safe-path"), (point.short, DOTTED, "safe-path-short")):
            kept = [one for one in points if one.current > 0.0 and one.voltage > 0.0]
            if len(kept) > 1:
                self._stroke([one.voltage for one in kept], [one.current for one in kept], theme.pass_device, HEAVY,
                             dash, name, 3.0)  # fmt: skip
        x, y = self.across.place(point.voltage), self.up.place(max(point.current, self.up.least))
        allowed = self.up.place(max(point.allowed, self.up.least))
        self.sheet.rule((x, x), (y, allowed), theme.heat, HAIRLINE * 2.0, (1.6, 1.6), "safe-to-the-edge")
        self.ink += [(x, y + (allowed - y) * step / 40.0) for step in range(41)]
        mark = f"▲ {100.0 * point.share:.0f} %" if point.share > 1.0 else f"{100.0 * point.share:.0f} %"
        words = f"{mark} of {shown(point.allowed, CURRENT)}{self._at_load()}"
        self._want(words, [(x, y)], FIGURE, theme.heat, ("left", "right", "left low", "right low"), first=True)
        self._dot(x, y, theme.heat, 6.0)
        for one, said in self._named():
            u, v = self.across.place(one.voltage), self.up.place(one.current)
            self._dot(u, v, theme.pass_device, 4.0)
            self._want(said, [(u, v)], CURVE, theme.pass_device, ("left", "right", "left low", "right low"))
        if point.path and point.path[0].current < self.up.least:
            u = self.across.place(point.path[0].voltage)
            self._want(f"from {_load(point.path[0])}", [(u, self.bottom + 8.0)], CURVE, theme.pass_device,
                       ("left", "right"))  # fmt: skip

    def _at_load(self) -> str:
        load = self.point.load
        return "" if load is None else f", {shown(load, CURRENT, zeros=False)} load"

    def _named(self) -> Iterator[tuple[PathPoint, str]]:
        """Points of the path that have a word: the promised loads, as they are on the paper and apart; the short."""
        told = [self.up.place(max(self.point.current, self.up.least))]
        for one in reversed(self.point.path):
            if one.current < self.up.least or one.load not in self.point.promised:
                continue
            y = self.up.place(one.current)
            if all(abs(y - other) > CURVE.line for other in told):
                told.append(y)
                yield one, _load(one)
        if self.point.short:
            yield self.point.short[-1], "output shorted"

    def _dot(self, x: float, y: float, colour: str, size: float) -> None:
        self.sheet.mark(x, y, "o", size, colour)
        self.taken.append(Box(x - size / 2.0, y - size / 2.0, x + size / 2.0, y + size / 2.0))

    def _want(
        self, words: str, places: Sequence[tuple[float, float]], lettering: Lettering, colour: str,
        sides: tuple[str, ...], first: bool = False,
    ) -> None:  # fmt: skip
        word = _Word(words, tuple(places), lettering, colour, sides)
        self.words.insert(0, word) if first else self.words.append(word)

    def _letter(self, word: _Word) -> None:
        """Where least is in the way; left out where words would lie on words."""
        long, size = width(word.words, word.lettering), word.lettering.size
        boxes = [_box(place, side, long, size) for side in word.sides for place in word.places]
        costs = [self._cost(box) for box in boxes]
        best = min(range(len(boxes)), key=lambda place: costs[place])
        if costs[best] >= WORDS_MEET:
            return
        box = boxes[best]
        self.taken.append(box)
        self.sheet.letter(box.left, box.bottom + 0.22 * size, word.words, word.lettering, word.colour, backed=True)

    def _cost(self, box: Box) -> float:
        """How much is in the way: words weigh most, leaving the panel as much, strokes little."""
        air = box.grown(AIR)
        cost = float(sum(air.left < x < air.right and air.bottom < y < air.top for x, y in self.ink))
        if any(air.meets(other) for other in self.taken):
            cost += WORDS_MEET
        if box.left < LEFT or box.right > RIGHT + MARGIN or box.bottom < self.bottom or box.top > self.top + HEAD:
            cost += WORDS_MEET
        return cost


def _box(place: tuple[float, float], side: str, long: float, size: float) -> Box:
    """What words of this size take on one side of a place."""
    x, y = place
    gap = 4.0 if "above" in side or "below" in side else 7.0
    left = x - 0.5 * long
    if "right" in side:
        left = x + gap
    elif "left" in side:
        left = x - gap - long
    bottom = y - 0.5 * size
    if "above" in side:
        bottom = y + 4.0
    elif "below" in side or "low" in side:
        bottom = y - 4.0 - size
    return Box(left, bottom, left + long, bottom + size)


def _load(point: PathPoint) -> str:
    return "no load" if point.load == 0.0 else f"{shown(point.load, CURRENT, zeros=False)} load"
