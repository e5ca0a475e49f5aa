"""The look of a figure as data: colours, lettering, strokes.

Ink carries everything; a wash never says what ink or words do not say too. Nets and curves are lettered in italic
serif, as rivers on a map; figures are sans, and all digits are equally wide. Every size is in points.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

ThemeName = Literal["light", "dark", "print"]

FONTS = Path(__file__).parent / "fonts"
POINTS_PER_INCH = 72.0


@dataclass(frozen=True, slots=True)
class Theme:
    """Colours; `wash` is how strongly a band is laid under the ink, `verdicts` those of PASS, FAIL and UNDECIDED."""

    paper: str
    ink: str
    ink2: str
    hairline: str
    regulator: str
    driver: str
    pass_device: str
    wash: float
    heat: str
    verdicts: tuple[str, str, str]


THEMES: Mapping[str, Theme] = MappingProxyType({
    "light": Theme("#fbf8f1", "#1c2530", "#55606b", "#d9d2c3", "#1c2530", "#35688f", "#a35a1c", 0.13,
                   "#b0451c", ("#0c5c63", "#9c2a14", "#55457a")),
    "dark": Theme("#151a20", "#ece6d9", "#a9b0b6", "#333c45", "#ece6d9", "#8fb8d6", "#edb97f", 0.15,
                  "#ee8f55", ("#86cfc8", "#ff9f86", "#c6b6ec")),
    "print": Theme("#ffffff", "#000000", "#333333", "#bbbbbb", "#000000", "#000000", "#000000", 0.09,
                   "#000000", ("#000000", "#000000", "#000000")),
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lettering:
    """A face and its size [pt]; `line` is what one line of it takes."""

    file: str
    size: float
    line: float


TITLE = Lettering("SourceSerif4-Semibold.ttf", 15.0, 20.5)
LEAD = Lettering("SourceSerif4-It.ttf", 10.5, 15.0)
CURVE = Lettering("SourceSerif4-It.ttf", 9.5, 11.5)
FIGURE = Lettering("SourceSans3-Semibold.ttf", 8.5, 11.5)
TEXT = Lettering("SourceSans3-Regular.ttf", 8.5, 11.5)
SMALL = Lettering("SourceSans3-Regular.ttf", 7.5, 10.5)

HAIRLINE, THIN, INK, HEAVY, RULE = 0.5, 0.6, 1.3, 2.2, 3.0
"""Widths of strokes."""

Dash = tuple[float, ...]
SOLID: Dash = ()
DASHED: Dash = (5.0, 2.0)
DASHES: tuple[Dash, ...] = (SOLID, (9.0, 2.0), (9.0, 1.8, 2.0, 1.8), (3.4, 1.6))
"""In this order for devices of one role."""
DOTTED: Dash = (1.0, 1.8)


@cache
def font(lettering: Lettering) -> FontProperties:
    """The face from its file, so that no face of the machine slips in."""
    return FontProperties(fname=FONTS / lettering.file, size=lettering.size)


@cache
def width(words: str, lettering: Lettering) -> float:
    """How wide words get [pt]."""
    return float(text_to_path.get_text_width_height_descent(words, font(lettering), ismath=False)[0])


def folded(words: str, lettering: Lettering, wide: float) -> list[str]:
    """Words in lines that are no wider than this [pt], unless a single word is; a no-break space does not break."""
    lines: list[str] = []
    for word in filter(None, words.split(" ")):
        if lines and width(f"{lines[-1]} {word}", lettering) <= wide:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


SETTINGS: Mapping[str, Any] = MappingProxyType({
    "svg.fonttype": "path",
    "svg.hashsalt": "outboard",
    "svg.image_inline": True,
    "text.hinting": "none",
    "text.parse_math": False,
    "text.usetex": False,
    "lines.scale_dashes": False,
    "lines.solid_capstyle": "butt",
    "lines.dash_capstyle": "butt",
    "lines.solid_joinstyle": "round",
    "lines.dash_joinstyle": "round",
    "hatch.linewidth": 0.5,
    "path.simplify": True,
    "path.simplify_threshold": 1.0 / 9.0,
    "path.sketch": None,
    "path.effects": [],
})  # fmt: skip
"""What must not depend on the person's own settings of the library.

Letters become outlines: a picture then looks the same in a notebook, in a browser and on a machine without these faces,
and words that were measured not to touch do not touch anywhere. The price is that its words cannot be searched; the
title stays as text.
"""
