"""The HTML that typst makes, dressed: its style, and the drawings put where the source left room for them."""

import base64
import re
from collections.abc import Mapping
from importlib.resources import files

from outboard.report.document.grounds import variables

FACES = (
    ("Outboard Serif", 400, "normal", "serif"), ("Outboard Serif", 400, "italic", "serif-italic"),
    ("Outboard Serif", 600, "normal", "serif-semibold"), ("Outboard Sans", 400, "normal", "sans"),
    ("Outboard Sans", 600, "normal", "sans-semibold"),
)  # fmt: skip
"""Family, weight, slant and file of the letters; cut from the fonts of the drawings, renamed as their licence asks."""

LICENCE = (
    "/* Outboard Serif and Outboard Sans: parts of Source Serif 4 and Source Sans 3, Copyright 2014-2023 and 2010-2024 "
    "Adobe (http://www.adobe.com/), with Reserved Font Name 'Source'; under the SIL Open Font License 1.1, "
    "http://scripts.sil.org/OFL */"
)

COLUMN, SMALLEST = 864.0, 0.72
"""Width of the page's column [px], and how small a unit of a schematic may get [px]."""

PLATE = re.compile(r'(<svg [^>]*class="plate"[^>]*viewBox="\S+ \S+ (\S+) \S+"[^>]*)')
ROOM = re.compile(r'(<div class="drawing"[^>]*data-drawing="([^"]+)"[^>]*>)\s*</div>')


def page(html: str, drawings: Mapping[str, str]) -> str:
    """The page with drawings and style."""
    style = files(__package__).joinpath("page.css").read_text(encoding="utf-8")
    day, night = variables()
    grounds = f":root{{color-scheme:light dark;{day}}}\n@media (prefers-color-scheme:dark){{:root{{{night}}}}}\n"
    rules = f"{grounds}{_faces()}{style}"
    html = html.replace("</head>", f"<style>\n{rules}</style></head>", 1)
    return ROOM.sub(lambda found: f"{found[1]}{_lettered(drawings[found[2]])}</div>", html)


def _lettered(drawing: str) -> str:
    """The drawing in the letters that the page carries, as wide as those that it was laid out with; one so broad that
    they would get too small is shown broader than the page, and moves under the finger."""
    broad = PLATE.match(drawing)
    if broad is not None and SMALLEST * float(broad[2]) > COLUMN:
        drawing = f'{broad[1]} style="min-width:{SMALLEST * float(broad[2]):.0f}px"{drawing[broad.end(1) :]}'
    return drawing.replace("'Source Serif 4'", "'Outboard Serif'").replace("'Source Sans 3'", "'Outboard Sans'")


def _faces() -> str:
    """The letters themselves, so that the page needs no other file and looks alike everywhere."""
    rules = [LICENCE]
    for family, weight, slant, name in FACES:
        data = base64.b64encode(files(__package__).joinpath("fonts", f"{name}.woff").read_bytes()).decode("ascii")
        rules.append(f'@font-face{{font-family:"{family}";font-weight:{weight};font-style:{slant};'
                     f"src:url(data:font/woff;base64,{data})}}")  # fmt: skip
    return "\n".join([*rules, ""])
