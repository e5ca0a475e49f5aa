"""A drawing whose colours are settled: for readers of SVG that know no variables and ask no browser for a theme."""

import re
from collections.abc import Mapping

from outboard.draw.schematic.css import LIGHT, PRINT

PAPER: Mapping[str, str] = {**LIGHT, "paper": "#ffffff", "t0": "#ffffff"}
"""The colours of the day on white paper."""

MONOCHROME: Mapping[str, str] = PRINT

MEDIA = re.compile(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*\}")
SETS = re.compile(r"\.plate(?:\[data-theme=\w+\])?\{--[^{}]*\}")
FORCED = re.compile(r"\.plate\[data-theme=\w+\][^{}]*\{[^{}]*\}")
VARIABLE = re.compile(r"var\(--(\w+)\)")


def fixed(svg: str, colours: Mapping[str, str] = PAPER) -> str:
    """The drawing with every colour written where it is used; KeyError for one that the set lacks."""
    for rules in (MEDIA, SETS, FORCED):
        svg = rules.sub("", svg)
    return VARIABLE.sub(lambda found: colours[found[1]], svg)
