"""Letters as outlines: a drawing that looks the same on a machine without its faces, at the price of its live words."""

import re
from functools import cache
from html import unescape

from outboard.draw.schematic.letters import BOLD, FONTS, NET, PART, PIN, SMALL, TYPE, VALUE, Face

FACES = {face.name: face for face in (PART, TYPE, VALUE, BOLD, NET, PIN, SMALL)}
TEXT = re.compile(r'<text x="([^"]+)" y="([^"]+)"(?: text-anchor="(\w+)")?(?: class="(hal)")?>(.*?)</text>')
SPAN = re.compile(r'<tspan class="(\w+)"(?: id="([^"]+)" data-slot="\w+")?>([^<]*)</tspan>')
ANCHORS = {"middle": 0.5, "end": 1.0}
CODES = {1: "M", 2: "L", 3: "Q", 4: "C"}


def outlined(svg: str) -> str:
    """The drawing with every letter as a path; ids stay on the words that had them."""
    return TEXT.sub(lambda found: _outlines(*found.groups()), svg)


def _outlines(x: str, y: str, anchor: str | None, halo: str | None, spans: str) -> str:
    words = [(FACES[name], slot, unescape(text)) for name, slot, text in SPAN.findall(spans)]
    left = float(x) - ANCHORS.get(anchor or "", 0.0) * sum(_outline(text, face)[1] for face, _, text in words)
    drawn = []
    for face, slot, text in words:
        path, wide = _outline(text, face)
        name = f"w {face.name}" + (" hal" if halo else "")
        identity = f' id="{slot}" data-slot="{slot.partition("-")[0]}"' if slot else ""
        drawn.append(f'<path class="{name}"{identity} transform="translate({left:.2f} {y})" d="{path}"/>')
        left += wide
    return "".join(drawn)


@cache
def _outline(text: str, face: Face) -> tuple[str, float]:
    """Path data of words, and how wide they are."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    font = FontProperties(fname=FONTS / face.file, size=face.size)
    points, codes = text_to_path.get_text_path(font, text)
    wide = text_to_path.get_text_width_height_descent(text, font, ismath=False)[0]
    scale = face.size / text_to_path.FONT_SCALE
    path, number = [], 0
    while number < len(codes):
        code = int(codes[number])
        if code == 79:
            path.append("Z")
            number += 1
            continue
        count = {3: 2, 4: 3}.get(code, 1)
        at = [f"{scale * px:.2f} {-scale * py:.2f}" for px, py in points[number : number + count]]
        path.append(CODES[code] + " ".join(at))
        number += count
    return "".join(path), float(wide)
