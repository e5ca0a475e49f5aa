"""Figures on the schematic: ribbons in proportion, shares against hand numbers, colours, and the verb."""

import json
import os
import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner
from schematic_reading import Picture

from outboard.analysis.operating import OperatingPoint, operating_point
from outboard.arrangements import Design
from outboard.cli.program import program
from outboard.constants import ZERO_CELSIUS
from outboard.dossier import opened
from outboard.draw.schematic import drawing, outlined
from outboard.draw.schematic.css import DARK, LIGHT, stylesheet
from outboard.draw.schematic.labels import share_words, step
from outboard.draw.schematic.potentials import is_electrical
from outboard.draw.schematic.ribbons import FULL, MOST, Scale
from outboard.draw.schematic.shares import share
from outboard.quantity import CURRENT, POWER, shown
from outboard.report import json_drawing

ROOT = Path(__file__).resolve().parents[2]
OBSERVATORY = ROOT / "examples" / "observatory.toml"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def solved() -> tuple[Design, OperatingPoint]:
    design = opened(OBSERVATORY).design
    return design, operating_point(design, load=5.0)


def test_currents_along_conductors_balance_where_they_meet(solved: tuple[Design, OperatingPoint]) -> None:
    """Kirchhoff at every meeting: what comes along one piece leaves along the others, or into a pin."""
    design, point = solved
    wires = drawing(design, point, ribbons=True).plate.wires
    assert sum(len(wire.dots()) for wire in wires) >= 6
    for wire in wires:
        assert set(wire.currents) == set(wire.edges)
        for node in wire.degree():
            arriving = sum(current if edge[1] == node else -current
                           for edge, current in wire.currents.items() if node in edge)  # fmt: skip
            taken = sum(point.parts[part].currents[pin] for part, pin in wire.pins.get(node, ()))
            assert arriving == pytest.approx(taken, abs=1e-9)


def test_ribbons_are_in_proportion_to_current(solved: tuple[Design, OperatingPoint]) -> None:
    """At full load the source's ribbon is 26 units wide, and Q2's as much less as its current is."""
    design, point = solved
    root = ElementTree.fromstring(drawing(design, point, ribbons=True).svg)
    strokes = [path for path in root.iter(f"{SVG}path") if path.get("class") == "rf"]
    widths = {round(float(path.get("stroke-width", "")), 2) for path in strokes}
    collector = point.parts["Q2"].currents["collector"]
    assert round(FULL * abs(point.parts["input"].currents["plus"]) / 5.0, 2) in widths
    assert round(FULL * collector / 5.0, 2) in widths
    assert max(widths) < FULL + 0.2


def test_widths_add_until_the_figure_alone_speaks() -> None:
    scale = Scale(5.0)
    assert scale.width(2.0) + scale.width(3.0) == pytest.approx(scale.width(5.0)) == pytest.approx(FULL)
    assert scale.width(-2.0) == scale.width(2.0)
    assert scale.width(50.0) == MOST
    assert scale.width(0.01) == 0.0


def test_the_scale_stays_when_the_load_moves(solved: tuple[Design, OperatingPoint]) -> None:
    """Nothing but figures and widths changes with the load: every symbol stays where it is."""
    design, point = solved
    full, light = (drawing(design, at, ribbons=True).plate for at in (point, operating_point(design, load=0.5)))
    assert full.scale == light.scale
    assert [(column.x, middle) for column, _, middle in full.seats()] == [
        (column.x, middle) for column, _, middle in light.seats()]  # fmt: skip


def test_share_is_the_largest_of_the_shares_of_a_part(solved: tuple[Design, OperatingPoint]) -> None:
    """Q2 by hand from the ratings of its sheet and the point; R9 from its 0.4 W; the source has none."""
    design, point = solved
    q2, found = design.part("Q2"), point.parts["Q2"]
    across = point.nets["in"] - point.nets["out"]
    by_hand = (
        (found.junction - ZERO_CELSIUS - 25.0) / (q2.ratings["T_J"].value - ZERO_CELSIUS - 25.0),
        found.currents["collector"] / q2.ratings["I_C"].value, across / q2.ratings["V_CEO"].value,
    )  # fmt: skip
    assert share(q2, point) == pytest.approx(max(by_hand))
    assert share(design.part("R9"), point) == pytest.approx(point.nets["out"] ** 2 / 1500.0 / 0.4, rel=1e-6)
    assert share(design.part("input"), point) is None


def test_a_share_that_is_over_or_not_known_says_so() -> None:
    assert [step(used) for used in (None, 0.0, 0.24, 0.25, 0.5, 0.75, 0.9, 1.0, 1.01)] == [
        "t0", "t1", "t1", "t2", "t3", "t4", "t5", "t5", "tx"]  # fmt: skip
    assert (share_words(None), share_words(0.65), share_words(1.53)) == ("?", "65 %", "▲ 153 %")


def luminance(colour: str) -> float:
    """Relative luminance of sRGB, as WCAG 2.1 defines it (formula from memory)."""
    channels = [int(colour[n : n + 2], 16) / 255.0 for n in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_words_are_readable_on_every_tint_and_tints_differ_in_lightness_alone(colours: dict[str, str]) -> None:
    """4.5 is what WCAG 2.1 (1.4.3) asks of text; steps of lightness keep their order without any sense of hue."""
    steps = [colours[f"t{number}"] for number in range(6)]
    assert min(contrast(colours["ink"], tint) for tint in steps) >= 4.5
    assert contrast(colours["paper"], colours["tx"]) >= 4.5
    assert min(contrast(colours[name], colours["paper"]) for name in ("ink", "ink2", "heat")) >= 4.5
    falling = [abs(luminance(tint) - luminance(colours["t0"])) for tint in steps]
    assert falling == sorted(falling)
    assert min(contrast(a, b) for a, b in pairwise(steps)) >= 1.1
    # CIE 1976 L* (from memory): by night, where there is less room, every step still has its share of it
    light = [116.0 * luminance(tint) ** (1.0 / 3.0) - 16.0 for tint in steps]
    assert min(abs(a - b) for a, b in pairwise(light)) >= (6.0 if colours is DARK else 4.5)


def test_a_negative_twin_is_drawn_as_the_positive_one() -> None:
    design = opened(ROOT / "tests" / "reference" / "networks" / "negative-rail.toml").design
    plate = drawing(design, operating_point(design)).plate
    assert plate.levels.y[plate.levels.of_net["in", 0]] == 0.0
    assert "−18" not in drawing(design).svg


def test_what_cannot_be_drawn_is_refused(solved: tuple[Design, OperatingPoint]) -> None:
    design, point = solved
    with pytest.raises(ValueError, match="need an operating point"):
        drawing(design, ribbons=True)
    with pytest.raises(ValueError, match="runaway"):
        drawing(design, replace(point, outcome="runaway"))
    with pytest.raises(ValueError, match="no part"):
        drawing(replace(design, parts=()))


def test_outlines_keep_every_word_that_has_an_id(solved: tuple[Design, OperatingPoint]) -> None:
    svg = drawing(*solved).svg
    before, after = ElementTree.fromstring(svg), ElementTree.fromstring(outlined(svg))
    assert not list(after.iter(f"{SVG}text"))
    assert {e.get("id") for e in before.iter()} == {e.get("id") for e in after.iter()}


def test_another_process_draws_the_same_bytes(tmp_path: Path, solved: tuple[Design, OperatingPoint]) -> None:
    script = f"from outboard.dossier import opened; from outboard.draw.schematic import schematic; import sys; " \
             f"sys.stdout.buffer.write(schematic(opened({str(OBSERVATORY)!r}).design).encode())"  # fmt: skip
    ours = drawing(solved[0]).svg.encode()
    for seed in ("1", "2"):
        environment = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT / "src")}
        done = subprocess.run([sys.executable, "-c", script], capture_output=True, env=environment, check=True)
        assert done.stdout == ours


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(program, ["draw", *words], standalone_mode=False)
    return result.return_value, result.output


def test_the_verb_writes_prints_and_answers(tmp_path: Path) -> None:
    file = tmp_path / "drawing.svg"
    code, output = run(str(OBSERVATORY), "--out", str(file), "--ribbons", "--load", "5 A", "--theme", "print")
    assert code == 0 and "drawn into" in output
    text = file.read_text(encoding="utf-8")
    assert ElementTree.fromstring(text).get("data-theme") == "print" and "4.53 A" in text
    code, output = run(str(OBSERVATORY), "--json")
    found = json.loads(output)
    assert code == 0 and found["outcome"] is None and found["svg"].startswith("<svg")
    slots = {"name": "name-Q2", "value": "value-Q2"}
    assert found["parts"]["Q2"] == {"id": "part-Q2", "role": "pass device", "slots": slots}
    assert found["nets"]["y"] == {"id": "net-y", "slots": {}}
    assert run(str(OBSERVATORY))[1] == found["svg"]


def test_the_zigzag_of_ieee_comes_on_request() -> None:
    plain, other = run(str(OBSERVATORY))[1], run(str(OBSERVATORY), "--symbols", "ieee")[1]
    assert 'class="zig"' in other and 'class="zig"' not in plain


@pytest.mark.parametrize(("words", "told"), [
    (("--out", "drawing.png"), "ends in .svg"), (("--symbols", "us"), "iec or ieee"),
    (("--theme", "blue"), "light, dark or print"),
])  # fmt: skip
def test_mistakes_are_told(words: tuple[str, ...], told: str) -> None:
    result = CliRunner().invoke(program, ["draw", str(OBSERVATORY), *words, "--json"])
    assert result.exit_code == 2 and told in result.output


def test_without_an_operating_point_it_draws_no_figures(tmp_path: Path) -> None:
    file = tmp_path / "drawing.svg"
    code, output = run(str(OBSERVATORY), "--out", str(file), "--values", "--load", "500 A")
    assert code == 3 and "no operating point" in output
    assert "voltage-out" not in file.read_text(encoding="utf-8")


@pytest.mark.parametrize("verb", [("divide", "--points", "12"), ("derive",), ("verify",), ("verify", "--draws", "20")])
def test_every_figure_comes_on_light_dark_and_white_paper(verb: tuple[str, ...], tmp_path: Path) -> None:
    """The paper of each theme is in the file, that of the others is not."""
    from outboard.draw.style import THEMES

    for theme, colours in THEMES.items():
        file = tmp_path / f"{theme}.svg"
        words = [verb[0], str(OBSERVATORY), *verb[1:], "--figure", str(file), "--theme", theme, "--quiet"]
        assert CliRunner().invoke(program, words).exit_code in (0, 1, 3)
        paper = re.search(r'id="patch_1">\s*<path[^>]*style="fill: (#\w+)', file.read_text(encoding="utf-8"))
        assert paper is not None and paper[1] == colours.paper


def test_a_script_finds_every_figure_by_the_ids_that_are_listed(solved: tuple[Design, OperatingPoint]) -> None:
    """Each listed id is there once, says what it tells, and holds that figure of the point."""
    design, point = solved
    drawn = drawing(design, point, ribbons=True)
    listed = json_drawing.drawing(drawn, None, point)
    by_id = {element.get("id"): element for element in ElementTree.fromstring(drawn.svg).iter() if element.get("id")}
    parts = listed["parts"]
    assert isinstance(parts, dict) and set(parts) == {part.name for part in design.parts if is_electrical(part.part)}
    for name, told in parts.items():
        assert {"power", "state", "share"} <= set(told["slots"]) or name in ("input", "load")
        for what, slot in told["slots"].items():
            assert by_id[slot].get("data-slot") == what
    assert parts["Q2"]["slots"].keys() == {"name", "value", "power", "state", "share", "current", "heat"}
    assert by_id["current-Q2"].text == shown(point.parts["Q2"].currents["collector"], CURRENT)
    assert by_id["power-Q2"].text == shown(point.parts["Q2"].power or 0.0, POWER)
    nets = listed["nets"]
    assert isinstance(nets, dict)
    for net, told in nets.items():
        volts = 0.0 if net == "ground" else point.nets[net]
        assert float((by_id[told["slots"]["voltage"]].text or "").removesuffix(" V")) == pytest.approx(volts, abs=0.01)


def test_a_negative_source_has_its_minus_on_top_and_a_plain_value() -> None:
    """Written as −21 V from `in` to ground: the upper end is the negative one, and 21 V is how much."""
    svg = drawing(opened(ROOT / "examples" / "audio-rack-negative.toml").design).svg
    root = ElementTree.fromstring(svg)
    (source,) = [group for group in root.iter(f"{SVG}g") if group.get("id") == "part-input"]
    (signs,) = [path.get("d", "") for path in source.iter(f"{SVG}path") if path.get("d", "").startswith("M-31")]
    uprights = [float(end) for end in re.findall(r"V(-?[\d.]+)", signs)]
    assert uprights == [29.5], "the upright stroke of the plus is below the middle"
    assert "21 V" in svg and "−21 V" not in svg


def test_a_breakdown_diode_has_one_hook_by_iec_and_two_by_ieee() -> None:
    """IEC 60617 breakdown effect, one hook; IEEE 315 a bar bent at both ends (both from memory)."""
    design = opened(ROOT / "examples" / "shelf-lights-pmos.toml").design
    bends = []
    for style in ("iec", "ieee"):
        root = ElementTree.fromstring(drawing(design, symbols=style).svg)
        (diode,) = [group for group in root.iter(f"{SVG}g") if group.get("id") == "part-DG"]
        (bar,) = [path.get("d", "") for path in diode.iter(f"{SVG}path") if path.get("class") == "pl"]
        bends.append(bar.count("V"))
    assert bends == [1, 2]


@pytest.mark.parametrize("name", ["adjustable-bench-high", "audio-rack-negative", "radio-shack", "model-railway"])
def test_the_sign_of_ground_hangs_on_a_conductor_below_its_ribbon(name: str) -> None:
    """Never at a rounded corner, where nothing would be above it; its bars are clear of half the widest ribbon."""
    design = opened(ROOT / "examples" / f"{name}.toml").design
    seen = Picture(drawing(design, operating_point(design), ribbons=True))
    (sign,) = [path.get("d", "") for path in seen.root.iter(f"{SVG}path") if path.get("class") == "ln sign"]
    x, y, foot = (float(word) for word in re.findall(r"-?[\d.]+", sign))
    assert (x, y) in seen.dots
    assert foot - y > FULL / 2.0


def test_a_finger_finds_every_part(solved: tuple[Design, OperatingPoint]) -> None:
    """On a telephone a sheet of 700 units is about 390 wide: 52 units are 29 there, and the words count too."""
    root = ElementTree.fromstring(drawing(*solved, ribbons=True).svg)
    parts = [group for group in root.iter(f"{SVG}g") if (group.get("class") or "").startswith("part ")]
    assert len(parts) >= 7
    for group in parts:
        sizes = [(float(hit.get("width", "")), float(hit.get("height", ""))) for hit in group.iter(f"{SVG}rect")
                 if hit.get("class") == "hit"]  # fmt: skip
        assert min(sizes[0]) >= 52.0 and len(sizes) >= 1


def test_every_word_inside_a_symbol_that_is_over_is_in_the_colour_of_paper() -> None:
    """Name, value and pins of a regulator stand on the darkest tint."""
    (rule,) = [words for words in re.findall(r"([^{}]*)\{fill:var\(--paper\)\}", stylesheet()) if ".tx" in words]
    assert {".plate .tx.part text", ".plate .tx.part .w", ".plate .tx.part .t"} <= set(rule.split(","))
