"""What crowded figures, schematics and reports do where there is little room: lines, ribbons, words that stay whole."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.lines import Line2D

from outboard.dossier import opened, ran, with_derivation, with_operating_point
from outboard.draw.boundaries import boundaries_figure
from outboard.draw.reach import _sloping
from outboard.draw.schematic.drawing import Drawing, drawing
from outboard.explain.asked import Asked
from outboard.report.document.typst_source import prose
from outboard.report.document.wordings import JOINED, NO_BREAK, where_words

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def ribboned(name: str) -> Drawing:
    dossier = with_operating_point(opened(EXAMPLES / f"{name}.toml"))
    return drawing(dossier.design, ran(dossier.operating_point), ribbons=True)


def test_lines_of_equal_margin_end_at_a_cliff_and_nowhere_else() -> None:
    plane = np.ma.masked_invalid(np.add.outer(np.arange(18.0), np.arange(48.0)))
    assert not np.ma.getmaskarray(_sloping(plane, 2.0)).any()
    cliff = plane.copy()
    cliff[9:] += 1000.0
    assert list(np.flatnonzero(np.ma.getmaskarray(_sloping(cliff, 2.0)).all(axis=1))) == [8, 9]
    assert np.ma.getmaskarray(_sloping(cliff, 2.0)).sum() == 2 * 48


def test_no_words_lie_on_the_hairline_of_another_event() -> None:
    """Where words stand left of their hairlines, the one furthest right is the highest."""
    derivation = ran(with_derivation(opened(EXAMPLES / "radio-shack.toml"), Asked()).derivation)
    upright = [line for line in boundaries_figure(derivation).findobj(Line2D)
               if len(line.get_xdata()) == 2 and line.get_xdata()[0] == line.get_xdata()[1]]  # fmt: skip
    tops = {round(float(line.get_xdata()[0]), 3): float(max(line.get_ydata())) for line in upright
            if max(line.get_ydata()) - min(line.get_ydata()) > 8.0}  # fmt: skip
    first, second, third, last = (tops[x] for x in sorted(tops))
    assert first > second > last > third


def test_what_gives_off_nothing_has_no_bar() -> None:
    found = ribboned("shelf-lights-pmos")
    labels = found.plate.words.labels
    assert labels["RG"].bar == labels["DG"].bar == 0.0
    assert all((labels[name].bar or 0.0) >= 2.0 for name in ("R1", "Q1", "U1"))


@pytest.mark.parametrize("name", ["wrong-attic-server", "museum-follower", "workshop-feed"])
def test_a_ribbon_of_full_width_has_room_to_turn_beside_a_branch(name: str) -> None:
    """A ribbon of 34 units turns about its middle: columns that meet one level stand further apart than that."""
    found = sorted(column.x for column in ribboned(name).plate.columns if column.chain.seats)
    assert min(right - left for left, right in pairwise(found)) >= 28.0 + 17.0


def test_short_conditions_stay_whole_and_dots_end_lines() -> None:
    words = where_words("16 V in, 5 A, divider RA…RB: RA least, other resistors: most but for least beside R3")
    assert words.split(" ")[:4] == [
        f"16{NO_BREAK}V{NO_BREAK}in{NO_BREAK}·", f"5{NO_BREAK}A{NO_BREAK}·",
        f"divider{NO_BREAK}RA…{JOINED}RB:{NO_BREAK}RA{NO_BREAK}least{NO_BREAK}·", "other",
    ]  # fmt: skip


def test_the_ends_of_a_resistor_have_an_index() -> None:
    assert prose("R1,max") == 'R1#sub(typographic: false, "max");'
    assert prose("R1,maximum") == "R1,maximum"
