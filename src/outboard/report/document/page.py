"""The HTML that typst makes, dressed: its style, and the drawings put where the source left room for them."""

import re
from collections.abc import Mapping
from importlib.resources import files

from outboard.report.document.grounds import variables

ROOM = re.compile(r'(<div class="drawing"[^>]*data-drawing="([^"]+)"[^>]*>)\s*</div>')


def page(html: str, drawings: Mapping[str, str]) -> str:
    """The page with drawings and style."""
    style = files(__package__).joinpath("page.css").read_text(encoding="utf-8")
    day, night = variables()
    rules = f":root{{color-scheme:light dark;{day}}}\n@media (prefers-color-scheme:dark){{:root{{{night}}}}}\n{style}"
    html = html.replace("</head>", f"<style>\n{rules}</style></head>", 1)
    return ROOM.sub(lambda found: f"{found[1]}{drawings[found[2]]}</div>", html)
