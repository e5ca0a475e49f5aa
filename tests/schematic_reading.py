"""A schematic read back from its SVG alone: its ink, its words with their boxes, the nets that its ink joins.

    picture = Picture(drawing(design))
    assert picture.nets() == … and not picture.clashes()

Words are measured with the faces that the drawing is lettered in, by the font library and not by the drawing.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache, cached_property
from itertools import pairwise
from xml.etree import ElementTree

import numpy as np
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path
from numpy.typing import NDArray

from outboard.arrangements.design import DesignPart
from outboard.draw.schematic import Drawing
from outboard.draw.schematic.labels import slug
from outboard.draw.schematic.letters import BOLD, FONTS, NET, PART, PIN, SMALL, TYPE, VALUE
from outboard.draw.schematic.placing import symbol_box

SVG = "{http://www.w3.org/2000/svg}"
FACES = {face.name: face for face in (PART, TYPE, VALUE, BOLD, NET, PIN, SMALL)}
AIR = 1.5
"""What words keep from a ribbon."""

SIGN_OF_GROUND = 10.0
"""How high the three bars of ground are."""

Spot = tuple[float, float]
Line = tuple[Spot, Spot]
Rectangle = tuple[float, float, float, float]
Named = tuple[str, Rectangle]


@cache
def measured(words: str, file: str, size: float) -> float:
    """How wide words are, by the font library."""
    font = FontProperties(fname=FONTS / file, size=size)
    return float(text_to_path.get_text_width_height_descent(words, font, ismath=False)[0])


def _on(spots: Sequence[Spot], lines: Sequence[Line]) -> NDArray[np.bool_]:
    """Which spots are on which upright or level lines: a row for each spot."""
    at, ends = np.array(spots).reshape(-1, 1, 2), np.array(lines).reshape(1, -1, 2, 2)
    return np.all((ends.min(axis=2) <= at) & (at <= ends.max(axis=2)), axis=-1)


def spots_of(path: str) -> list[Spot]:
    """All pairs of numbers of a path; a rounded corner has its sharp one among them."""
    numbers = [float(word) for word in re.findall(r"-?[\d.]+", path)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


class Picture:
    """One drawing, read back."""

    def __init__(self, drawn: Drawing) -> None:
        self.drawn = drawn
        self.root = ElementTree.fromstring(drawn.svg)
        self._groups = list(self.root.iter(f"{SVG}g"))

    @cached_property
    def lines(self) -> list[Line]:
        """The ink of conductors, each bend two pieces."""
        paths = [path for path in self.root.iter(f"{SVG}path") if path.get("class") == "ln"]
        return [piece for path in paths for piece in pairwise(spots_of(path.get("d", "")))]

    @cached_property
    def dots(self) -> set[Spot]:
        """Where dots stand."""
        circles = [circle for circle in self.root.iter(f"{SVG}circle") if circle.get("class") == "dot"]
        return {(float(circle.get("cx", "")), float(circle.get("cy", ""))) for circle in circles}

    @cached_property
    def pins(self) -> dict[tuple[str, str], Spot]:
        """Where every pin is, by the id of its part and its name."""
        found = {}
        for group in self._groups:
            for word in (group.get("data-pins") or "").split():
                pin, _, at = word.rpartition(":")
                x, y = map(float, at.split(","))
                found[group.get("id", ""), pin] = (x, y)
        return found

    def nets(self) -> set[frozenset[tuple[str, str]]]:
        """Which pins the ink joins: lines meet where one ends on another or a dot says so, and not where they cross."""
        count = len(self.lines)
        ends = _on([end for line in self.lines for end in line], self.lines)
        meeting = ends[0::2] | ends[1::2]
        dotted = _on(sorted(self.dots), self.lines)
        meeting |= (dotted.T.astype(int) @ dotted.astype(int)) > 0
        group = list(range(count))

        def head(number: int) -> int:
            while group[number] != number:
                number = group[number]
            return number

        for one, other in np.argwhere(meeting):
            group[head(one)] = head(other)
        joined: dict[object, set[tuple[str, str]]] = {}
        for (pin, at), touched in zip(self.pins.items(), _on(list(self.pins.values()), self.lines), strict=True):
            met = {head(number) for number in np.flatnonzero(touched)}
            assert len(met) <= 1, f"{pin} joins two nets"
            joined.setdefault(met.pop() if met else at, set()).add(pin)
        return {frozenset(pins) for pins in joined.values()}

    @cached_property
    def words(self) -> list[Named]:
        """All words beside symbols, and bars of heat."""
        inside = {text for group in self._groups if "part" in (group.get("class") or "").split()
                  for text in group.iter(f"{SVG}text")}  # fmt: skip
        return [*(_box_of(text) for text in self.root.iter(f"{SVG}text") if text not in inside), *self._bars()]

    def _bars(self) -> Iterator[Named]:
        for bar in self.root.iter(f"{SVG}rect"):
            if bar.get("class") == "heat":
                x, y, wide, high = (float(bar.get(key, "")) for key in ("x", "y", "width", "height"))
                yield bar.get("id") or "heat of the scale", (x, y, x + wide, y + high)

    @cached_property
    def conductors(self) -> list[Named]:
        """Ink and ribbons as boxes, ribbons with the air that words keep from them; and the sign of ground."""
        found = [("ink", (min(x1, x2) - 0.6, min(y1, y2) - 0.6, max(x1, x2) + 0.6, max(y1, y2) + 0.6))
                 for (x1, y1), (x2, y2) in self.lines]  # fmt: skip
        for path in self.root.iter(f"{SVG}path"):
            name = path.get("class")
            spots = spots_of(path.get("d", "")) if name in ("pf", "rf") else []
            if name == "pf":
                found.append(("ribbon", _around(spots)))
            elif name == "rf":
                half = 0.5 * float(path.get("stroke-width", "0")) + AIR
                for (x1, y1), (x2, y2) in pairwise(spots):
                    across, along = (half, 0.0) if x1 == x2 else (0.0, half)
                    box = (min(x1, x2) - across, min(y1, y2) - along, max(x1, x2) + across, max(y1, y2) + along)
                    found.append(("ribbon", box))
        return found

    @cached_property
    def symbols(self) -> list[Named]:
        """Every part's own shape, and the sign of ground."""
        placed = [(seat.name, symbol_box(seat, middle).moved(column.x))
                  for column, seat, middle in self.drawn.plate.seats()]  # fmt: skip
        found = [(name, (box.left, box.top, box.right, box.bottom)) for name, box in placed]
        for path in self.root.iter(f"{SVG}path"):
            if path.get("class") == "ln sign":
                x, _, foot = (float(word) for word in re.findall(r"-?[\d.]+", path.get("d", "")))
                found.append(("sign of ground", (x - 13.0, foot - 1.0, x + 13.0, foot + SIGN_OF_GROUND)))
        return found

    def arms(self) -> dict[Spot, int]:
        """How many pieces leave every spot at which one ends; a piece that goes straight through counts as two."""
        spots = sorted({end for line in self.lines for end in line})
        counted = 2 * _on(spots, self.lines).sum(axis=1)
        ending = Counter(end for line in self.lines for end in line)
        return {spot: int(count) - ending[spot] for spot, count in zip(spots, counted, strict=True)}

    def clashes(self) -> list[tuple[str, str]]:
        """Words on words, on symbols, on conductors; symbols on symbols; conductors through symbols; off the sheet."""
        words, symbols, conductors = self.words, self.symbols, self.conductors
        ink = [(name, (left + 0.59, top + 0.59, right - 0.59, bottom - 0.59))
               for name, (left, top, right, bottom) in conductors if name == "ink"]  # fmt: skip
        inner = [(name, (left + 0.5, top + 0.5, right - 0.5, bottom - 0.5))
                 for name, (left, top, right, bottom) in symbols]  # fmt: skip
        found = [*_among([*words, *symbols]), *_between(words, conductors), *_between(inner, ink)]
        sheet = self.drawn.sheet
        found += [(name, "edge of the sheet") for name, (left, top, right, bottom) in [*words, *symbols]
                  if left < sheet.left or top < sheet.top or right > sheet.right or bottom > sheet.bottom]  # fmt: skip
        return found


def joined_by(parts: Sequence[DesignPart]) -> set[frozenset[tuple[str, str]]]:
    """What `Picture.nets` has to find: the pins on each net of the parts themselves."""
    wanted: dict[str, set[tuple[str, str]]] = {}
    for one in parts:
        for pin, net in one.part.pins.items():
            wanted.setdefault(net, set()).add((f"part-{slug(one.name)}", pin))
    return {frozenset(pins) for pins in wanted.values()}


def _box_of(text: ElementTree.Element) -> Named:
    spans = [(FACES[span.get("class", "")], span.text or "") for span in text.iter(f"{SVG}tspan")]
    wide = sum(measured(words, face.file, face.size) for face, words in spans)
    size = max(face.size for face, _ in spans)
    x, y = float(text.get("x", "")), float(text.get("y", ""))
    x -= {"end": wide, "middle": 0.5 * wide}.get(text.get("text-anchor", ""), 0.0)
    return "".join(words for _, words in spans), (x, y - 0.72 * size, x + wide, y + 0.22 * size)


def _around(spots: Sequence[Spot]) -> Rectangle:
    xs, ys = zip(*spots, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _between(some: Sequence[Named], others: Sequence[Named]) -> list[tuple[str, str]]:
    """Every pair of boxes of two sets that share anything."""
    if not some or not others:
        return []
    one = np.array([box for _, box in some])[:, None, :]
    other = np.array([box for _, box in others])[None, :, :]
    meet = np.all(one[..., :2] < other[..., 2:], axis=-1) & np.all(other[..., :2] < one[..., 2:], axis=-1)
    return [(some[a][0], others[b][0]) for a, b in np.argwhere(meet)]


def _among(some: Sequence[Named]) -> list[tuple[str, str]]:
    one = np.array([box for _, box in some])
    meet = np.all(one[:, None, :2] < one[None, :, 2:], axis=-1) & np.all(one[None, :, :2] < one[:, None, 2:], axis=-1)
    return [(some[a][0], some[b][0]) for a, b in np.argwhere(np.triu(meet, 1))]
