"""The picture of a division: no words on each other, the numbers that were given, the same bytes every time.

The divisions are made by hand formulas below; nothing here is solved.
"""

import os
import re
import struct
import subprocess
import sys
from collections.abc import Sequence
from itertools import combinations, pairwise
from xml.etree import ElementTree

import matplotlib
import matplotlib.colors
import matplotlib.image
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from outboard.analysis.curves import Curve, Device, Difference, Division, Event, Handover
from outboard.constants import ZERO_CELSIUS
from outboard.draw.axis import Axis
from outboard.draw.division import PAGE, SCREEN, division_figure, save, write
from outboard.draw.division_curves import strokes
from outboard.draw.placing import flags, spread
from outboard.draw.sheet import PNG_DOTS_PER_INCH, settings
from outboard.draw.style import FIGURE, FONTS, SMALL, TEXT, THEMES, width
from outboard.span import Span

PROMISED = Span(0.0, 2.0, 5.0)
AMBIENTS = {"cold": ZERO_CELSIUS - 10.0, "usual": ZERO_CELSIUS + 15.0, "hot": ZERO_CELSIUS + 40.0}


def divided(
    passes: int = 1,
    driver: bool = True,
    apart: float = 0.0,
    steepness: float = 20.0,
    takes_over: float = 0.3,
    promised: Span = PROMISED,
    ends: dict[str, float] | None = None,
    conditions: Sequence[str] = ("cold", "usual", "hot"),
    roles: bool = True,
    limits_from: float | None = None,
    down: tuple[float, float] | None = None,
    beyond: float = 1.6,
) -> Division:
    """A regulator that carries everything up to `takes_over` [A], then pass devices that take the rest.

    `apart` is how unequal the pass devices are, `steepness` how suddenly they start; beyond `ends` [A] a condition has
    no operating point.
    """
    pass_names = [f"Q{number + 1 + driver}" for number in range(passes)]
    devices = [Device("U1", "regulator", "regulator")]
    devices += [Device("Q1", "driver" if roles else "bipolar", "bipolar")] if driver else []
    devices += [Device(name, "pass device" if roles else "bipolar", "bipolar") for name in pass_names]
    load = beyond * promised.most * np.linspace(0.0, 1.0, 80) ** 2
    load = np.unique([*load, *promised])
    weights = 1.0 + apart * np.arange(passes)
    weights /= weights.sum()
    curves, handovers, events = [], [], []
    for word in conditions:
        ambient = AMBIENTS[word]
        start = takes_over * (1.0 - 0.002 * (ambient - AMBIENTS["usual"]))
        rest = start / steepness * np.logaddexp(0.0, steepness * (load / start - 1.0))
        rest = np.minimum(rest, load)
        currents = {"U1": load - rest + (0.03 * rest if driver else 0.0)}
        if driver:
            currents["Q1"] = 0.03 * rest
        kept = 0.97 if driver else 1.0
        currents |= {name: kept * weight * rest for name, weight in zip(pass_names, weights, strict=True)}
        powers = {name: 6.0 * current for name, current in currents.items()}
        junctions = {name: ambient + 3.0 * power for name, power in powers.items()}
        outcomes = np.where(load > (ends or {}).get(word, np.inf), 1, 0).astype(np.int8)
        for direction in ("up", "down"):
            curves.append(Curve(word, direction, 18.0, ambient, load, outcomes, np.full_like(load, 12.0), currents,
                                powers, junctions, {}, {}))  # fmt: skip
        handovers += [Handover(word, device.name, start * (1.0 + 0.4 * (device.role != "driver")), start)
                      for device in devices[1:]]  # fmt: skip
        if outcomes.any():
            gone = load[outcomes != 0]
            events.append(Event(word, "no operating point", None, float(gone[0]), float(gone[-1])))
        if limits_from is not None:
            events.append(Event(word, "limits its current", "U1", limits_from, float(load[-1])))
            events.append(Event(word, "output too low", None, 1.01 * limits_from, float(load[-1])))
    differs = tuple(Difference(word, *down, 1.0) for word in conditions) if down else ()
    return Division(tuple(devices), promised, 12.0, 0.04, tuple(curves), tuple(handovers), tuple(events), differs, ())


DIVISIONS = {
    "bare": divided(0, driver=False),
    "one pass device": divided(1, driver=False),
    **{f"{count} alike": divided(count) for count in range(1, 9)},
    **{f"{count} unequal": divided(count, apart=0.6) for count in range(2, 9)},
    "nearly alike": divided(8, apart=0.03),
    "steep": divided(2, steepness=3000.0),
    "early": divided(3, takes_over=0.004),
    "late": divided(3, takes_over=4.9),
    "milliamperes": divided(2, promised=Span(0.0001, 0.002, 0.005), takes_over=0.0003),
    "hundred amperes": divided(8, apart=1.0, promised=Span(1.0, 20.0, 100.0), takes_over=0.8),
    "one load": divided(1, promised=Span(5.0, 5.0, 5.0)),
    "ends": divided(1, ends={"usual": 6.2, "hot": 5.4, "cold": 7.1}),
    "ends at once": divided(2, ends=dict.fromkeys(AMBIENTS, 6.2)),
    "ends early": divided(8, apart=0.6, ends=dict.fromkeys(AMBIENTS, 0.7)),
    "no point at all": divided(2, ends=dict.fromkeys(AMBIENTS, -1.0)),
    "usual only": divided(2, conditions=("usual",)),
    "usual and hot": divided(2, conditions=("usual", "hot")),
    "spelt out": divided(4, apart=0.5, roles=False),
    "overload": divided(2, apart=0.2, limits_from=5.2, ends={"hot": 7.0}, down=(5.3, 6.4)),
}
TYPES = {"U1": "78M05", "Q1": "MJE15031", **{f"Q{number}": "MJE15031" for number in range(2, 10)}}


def letters(figure: Figure, dots_per_inch: float) -> list[tuple[str, tuple[float, float, float, float]]]:
    """All words with their boxes in points, as they are drawn at a resolution."""
    figure.set_dpi(dots_per_inch)
    renderer = FigureCanvasAgg(figure).get_renderer()
    with settings():
        boxes = [
            (text.get_text(), tuple(np.array(text.get_window_extent(renderer).extents) * 72.0 / dots_per_inch))
            for text in figure.texts
        ]
    figure.set_dpi(72.0)
    return boxes


SMALL_SHEET = (300.0, 300.0)
CASES = [
    *((name, PAGE, {"U1": 1.0}) for name in DIVISIONS),
    *((name, SCREEN, {}) for name in ("8 unequal", "ends", "overload", "late")),
    *((name, SMALL_SHEET, {"U1": 1.0, "U2": 1.1}) for name in ("8 unequal", "ends", "overload", "late", "early")),
]


@pytest.mark.parametrize(("name", "size", "guaranteed"), CASES, ids=lambda value: str(value))
def test_no_words_touch_and_none_leave_the_sheet(name, size, guaranteed):
    figure = division_figure(DIVISIONS[name], "A supply of our own, invented", TYPES, guaranteed, size=size)
    width, height = figure.get_size_inches() * 72.0
    assert width >= size[0] - 1e-6
    for dots_per_inch in (PNG_DOTS_PER_INCH, 600.0):     # as PNG, and nearly as fine as outlines
        boxes = letters(figure, dots_per_inch)
        assert len(boxes) > 20
        for words, (left, bottom, right, top) in boxes:
            assert 0.0 < left < right < width and 0.0 < bottom < top < height, words
        for (words, one), (others, other) in combinations(boxes, 2):
            across = min(one[2], other[2]) - max(one[0], other[0])
            upwards = min(one[3], other[3]) - max(one[1], other[1])
            assert across <= 0.0 or upwards <= 0.0, f"“{words}” on “{others}”"


def test_words_would_be_caught_touching():
    figure = division_figure(DIVISIONS["1 alike"])
    first = next(text for text in figure.texts if text.get_text() == "heat, W")
    figure.text(first.get_position()[0] + 5.0, first.get_position()[1], "on it", transform=first.get_transform())
    boxes = [box for words, box in letters(figure, PNG_DOTS_PER_INCH) if words in ("heat, W", "on it")]
    assert min(box[2] for box in boxes) > max(box[0] for box in boxes)


def lines(figure: Figure) -> dict[str, np.ndarray]:
    """Curves by what they are named in the SVG, as load and value."""
    return {line.get_gid(): line.get_xydata() for axes in figure.axes for line in axes.lines if line.get_gid()}


@pytest.mark.parametrize("name", ["8 unequal", "ends", "usual and hot"])
def test_curves_are_the_numbers_that_were_given(name):
    division = DIVISIONS[name]
    drawn = lines(division_figure(division))
    curve = division.curve("usual")
    celsius = {device: kelvin - 273.15 for device, kelvin in curve.junctions.items()}
    for key, figures in (("current", curve.currents), ("heat", curve.powers), ("junction", celsius)):
        for device in division.devices:
            xs, ys = drawn[f"division-{key}-{device.name}-usual"].T
            assert np.array_equal(xs, curve.load)
            assert np.array_equal(ys[curve.solved], figures[device.name][curve.solved])
            assert np.all(np.isnan(ys[~curve.solved]))
    hot = division.curve("hot")
    _, ys = drawn["division-junction-U1-hot"].T
    assert np.array_equal(ys[hot.solved], hot.junctions["U1"][hot.solved] - 273.15)


def test_curves_in_the_svg_lie_where_the_numbers_say(tmp_path):
    division = divided(1)
    figure = division_figure(division)
    save(figure, tmp_path / "division.svg")
    text = (tmp_path / "division.svg").read_text()
    path = re.search(r'id="division-current-Q2-usual">\s*<path d="([^"]+)"', text).group(1)
    points = np.array([[float(part) for part in step.split()[-2:]] for step in re.findall(r"[ML][^ML]+", path)])
    corners = figure.axes[0].get_position()
    width, height = figure.get_size_inches() * 72.0
    curve = division.curve("usual")
    # root scales by hand: a load lies at √(load / last), a current at √(current / top), top 3 % above the last load
    top = 1.03 * 8.0
    xs = width * (corners.x0 + corners.width * np.sqrt(curve.load / 8.0))
    ys = height * (1.0 - corners.y0 - corners.height * np.sqrt(curve.currents["Q2"] / top))
    assert len(points) > 10
    for x, y in points:
        assert abs(np.interp(x, xs, ys) - y) < 0.5 and xs[0] - 0.01 < x < xs[-1] + 0.01


def test_what_is_read_off_at_full_load_is_written_beside_the_curve():
    # by hand: softly rounded start, far beyond it rest = 5 A − 0.3 A = 4.7 A; driver 3 %, pass device 97 % of it
    words = [text.get_text() for text in division_figure(divided(1), types={"Q2": "2N3055"}).texts]
    for name, reading in (("Q2", "4.56 A"), ("Q2", "27.4 W"), ("Q1", "141 mA"), ("Q1", "846 mW"), ("U1", "441 mA")):
        assert any(pair == (name, reading) for pair in pairwise(words)), reading
    assert {"pass device 2N3055", "driver", "● at 5 A", "full load, 5 A"} <= set(words)
    # 15 °C and 3 K/W · 27.354 W; hot 40 °C and as much, for the start moves by 5 %: 3 · 6 · 0.97 · 4.715 K
    assert ("97 °C", "hot 122 °C") in set(pairwise(words))


def test_minus_signs_are_true():
    words = [text.get_text() for text in division_figure(DIVISIONS["8 alike"]).texts]
    assert any("−10 °C" in text for text in words) and "−10" in words
    assert not any("-" in text for text in words)


def test_what_ends_is_said():
    words = {text.get_text() for text in division_figure(DIVISIONS["ends at once"]).texts}
    last = max(load for load in DIVISIONS["ends at once"].curve("usual").load if load <= 6.2)
    assert f"no operating point beyond {last:.3g} A" in words
    words = {text.get_text() for text in division_figure(DIVISIONS["no point at all"]).texts}
    assert "no operating point up to 8 A" in words and "–" in words


def test_the_way_down_is_drawn_where_it_differs():
    drawn = lines(division_figure(DIVISIONS["overload"]))
    xs, ys = drawn["division-current-U1-usual-down"].T
    there = xs[np.isfinite(ys)]
    assert there[0] <= 5.3 < there[1] and there[-2] <= 6.4 < there[-1]
    assert "division-current-U1-usual-down" not in lines(division_figure(DIVISIONS["1 alike"]))


SCRIPT = """
import importlib.util, sys
spec = importlib.util.spec_from_file_location("here", sys.argv[1])
here = importlib.util.module_from_spec(spec)
spec.loader.exec_module(here)
here.write(here.divided(2), sys.argv[2], "Twice", here.TYPES, {"U1": 1.0})
"""


def test_same_division_same_bytes(tmp_path):
    """Built anew, under other settings of the library, in another process with another hash seed."""
    for ending in ("svg", "png"):
        first, second, third = (tmp_path / f"{count}.{ending}" for count in range(3))
        write(divided(2), first, "Twice", TYPES, {"U1": 1.0})
        with matplotlib.rc_context({"svg.hashsalt": None, "svg.fonttype": "none", "lines.linewidth": 9.0,
                                    "savefig.bbox": "tight", "font.size": 30.0, "axes.facecolor": "red"}):  # fmt: skip
            write(divided(2), second, "Twice", TYPES, {"U1": 1.0})
            assert matplotlib.rcParams["lines.linewidth"] == 9.0
        environment = {**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}
        subprocess.run([sys.executable, "-c", SCRIPT, __file__, str(third)], check=True, env=environment)
        assert first.read_bytes() == second.read_bytes() == third.read_bytes()


def test_a_figure_is_saved_twice_alike_in_any_order(tmp_path):
    figure = division_figure(divided(2))
    for count, ending in enumerate(("svg", "png", "svg", "png")):
        save(figure, tmp_path / f"{count}.{ending}")
    assert (tmp_path / "0.svg").read_bytes() == (tmp_path / "2.svg").read_bytes()
    assert (tmp_path / "1.png").read_bytes() == (tmp_path / "3.png").read_bytes()


def test_svg_refers_to_nothing_outside(tmp_path):
    write(divided(2), tmp_path / "division.svg", "Quiet & <small>")
    text = (tmp_path / "division.svg").read_text()
    assert set(re.findall(r'https?://[^"\s<]+', text)) == {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
    assert "DOCTYPE" not in text and "<metadata" not in text and not re.search(r"\b20\d\d-\d\d", text)
    root = ElementTree.fromstring(text)
    title = root.find("{http://www.w3.org/2000/svg}title")
    assert title is not None and title.text == "Quiet & <small>"
    assert not list(root.iter("{http://www.w3.org/2000/svg}text")), "letters are outlines"


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_png_has_its_size_and_its_paper(tmp_path, theme):
    write(divided(1), tmp_path / "division.png", theme=theme)
    content = (tmp_path / "division.png").read_bytes()
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", content[16:24])
    assert width == 1400     # 7 inches at 200 dots per inch
    assert abs(height - 590.0 / 72.0 * 200.0) <= 1.0
    assert b"matplotlib" not in content and b"tEXt" not in content
    corner = matplotlib.image.imread(tmp_path / "division.png")[0, 0, :3]
    paper = {"light": "#fbf8f1", "dark": "#151a20", "print": "#ffffff"}[theme]     # look: colours of the house
    assert np.allclose(corner, matplotlib.colors.to_rgb(paper), atol=1e-3)


def test_other_endings_are_refused(tmp_path):
    with pytest.raises(ValueError, match=r"\.svg or \.png"):
        write(divided(1), tmp_path / "division.gif")
    with pytest.raises(OSError):
        write(divided(1), tmp_path / "no such folder" / "division.svg")


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2 defines it."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in matplotlib.colors.to_rgb(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("theme", THEMES)
def test_words_and_curves_stand_out_from_the_paper(theme):
    # WCAG 2, success criterion 1.4.3: words at least 4.5 : 1
    colours = THEMES[theme]
    paper = luminance(colours.paper)
    for colour in (colours.ink, colours.ink2, colours.regulator, colours.driver, colours.pass_device):
        lighter, darker = sorted((luminance(colour), paper), reverse=True)
        assert (lighter + 0.05) / (darker + 0.05) >= 4.5


def test_devices_differ_without_colour():
    devices = DIVISIONS["3 unequal"].devices
    drawn = [(stroke.weight, stroke.dash) for stroke in strokes(devices, THEMES["print"]).values()]
    assert len(set(drawn)) == len(devices) == 5


def test_digits_are_equally_wide_so_that_figures_align():
    for lettering in (FIGURE, TEXT, SMALL):
        assert len({round(width(digit * 50, lettering), 6) for digit in "0123456789"}) == 1


blocks = st.lists(st.tuples(st.floats(0.0, 200.0), st.floats(1.0, 20.0)), min_size=1, max_size=9)


@given(blocks)
def test_blocks_beside_curves_do_not_overlap(blocks):
    wanted, heights = zip(*sorted(blocks), strict=True)
    middles = spread(wanted, heights, 0.0, 200.0)
    edges = [(middle - 0.5 * height, middle + 0.5 * height) for middle, height in zip(middles, heights, strict=True)]
    assert edges[0][0] >= -1e-9 and edges[-1][1] <= 200.0 + 1e-9
    assert all(below[1] <= above[0] + 1e-9 for below, above in pairwise(edges))


def test_blocks_with_room_stay_where_they_are_wanted():
    assert spread([10.0, 50.0], [8.0, 8.0], 0.0, 100.0) == [10.0, 50.0]
    assert spread([50.0, 50.0], [8.0, 8.0], 0.0, 100.0) == [46.0, 54.0]     # pushed apart by the same amount


@given(st.lists(st.tuples(st.floats(0.0, 345.0), st.floats(20.0, 160.0)), min_size=1, max_size=7))
def test_words_over_hairlines_do_not_touch(places):
    placed = flags([x for x, _ in places], [wide for _, wide in places], 0.0, 345.0, 3.5)
    for (x, wide), flag in zip(places, placed, strict=True):
        assert flag.x == x and abs(flag.right - flag.left - wide) < 1e-9
        assert flag.left >= 0.0 and flag.right <= 345.0 + 1e-9
    for one, other in combinations(placed, 2):
        assert one.tier != other.tier or one.right <= other.left or other.right <= one.left


def test_hairlines_keep_clear_of_words_where_they_can():
    placed = flags([62.0, 75.0, 273.0], [55.0, 55.0, 40.0], 0.0, 345.0, 3.5)
    assert [flag.tier for flag in placed] == [0, 0, 0]
    assert placed[0].right < 62.0 and placed[1].left > 75.0


def test_ticks():
    axis = Axis(0.0, 8.0, "A", rooted=True)
    assert axis.ticks(345.0, 24.0) == [0.0, 0.05, 0.2, 0.5, 1.0, 2.0, 5.0, 8.0]
    small = Axis(0.0, 0.008, "A", rooted=True)
    assert " ".join(small.number(value) for value in small.ticks(345.0, 24.0)) == "0 0.05 0.2 0.5 1 2 5 8"
    assert small.written_unit == "mA"
    assert Axis(-10.0, 160.0, "°C", rooted=False).ticks(130.0, 12.5) == [0, 20, 40, 60, 80, 100, 120, 140, 160]
    assert float(axis.share(2.0)) == 0.5     # a quarter of the load lies half way


@given(st.floats(1e-6, 1e3), st.floats(100.0, 700.0))
def test_ticks_keep_their_distance(most, length):
    axis = Axis(0.0, most, "A", rooted=True)
    places = [float(axis.share(value)) * length for value in axis.ticks(length, 12.5)]
    assert len(places) >= 3 and places[-1] <= length * (1.0 + 1e-9)
    assert all(after - before >= 12.5 - 1e-6 for before, after in pairwise(places))


def test_faces_are_the_makers_own_with_their_licence():
    for family in ("SourceSans3", "SourceSerif4"):
        licence = (FONTS / f"{family}-LICENSE.md").read_text()
        assert "SIL OPEN FONT LICENSE Version 1.1" in licence and "Reserved Font Name" in licence
    assert sum(file.stat().st_size for file in FONTS.iterdir()) < 1.7e6  # five faces, one of them only for running text
