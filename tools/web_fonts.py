"""Makes the fonts that a report in HTML carries: what it needs of the fonts beside the drawings, under another name.

    python tools/web_fonts.py

The licence of the originals (SIL Open Font License 1.1) reserves their name, so a part of them must be called
otherwise; it lies beside the result.
"""

import shutil
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

SRC = Path(__file__).resolve().parents[1] / "src" / "outboard"
ORIGINALS, MADE = SRC / "draw" / "fonts", SRC / "report" / "document" / "fonts"

FONTS = {
    "SourceSerif4-Regular": "serif", "SourceSerif4-It": "serif-italic", "SourceSerif4-Semibold": "serif-semibold",
    "SourceSans3-Regular": "sans", "SourceSans3-Semibold": "sans-semibold",
}  # fmt: skip
LETTERS = (
    *range(0x20, 0x7F), *range(0xA0, 0x180), *range(0x391, 0x3CA), *range(0x2009, 0x200B), *range(0x2010, 0x2027),
    *range(0x202F, 0x2040), *range(0x2070, 0x208F), *range(0x2150, 0x215F), 0x20AC, 0x2116, 0x2122, 0x2126,
    *range(0x2190, 0x2194), 0x2206, 0x2212, 0x2215, 0x2219, 0x221A, 0x221E, 0x222B, 0x2248, 0x2260, 0x2264, 0x2265,
    0x2308, 0x2309, 0x230A, 0x230B,
)  # fmt: skip
"""Latin, Greek, punctuation, raised and lowered figures, fractions, the signs of formulas."""


def main() -> None:
    """All fonts anew, with their licences."""
    MADE.mkdir(exist_ok=True)
    options = subset.Options(layout_features=["kern", "lnum", "tnum", "mark", "ccmp"], name_IDs=[0, 13, 14],
                             flavor="woff", hinting=False, notdef_outline=True)  # fmt: skip
    for original, name in FONTS.items():
        font = TTFont(ORIGINALS / f"{original}.ttf", recalcTimestamp=False)
        cut = subset.Subsetter(options)
        cut.populate(unicodes=LETTERS)
        cut.subset(font)
        for identifier, text in ((1, f"Outboard {name}"), (2, "Regular"), (4, f"Outboard {name}")):
            font["name"].setName(text, identifier, 3, 1, 0x409)
        font.flavor = "woff"
        font.save(MADE / f"{name}.woff")
    for licence in ORIGINALS.glob("*LICENSE*"):
        shutil.copy(licence, MADE / licence.name)


if __name__ == "__main__":
    main()
