"""Every type of the catalogue: deviations from its sheet, where its values come from, refusals."""

import os
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from printed_figures import REGULATORS

from outboard.identify import AXES, bipolar, identified, regulator
from outboard.identify.agreement import above, below, exact
from outboard.identify.deviation import deviations, worst_deviations
from outboard.identify.deviation_table import ACCEPTED, accepted, deviation_table, every_type
from outboard.parts import catalogue, find, ratings
from outboard.parts.records import SYMBOLS
from outboard.sources import sources

# ---- all -------------------------------------------------------------------------------------------------------

EVERY_TYPE = [part.name for part in every_type(catalogue())]


@cache
def rows_of(name):
    return deviations(find(name))


@pytest.mark.parametrize("name", EVERY_TYPE)
def test_no_figure_is_missed_by_more_than_five_per_cent(name):
    found = rows_of(name)
    assert found
    for row in found:
        assert abs(row.relative) <= 0.05 or accepted(row), row


def test_every_accepted_deviation_is_one():
    """Nothing is listed that the models meet; a usual device keeps its limit, the most one is on the careful side."""
    for parts, figure, at, end in ACCEPTED:
        for part in parts:
            there = [row for row in rows_of(part) if (row.figure, row.at, row.end) == (figure, at, end)]
            assert max(abs(row.relative) for row in there) > 0.05, (part, figure)
            limits = [r.most for r in find(part).figures if SYMBOLS[r.name] == figure and r.most is not None]
            if end == "usual":
                assert not limits or there[0].model <= max(limits)
            else:
                assert all(0 < row.relative < 0.3 for row in there)


def test_the_table_of_worst_deviations_is_that_of_the_models():
    """OUTBOARD_RENEW_GOLDEN=1 writes it anew."""
    table, place = deviation_table(catalogue()), Path(__file__).parents[2] / "docs" / "model-deviations.md"
    if os.environ.get("OUTBOARD_RENEW_GOLDEN"):
        place.write_text(table, encoding="utf-8")
    assert place.read_text(encoding="utf-8") == table
    assert table.count("\n| ") == len(EVERY_TYPE) + 1


def test_worst_deviation_of_each_type():
    worst = worst_deviations(catalogue())
    assert set(worst) == set(catalogue())
    assert all(row.part == name for name, row in worst.items())


def test_a_deviation_can_be_seen():
    """A drop-out figure that the model does not meet shows up."""
    assert exact("X", "V_O", "", "usual", 5.5, 5.0).relative == pytest.approx(0.1)
    assert below("X", "V_O", "", "usual", 5.5, 5.0).relative == pytest.approx(0.1)
    assert below("X", "V_O", "", "usual", 4.5, 5.0).relative == 0
    assert above("X", "V_O", "", "usual", 4.5, 5.0).relative == pytest.approx(-0.1)
    part = find("2N3055")
    rows = [replace(row, most=0.2) if row.name == "VCE_sat" else row for row in part.figures]
    missed = [row for row in deviations(replace(part, figures=tuple(rows))) if row.figure == "V_CE(sat)"]
    assert any(row.relative > 0.05 for row in missed)


@pytest.mark.parametrize("name", EVERY_TYPE)
def test_every_value_says_where_it_comes_from(name):
    found = identified(find(name), 0.5)
    assert set(found.origins) == set(found.values)
    origins = [*found.origins.values(), *(origin for spread in found.spreads for origin in spread.origins)]
    for origin in origins:
        assert origin.kind in ("limit", "typical", "recalled", "derived", "default")
        assert origin.words.startswith(origin.kind)
        assert (origin.source in sources()) == (origin.kind != "default")
    for spread in found.spreads:
        assert spread.axis in AXES
        assert set(spread.fields) <= set(found.values)


def test_an_axis_that_does_not_exist_is_refused():
    with pytest.raises(KeyError):
        bipolar(find("2N3055")).at(colour="most")


def test_a_sheet_without_gain_cannot_be_identified():
    part = find("2N3055")
    with pytest.raises(ValueError, match="h_FE"):
        bipolar(replace(part, figures=tuple(row for row in part.figures if row.name != "hFE")))


def test_ratings_and_model_agree_on_the_guaranteed_current():
    for name in REGULATORS:
        assert regulator(find(name)).at(limit="least")["current_limit"] == ratings(find(name))["I_O"].value
