"""Margins, ladders of heat, windows and boundaries as figures: no words on words, the numbers that were given, alike
without colour. The findings are made by hand; the examples are drawn as they are found."""

from pathlib import Path
from xml.etree import ElementTree

import pytest
from lettering import no_words_touch
from matplotlib.figure import Figure

from outboard.analysis.operating import Conditions as At
from outboard.analysis.operating import OperatingPoint, PartPoint
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Conditions, Finding, Verdict
from outboard.cli.verify import hottest_point
from outboard.dossier import opened, ran, with_derivation, with_verdict
from outboard.draw.boundaries import boundaries_figure
from outboard.draw.heat_ladder import Ladder, draw_ladders, ladder_height, ladders
from outboard.draw.margins import margins_figure, write
from outboard.draw.page import page
from outboard.draw.sheet import save, settings
from outboard.draw.style import THEMES
from outboard.draw.windows import windows_figure
from outboard.explain.asked import Asked
from outboard.whatif.value_window import ValueWindow

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SVG = "{http://www.w3.org/2000/svg}"
FINDINGS = (
    Finding("output not too low", None, FAIL, 10.0, 11.4, -1.4, "V", rest=0.0, in_words="16 V in, 5 A, least gain Q1"),
    Finding("current", "Q2", FAIL, 45.0, 15.0, -30.0, "A", in_words="20.5 V in, 5 A"),
    Finding("stability", "U1", UNDECIDED, missing=("resistance of C2 is not given", "no sheet says " + "very " * 30)),
    Finding("junction temperature", "Q1", PASS, 143.5, 150.0, 6.5, "°C", rest=40.0, in_words=", ".join(["most"] * 40)),
    Finding("junction temperature", "Q2", PASS, 40.0, 150.0, 110.0, "°C", rest=40.0, rests_on=("typical: R_thJC",)),
    Finding("an operating point everywhere", None, PASS),
    Finding("dissipation", "Q3", PASS, 0.001, 15.0, 14.999, "W", alike=tuple(f"Q{n}" for n in range(3, 11))),
)
VERDICT = Verdict(FINDINGS, Conditions(1, 1, 0, 0, 0.0))
WINDOWS = (
    ValueWindow("R1", 2.2, 1.4, 25.0, "current within the guaranteed range U1", "output too high " * 12, ()),
    ValueWindow("R2", 15.0, None, 47.0, "", "headroom", ()), ValueWindow("R3", 0.1, 0.099, None, "it", "", ()),
    ValueWindow("R10", 1500.0, None, None, "", "", ()), ValueWindow("R11", 4.7e6, 1.0e3, 9.1e6, "a", "b", ()),
)  # fmt: skip
CLIMBS = (
    Ladder("Q2", 26.0, (("ambient", 40.0), ("sink main", 69.0), ("case", 82.0), ("junction", 146.0)), 150.0),
    Ladder("U1", 1.7, (("ambient", 40.0), ("sink main", 69.0), ("case", 69.3), ("junction", 78.0)), 125.0),
    Ladder("Q1", 0.01, (("ambient", 40.0), ("junction", 40.1)), 150.0),
    Ladder("Q9", 99.0, (("ambient", 40.0), ("sink main", 69.0), ("case", 149.0), ("junction", 240.0)), None),
)
POINT = OperatingPoint("solved", At(20.5, 5.0, 313.15))


def climbing() -> Figure:
    with settings():
        sheet, y = page("Ladders", "by hand", ladder_height(CLIMBS), "caption", "light", "ladders")
        draw_ladders(sheet, y, CLIMBS, POINT)
    return sheet.figure


def example(name: str) -> Figure:
    dossier = with_verdict(opened(EXAMPLES / f"{name}.toml"))
    return margins_figure(ran(dossier.verdict), name, dossier.design, hottest_point(dossier))


def derived(name: str) -> Figure:
    return boundaries_figure(ran(with_derivation(opened(EXAMPLES / f"{name}.toml"), Asked()).derivation), name)


FIGURES = {
    "margins by hand": lambda: margins_figure(VERDICT, "A title that takes more than one line " * 4),
    "nothing judged": lambda: margins_figure(Verdict((), Conditions(0, 0, 0, 0, 0.0))),
    "ladders by hand": climbing, "windows": lambda: windows_figure(WINDOWS, "E24", "Windows"),
    "no windows": lambda: windows_figure((), "E12"),
    **{f"margins {name}": lambda name=name: example(name) for name in ("observatory", "wrong-attic-server")},
    **{f"boundaries {name}": lambda name=name: derived(name) for name in ("observatory", "model-railway")},
}  # fmt: skip


@pytest.mark.parametrize("name", FIGURES)
def test_no_words_touch_and_none_leave_the_sheet(name: str) -> None:
    no_words_touch(FIGURES[name]())


def bars(figure: Figure, beginning: str) -> dict[str, tuple[float, float]]:
    return {line.get_gid(): tuple(line.get_xdata()) for line in figure.findobj() if
            str(getattr(line, "get_gid", lambda: "")()).startswith(beginning)}  # type: ignore[attr-defined, misc]


def test_bars_lie_where_the_numbers_say() -> None:
    found = bars(margins_figure(VERDICT), "margin-")
    q1, q2 = found["margin-junction-temperature-Q1"], found["margin-junction-temperature-Q2"]
    assert (q1[1] - q1[0]) / (q2[1] - q2[0]) == pytest.approx(6.5 / 110.0)
    low, current = found["margin-output-not-too-low"], found["margin-current-Q2"]
    assert low[1] < low[0] and (low[1] - low[0]) / (current[1] - current[0]) == pytest.approx(1.4 / 11.4)


def test_steps_of_a_ladder_are_kelvins() -> None:
    found = bars(climbing(), "heat-Q2")
    rungs = (found[f"heat-Q2-{name}"] for name in ("sink main", "case", "junction"))
    sink, case, junction = (end - begin for begin, end in rungs)
    assert sink / case == pytest.approx(29.0 / 13.0) and junction / case == pytest.approx(64.0 / 13.0)


def test_ladders_follow_from_resistances_and_powers() -> None:
    """Each step is power times thermal resistance: 2N3055 with 1.52 K/W to its case, 0.5 K/W of pad in the example."""
    dossier = opened(EXAMPLES / "observatory.toml")
    point = hottest_point(dossier)
    q2 = next(ladder for ladder in ladders(dossier.design, point) if ladder.part == "Q2")
    (_, air), (_, sink), (_, case), (_, junction) = q2.rungs
    heat = sum(at.power or 0.0 for name, at in point.parts.items() if name in ("U1", "Q1", "Q2"))
    assert air == pytest.approx(40.0)
    assert sink - air == pytest.approx(0.7 * heat, rel=1e-6)
    assert case - sink == pytest.approx(0.5 * q2.power, rel=1e-6)
    assert junction - case == pytest.approx(1.52 * q2.power, rel=1e-6)


def test_ladders_leave_out_what_has_no_heat_path() -> None:
    dossier = opened(EXAMPLES / "observatory.toml")
    assert ladders(dossier.design, OperatingPoint("solved", POINT.conditions, parts={"Q2": PartPoint({}, 1.0)})) == ()


def test_verdicts_differ_by_word_and_shape_without_colour() -> None:
    figure = margins_figure(VERDICT, theme="print")
    assert len(set(THEMES["print"].verdicts)) == 1
    assert {text.get_text() for text in figure.texts} >= {PASS, FAIL, UNDECIDED}


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_verdicts_stand_out_from_the_paper(theme: str) -> None:
    """Contrast of at least 4.5 as WCAG 2.1 computes it, 1.4.3 (formula from memory)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[n:n + 2], 16) / 255.0 for n in (1, 3, 5)]
        red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    paper = luminance(THEMES[theme].paper)
    for colour in (*THEMES[theme].verdicts, THEMES[theme].heat):
        high, low = sorted((paper, luminance(colour)), reverse=True)
        assert (high + 0.05) / (low + 0.05) >= 4.5


def test_svg_has_title_role_and_names_and_is_always_the_same(tmp_path: Path) -> None:
    for name in ("a.svg", "b.svg"):
        write(VERDICT, tmp_path / name, "By hand")
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    assert root.get("role") == "img" and root.findtext(f"{SVG}title") == "By hand"
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids)) and "margin-junction-temperature-Q1" in ids


def test_windows_end_where_they_end(tmp_path: Path) -> None:
    found = bars(windows_figure(WINDOWS, "E24"), "window-")
    save(windows_figure(WINDOWS, "E24"), tmp_path / "windows.svg")
    wide = {name: end - begin for name, (begin, end) in found.items()}
    assert wide["window-R10"] > wide["window-R1"] > 0.0        # unbounded: over the whole scale
