"""A feed at the left of the schematic: read back, nothing meets anything, the diodes look the right way."""

import random
import re
from itertools import product

import pytest
from drawn_stages import DrawnStage, longest_figures, some_stages
from schematic_reading import Picture, joined_by

from outboard.arrangements import Design, designed
from outboard.brief import read_text
from outboard.brief.feed_entries import RECTIFIERS
from outboard.draw.schematic import drawing
from outboard.draw.schematic.feed_symbol import feed_symbol

FEED = """[feed]
mains = "230 V"
frequency = "50 Hz"
secondary = "18.5 V"
power = "1250 VA"
regulation = "8 %"
rectifier = "{rectifier}"
diode = "MUR820"
reservoir = "220000 µF"
{fuse}
"""
SOME = random.Random(5).sample(some_stages(), 24)
KINDS = list(product(RECTIFIERS, ('fuse = "6.3 A"', "")))


def fed(stage: DrawnStage, rectifier: str, fuse: str) -> Design:
    return designed(read_text(FEED.format(rectifier=rectifier, fuse=fuse) + stage.text, "stage.toml"))


@pytest.mark.parametrize("stage", SOME, ids=lambda stage: stage.name)
def test_nothing_meets_anything_and_all_is_joined(stage: DrawnStage) -> None:
    for rectifier, fuse in KINDS:
        design = fed(stage, rectifier, fuse)
        parts = [one for one in design.parts if one.part.kind != "thermal_resistance"]
        for point in (None, longest_figures(parts)):
            picture = Picture(drawing(design, point, ribbons=point is not None))
            assert picture.clashes() == []
            assert picture.nets() == joined_by(parts)


@pytest.mark.parametrize("stage", SOME[:4], ids=lambda stage: stage.name)
def test_the_feed_stands_left_of_everything_with_its_words(stage: DrawnStage) -> None:
    picture = Picture(drawing(fed(stage, "bridge", ""), None))
    boxes = dict(picture.symbols)
    left = min(box[0] for name, box in boxes.items() if name not in ("input", "sign of ground"))
    assert boxes["input"][0] < left
    words = " ".join(name for name, _ in picture.words)
    for word in ("Feed", "18.5 V · 1.25 kVA", "220000 µF"):
        assert word in words
    assert "Source" not in words


def feed_of(rectifier: str, fuse: str) -> object:
    return fed(SOME[0], rectifier, fuse).brief.feed


@pytest.mark.parametrize(("rectifier", "fuse"), KINDS)
def test_the_symbol_stays_in_its_box_and_shows_what_there_is(rectifier: str, fuse: str) -> None:
    symbol = feed_symbol(feed_of(rectifier, fuse), True, "iec")  # type: ignore[arg-type]
    left, top, right, bottom = symbol.box
    for path in re.findall(r' d="(M[^"]+)"', symbol.drawing):
        start = re.match(r"M(-?[\d.]+)[ ]?(-?[\d.]+)", path)
        assert start is not None
        x, y = float(start[1]), float(start[2])
        assert left <= x <= right and (top <= y <= bottom or (x == 0.0 and abs(y) <= symbol.half))
    # a square and its diode, or two diodes; and the fuse
    assert symbol.drawing.count('<path class="bd"') == (3 if fuse else 2)


@pytest.mark.parametrize("rectifier", RECTIFIERS)
def test_a_negative_feed_is_turned(rectifier: str) -> None:
    one, other = (feed_symbol(feed_of(rectifier, ""), above, "iec").drawing for above in (True, False))  # type: ignore[arg-type]
    assert one != other
    if rectifier == "centre tap":  # anodes at the winding, cathodes at the positive pole
        assert "M-97 " in one.replace("M-97-", "M-97 -") and "M-79 " in other.replace("M-79-", "M-79 -")
