"""Where the watts go: rectangles tile the source's own, every part has its power in them, words touch nothing."""

import json
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner

from outboard.analysis.operating import OperatingPoint, operating_point
from outboard.analysis.watts import FEED, NotTiled, Tile, Tiling, tiling
from outboard.arrangements import Design, designed
from outboard.brief import read_text
from outboard.cli.program import program
from outboard.dossier import opened, ran, with_operating_point
from outboard.draw.placing import Box
from outboard.draw.style import SMALL, TEXT, width
from outboard.draw.watts import HIGH, LEFT, LINE, PART, RIGHT, laid_out, named_levels, watts_figure

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
SHARES = (0.0, 0.3, 1.0)

BY_HAND = """[surroundings]
ambient = "25 °C"
[[parts]]
name = "input"
kind = "source"
pins = { plus = "in", minus = "ground" }
voltage = "10 V"
resistance = "1 Ω"
[[parts]]
name = "R1"
kind = "resistor"
pins = { a = "in", b = "out" }
resistance = "4 Ω"
[[parts]]
name = "R2"
kind = "resistor"
pins = { a = "out", b = "ground" }
resistance = "10 Ω"
[[parts]]
name = "load"
kind = "load"
pins = { plus = "out", minus = "ground" }
resistance = "10 Ω"
"""


def solved_at(path: Path, share: float) -> tuple[Design, OperatingPoint]:
    dossier = opened(path)
    output = dossier.design.brief.output
    load = None if output is None else output.load.least + share * (output.load.most - output.load.least)
    return dossier.design, ran(with_operating_point(dossier, None, load, None).operating_point)


@pytest.fixture(scope="module", params=[(path, share) for path in EXAMPLES for share in SHARES],
                ids=lambda one: f"{one[0].stem} {one[1]:g}")  # fmt: skip
def found(request: pytest.FixtureRequest) -> tuple[Design, OperatingPoint, Tiling]:
    design, point = solved_at(*request.param)
    return design, point, tiling(design, point)


def test_by_hand() -> None:
    """10 V over 1 Ω + 4 Ω + (10 Ω ‖ 10 Ω) is 1 A: 10 W, of which the feed has 1, R1 4, R2 and the load 2.5 each."""
    design = designed(read_text(BY_HAND, "hand.toml"))
    made = tiling(design, operating_point(design))
    assert made.power == pytest.approx(10.0) and made.useful == ("load",)
    for part, power in ((FEED, 1.0), ("R1", 4.0), ("R2", 2.5), ("load", 2.5)):
        assert made.of(part) == pytest.approx(power), part
    (tile,) = (tile for tile in made.tiles if tile.part == "R1")
    assert (tile.high, tile.low) == (pytest.approx(9.0), pytest.approx(5.0))


def test_areas_add_up_to_what_the_source_gives(found: tuple[Design, OperatingPoint, Tiling]) -> None:
    design, point, made = found
    source = design.part("input").part.values
    given = abs(source["voltage"] if point.conditions.input_voltage is None else point.conditions.input_voltage)
    assert sum(tile.power for tile in made.tiles) == pytest.approx(made.power, rel=1e-9)
    assert made.power == pytest.approx(given * abs(point.parts["input"].currents["plus"]), rel=1e-9)


def test_every_part_has_its_own_power(found: tuple[Design, OperatingPoint, Tiling]) -> None:
    design, point, made = found
    for part in design.parts:
        power = point.parts[part.name].power
        if power is not None and part.name != "input" and part.part.kind != "thermal_resistance":
            assert made.of(part.name) == pytest.approx(power, abs=1e-9 * made.power), part.name


def test_no_two_rectangles_share_anything(found: tuple[Design, OperatingPoint, Tiling]) -> None:
    """With the sum of the areas this says that they tile."""
    _, _, made = found

    def shared(one: Tile, other: Tile) -> float:
        across = min(one.right, other.right) - max(one.left, other.left)
        return max(across, 0.0) * max(min(one.high, other.high) - max(one.low, other.low), 0.0)

    for tile in made.tiles:
        assert 0.0 <= tile.left < tile.right <= made.current * (1 + 1e-12)
        assert made.bottom <= tile.low < tile.high <= made.top
    assert sum(shared(*pair) for pair in combinations(made.tiles, 2)) <= 1e-9 * made.power


def test_words_touch_nothing(found: tuple[Design, OperatingPoint, Tiling]) -> None:
    """Words within lie in a rectangle of their part, words beside keep apart, and no leader runs through words."""
    _, _, made = found
    layout = laid_out(made, 100.0)
    for words in layout.within:
        own = [box for tile, box in layout.boxes if words.lines[0][0].strip().casefold() == tile.part.casefold()]
        assert any(box.left <= words.box.left and words.box.right <= box.right and box.bottom <= words.box.bottom
                   and words.box.top <= box.top for box in own)  # fmt: skip
    heights = [middle for _, middle in layout.beside]
    assert all(upper - lower >= LINE - 1e-9 for lower, upper in pairwise(heights))
    for lead, _ in layout.beside:
        assert width(f"{lead.words[0]} ", PART) + width(lead.words[1], TEXT) < 104.0 - 18.0
        line = Box(lead.x, lead.y - 0.5, RIGHT, lead.y + 0.5)
        assert not any(line.meets(words.box) for words in layout.within)
        assert LEFT <= lead.x <= RIGHT and 100.0 <= lead.y <= 100.0 + HIGH


def test_every_part_is_lettered_or_listed(found: tuple[Design, OperatingPoint, Tiling]) -> None:
    _, _, made = found
    layout = laid_out(made, 0.0)
    told = {words.lines[0][0].strip() for words in layout.within} | {lead.words[0] for lead, _ in layout.beside}
    told |= {words.partition("\u00a0")[0] for words in layout.listed}
    wanted = {part for part in (tile.part for tile in made.tiles) if made.of(part) >= 1e-6}
    assert {name.casefold() for name in told} == {name.casefold() for name in wanted}


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_the_figure_is_drawn_in_every_theme(theme: str) -> None:
    design, point = solved_at(EXAMPLES[0], 1.0)
    made = tiling(design, point)
    figure = watts_figure(made, "at full load", "A title", theme)  # type: ignore[arg-type]
    blocks = [artist.get_gid() for artist in figure.get_children() if (artist.get_gid() or "").startswith("watts-")]
    assert sorted(blocks) == sorted(f"watts-{tile.part}" for tile in made.tiles)
    assert width("ground 88.8 V", SMALL) < LEFT - 24.0


def test_levels_at_the_axis_keep_apart(found: tuple[Design, OperatingPoint, Tiling]) -> None:
    _, _, made = found
    values = [value for _, value in named_levels(made)]
    assert values == sorted(values) and len(values) >= 2
    least = 0.02 * (made.top - made.bottom)
    assert all(upper - lower > least for lower, upper in pairwise(values))


def test_what_has_no_such_picture_is_refused() -> None:
    """A battery on the output gives power back."""
    text = BY_HAND + """[[parts]]
name = "B2"
kind = "load"
pins = { plus = "out", minus = "ground" }
battery = "12 V"
resistance = "1 Ω"
"""
    design = designed(read_text(text, "hand.toml"))
    with pytest.raises(NotTiled, match="gives"):
        tiling(design, operating_point(design))


def test_draw_writes_it_and_tells_its_rectangles(tmp_path: Path) -> None:
    picture = tmp_path / "watts.svg"
    told = CliRunner().invoke(program, ["draw", str(EXAMPLES[0]), "--watts", str(picture), "--load", "1A", "--json"])
    assert told.exit_code == 0
    watts = json.loads(told.output)["watts"]
    assert sum(tile["power_W"] for tile in watts["tiles"]) == pytest.approx(watts["power_W"], rel=1e-9)
    assert picture.read_text(encoding="utf-8").count('id="watts-') == len(watts["tiles"])


def test_a_picture_needs_a_name_that_says_how(tmp_path: Path) -> None:
    told = CliRunner().invoke(program, ["draw", str(EXAMPLES[0]), "--watts", str(tmp_path / "watts.txt")])
    assert told.exit_code == 2
