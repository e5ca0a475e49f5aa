"""The map of how far a design holds: against planes by hand, against all combinations of tolerances, against the
verdict; places that are left open stay open; as a figure and as numbers."""

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from click.testing import CliRunner
from lettering import no_words_touch
from matplotlib.figure import Figure

from outboard.arrangements import designed
from outboard.brief import read, read_text
from outboard.cases.corners import every_choice
from outboard.checks import survey
from outboard.checks.reach import Mapped, Reach
from outboard.checks.verification import Tried, tried
from outboard.cli.program import program
from outboard.draw.reach import reach_figure, write
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY
from outboard.network.solve import solved

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SVG = "{http://www.w3.org/2000/svg}"

INPUTS, LOADS = np.linspace(10.0, 20.0, 11), np.linspace(0.0, 6.0, 13)
PLANE = 10.0 - 2.5 * LOADS[None, :] + 0.5 * (INPUTS[:, None] - 15.0)
"""Nothing at a load of (10 + 0.5·(V − 15))/2.5: 3 A at 10 V, 4 A at 15 V, 5 A at 20 V."""


def by_hand(*changed: tuple[tuple[int, int], float], away: tuple[int, int] | None = None, **fields: Any) -> Reach:
    margins, ran_away = PLANE.copy(), np.zeros(PLANE.shape, dtype=bool)
    for place, value in changed:
        margins[place] = value
    if away is not None:
        margins[away], ran_away[away] = np.nan, True
    one = replace(Mapped("current", "Q1", (), "A", 10.0, (), margins), **fields)
    rising = Mapped("junction temperature", "Q2", ("Q2", "Q3"), "°C", 100.0, (), 60.0 + 10.0 * (PLANE - PLANE.min()))
    return Reach(INPUTS, LOADS, (12.0, 18.0), (0.0, 3.0), (rising, one), ran_away, (7, 9))


@cache
def corners(name: str) -> Tried:
    return tried(designed(read(EXAMPLES / f"{name}.toml")))


@cache
def mapped(name: str) -> Reach:
    found = survey.reach(corners(name))
    assert found is not None
    return found


# ---- read off by hand ------------------------------------------------------------------------------------------------


def test_a_plane_is_nothing_where_it_should_be() -> None:
    found = by_hand()
    plane = found.maps[1]
    for voltage, edges in zip(INPUTS, found.edges(plane), strict=True):
        assert edges == pytest.approx(((10.0 + 0.5 * (voltage - 15.0)) / 2.5,), abs=1e-9)
    least = found.least(plane)
    assert least is not None
    assert (least.margin, least.input_voltage, least.load) == pytest.approx((10.0 - 7.5 - 1.5, 12.0, 3.0))
    # at 12 V, the least promised, nothing is left at 3.4 A; 3 A is the last place before it
    assert found.most_load(plane) == pytest.approx(3.0)
    # at 3 A, the most promised, nothing is left at exactly 10 V
    assert found.input_span(plane) == pytest.approx((10.0, 20.0))
    assert found.ordered[0] is plane and list(found.edges(found.maps[0])) == [()] * len(INPUTS)


def test_of_all_requirements_the_one_with_the_least_share_counts() -> None:
    found = by_hand()
    np.testing.assert_allclose(found.together.margins, np.minimum(PLANE / 10.0, found.maps[0].margins / 100.0))
    place = found.least(found.together)
    assert place is not None and found.weakest(place) is found.maps[1]


def test_an_open_place_neither_holds_nor_has_an_edge() -> None:
    whole = by_hand()
    open_at = (5, 7)  # 15 V, 3.5 A: the last place before the edge of that input
    found = by_hand((open_at, np.nan))
    one = found.maps[1]
    assert found.undecided(one).sum() == 1 and found.undecided(one)[open_at]
    assert not one.holds[open_at] and whole.maps[1].holds[open_at]
    inside = by_hand(((5, 4), np.nan))
    assert inside.most_load(inside.maps[1]) == pytest.approx(1.5) and inside.input_span(inside.maps[1]) is None
    assert np.isnan(inside.together.margins[5, 4])
    nothing = by_hand(margins=np.full(PLANE.shape, np.nan), missing=("R_thJC is not known",))
    assert nothing.least(nothing.maps[1]) is None
    assert np.isfinite(nothing.together.margins).all(), "of all that can be decided"


def test_beyond_a_runaway_nothing_holds_and_nothing_is_undecided() -> None:
    found = by_hand(away=(8, 9))
    one = found.maps[1]
    assert not one.holds[8, 9] and not found.undecided(one).any()


# ---- against what the verdict and all combinations say ---------------------------------------------------------------


@pytest.mark.parametrize("name", ["observatory", "model-railway", "audio-rack-negative"])
def test_the_verdict_finds_nothing_worse_than_the_map(name: str) -> None:
    """Loads and ends of the verification are places of the map too; only releases from less than full load are more."""
    found, known = mapped(name), corners(name)
    for one, tally in zip(found.maps, (*known.steady, *known.after, *known.starts), strict=True):
        least = found.least(one)
        assert tally.worst is not None and least is not None
        assert least.margin <= tally.worst.margin + 1e-6 * one.way, one.title


@pytest.mark.parametrize("name", ["wrong-attic-server", "model-railway"])
def test_the_chosen_combinations_are_as_bad_as_all_of_them(name: str) -> None:
    """Where a design fails, what is worst changes from place to place; every combination is tried at four places."""
    found, known = mapped(name), corners(name)
    setting = known.setting
    ambients = sorted(set(setting.ambients))
    second_looks = [tally.worst.corners.choices[0] for tally in known.steady if tally.worst is not None]
    choices = np.vstack([every_choice(setting.axes), *second_looks])
    for row in (0, 5, 9, len(found.inputs) - 1):
        rows = setting.corners(choices, [(float(found.inputs[row]), at) for at in ambients])
        block = solved(setting.circuit, rows.overrides, setting.sweep(found.loads))
        for one, tally in zip(found.maps, known.steady, strict=False):
            margins = np.where(block.is_solved, tally.check.margins(block)[2], np.nan)
            least = np.where(np.isnan(margins).any(axis=0), np.nan, margins.min(axis=0))
            off = one.margins[row] - least
            assert np.nanmax(off) <= 0.02 * one.way, (one.title, float(found.inputs[row]))
            assert np.nanmin(off) >= -1e-6 * one.way, (one.title, float(found.inputs[row]))
            assert (one.holds[row] == (least >= 0.0)).mean() > 0.97, one.title


@pytest.mark.parametrize("outcome", [NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY])
def test_one_open_lane_leaves_its_place_open(monkeypatch: pytest.MonkeyPatch, outcome: int) -> None:
    """One lane of the last load loses its solution at every input: no requirement holds there any more."""
    real = survey.solved

    def spoil(*arguments: Any, **more: Any) -> Any:
        block = real(*arguments, **more)
        outcomes = block.outcomes.copy()
        outcomes[0, -1] = outcome
        return replace(block, outcomes=outcomes)

    whole = mapped("model-railway")
    monkeypatch.setattr(survey, "solved", spoil)
    found = survey.reach(corners("model-railway"))
    assert found is not None
    assert found.ran_away[:, -1].all() == (outcome == RUNAWAY) and not found.ran_away[:, :-1].any()
    for one, before in zip(found.maps, whole.maps, strict=True):
        assert not one.holds[:, -1].any(), one.title
        assert found.undecided(one)[:, -1].any() == (outcome != RUNAWAY and before.holds[:, -1].any()), one.title


def test_what_cannot_be_decided_has_no_number() -> None:
    text = (EXAMPLES / "model-railway.toml").read_text(encoding="utf-8")
    assert 'trust         = "typical"' in text
    text = text.replace('trust         = "typical"', 'trust = "limits"')
    found = survey.reach(tried(designed(read_text(text, "limits.toml"))))
    assert found is not None
    silent = [one for one in found.maps if one.missing]
    assert silent and all(found.least(one) is None and found.undecided(one).all() for one in silent)


def test_supplies_below_ground_are_mapped_below_ground() -> None:
    found = mapped("audio-rack-negative")
    assert (found.inputs < 0.0).all() and (np.diff(found.inputs) > 0.0).all()
    assert found.inputs[0] < found.promised_inputs[0] < found.promised_inputs[1] < found.inputs[-1]


# ---- as a figure -----------------------------------------------------------------------------------------------------

FIGURES = {
    "by hand": by_hand(((5, 4), np.nan), ((9, 11), np.nan), away=(2, 12)),
    "without a number": by_hand(margins=np.full(PLANE.shape, np.nan), missing=("R_thJC is not known",)),
    "level": by_hand(margins=np.ones(PLANE.shape)),
    "long names": by_hand(alike=tuple(f"Q{number}" for number in range(1, 12))),
}


def drawn(name: str) -> Figure:
    return reach_figure(FIGURES[name] if name in FIGURES else mapped(name), "A title that is rather long " * 3)


@pytest.mark.parametrize("name", [*FIGURES, "observatory", "wrong-attic-server", "audio-rack-negative"])
def test_no_words_touch_and_none_leave_the_sheet(name: str) -> None:
    no_words_touch(drawn(name))


def test_the_heavy_line_lies_where_the_margin_is_nothing() -> None:
    figure = reach_figure(by_hand())
    (edge,) = [found for found in figure.findobj() if getattr(found, "get_gid", lambda: "")() == "edge-current-Q1"]
    (path,) = edge.get_paths()  # type: ignore[attr-defined]
    loads, inputs = path.vertices.T
    np.testing.assert_allclose(loads, (10.0 + 0.5 * (inputs - 15.0)) / 2.5, atol=1e-9)
    assert inputs.min() == 10.0 and inputs.max() == 20.0


def test_grounds_differ_without_colour() -> None:
    """What holds, fails, runs away and is undecided, told apart in print by hatching alone."""
    found = by_hand(((5, 4), np.nan), away=(2, 12))
    figure = reach_figure(found, theme="print")
    hatches = {hatch for patch in figure.findobj() for hatch in
               (getattr(patch, "hatches", None) or [getattr(patch, "get_hatch", lambda: None)()])}  # fmt: skip
    assert {"/////", "xxxxx", "....."} <= hatches


def test_svg_has_title_and_names_and_is_always_the_same(tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg"):
        write(by_hand(), tmp_path / name, "By hand")
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    assert root.get("role") == "img" and root.findtext(f"{SVG}title") == "By hand"
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids)) and "reach-current-Q1-fails" in ids


# ---- the command line ------------------------------------------------------------------------------------------------


def test_numbers_and_picture_of_a_map(tmp_path: Path) -> None:
    railway = str(EXAMPLES / "model-railway.toml")
    for name, more in (("a.json", ()), ("a.svg", ()), ("b.json", ("--draws", "20"))):
        done = CliRunner().invoke(program, ["verify", railway, "--reach", str(tmp_path / name), "--quiet", *more])
        assert done.exit_code == 0, done.output
    text = (tmp_path / "a.json").read_text(encoding="utf-8")
    assert text == (tmp_path / "b.json").read_text(encoding="utf-8")
    found = json.loads(text)
    shape = [[len(row) for row in one["margins"]] for one in found["requirements"]]
    assert shape == [[len(found["load_A"])] * len(found["input_V"])] * len(shape)
    assert (tmp_path / "a.svg").read_text(encoding="utf-8").count("<title>") == 1
    drop_out = next(one for one in found["requirements"] if one["requirement"].startswith("headroom above drop-out"))
    assert drop_out["least"]["input_V"] == found["promised_input_V"][0]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((str(EXAMPLES / "model-railway.toml"), "--reach", "x.pdf"), ".svg, .png or .json"),
        ((str(EXAMPLES / "model-railway.toml"), "--reach", "/nowhere/x.json"), "--reach: /nowhere/x.json"),
        ((str(EXAMPLES.parent / "tests/reference/networks/drop-out.toml"), "--reach", "x.svg"), "no map without"),
    ],
)
def test_mistakes_are_told(arguments: tuple[str, ...], words: str) -> None:
    told_off = CliRunner().invoke(program, ["verify", *arguments])
    assert told_off.exit_code == 2 and words in told_off.stderr
