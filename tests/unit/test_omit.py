"""What parts are for: designs with a planted useless, harmful and missing part must give the planted answer."""

import json
from pathlib import Path

import pytest

from outboard.arrangements.design import Design
from outboard.cli.program import main
from outboard.dossier import opened
from outboard.whatif.omit import EARNS, ESSENTIAL, HARMFUL, INDIFFERENT, Purpose, omission
from outboard.whatif.value_window import value_windows
from outboard.whatif.variant import neighbours, next_type, with_value

EXAMPLES = Path(__file__).parents[2] / "examples"


def planted(tmp_path: Path, more: str, name: str = "model-railway") -> Design:
    """An example with more parts in it."""
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    file = tmp_path / "planted.toml"
    file.write_text(text + more, encoding="utf-8")
    return opened(file).design


def purpose_of(design: Design, name: str) -> Purpose:
    (found,) = omission(design, (name,)).purposes
    return found


def resistor(name: str, a: str, b: str, resistance: str) -> str:
    """One more resistor as a design file writes it."""
    lines = (
        "[[parts]]", f'name = "{name}"', 'kind = "resistor"', f'pins = {{ a = "{a}", b = "{b}" }}',
        f'resistance = "{resistance}"', 'rated_power = "5 W"',
    )  # fmt: skip
    return "\n" + "\n".join(lines) + "\n"


def test_a_resistor_that_does_nothing_is_indifferent(tmp_path: Path) -> None:
    design = planted(tmp_path, resistor("R20", "in", "ground", "1 MΩ"))
    assert purpose_of(design, "R20").word == INDIFFERENT


def test_a_resistor_that_lifts_the_idle_output_is_harmful(tmp_path: Path) -> None:
    """From input to output it feeds the output past the regulator, which cannot sink: without it the verdict mends."""
    design = planted(tmp_path, resistor("R21", "in", "out", "560 Ω"), "observatory")
    found = purpose_of(design, "R21")
    assert found.word == HARMFUL
    assert found.without.some("mends")


def test_the_base_resistor_of_a_bypass_keeps_its_output_from_climbing() -> None:
    """Without it quiescent current becomes base current and the idle output climbs (common practice, no source)."""
    found = purpose_of(opened(EXAMPLES / "model-railway.toml").design, "R1")
    assert found.word == ESSENTIAL
    broken = [change.after.requirement for change in found.without.some("breaks")]
    assert any("not too high" in requirement for requirement in broken)


def test_the_bleed_is_for_hot_leakage_without_load() -> None:
    found = purpose_of(opened(EXAMPLES / "observatory.toml").design, "R2")
    assert found.word in (ESSENTIAL, EARNS)
    assert found.why is not None
    assert found.why.after.requirement.startswith("output")
    assert found.why.after.corner["ambient_C"] == 40.0
    assert found.why.after.corner["load_A"] == 0.0


def test_a_missing_part_shows_as_a_failure_that_putting_it_in_mends(tmp_path: Path) -> None:
    """The observatory without its bleed fails: the verdict on the part that is there, seen from the other side."""
    text = (EXAMPLES / "observatory.toml").read_text(encoding="utf-8")
    lines = ['bleed = "none"' if line.startswith("bleed") else line for line in text.splitlines()]
    file = tmp_path / "without.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    assert omission(opened(file).design, ("R9",)).verdict.verdict == "FAIL"


def test_a_resistor_from_nowhere_to_nowhere_is_indifferent(tmp_path: Path) -> None:
    """Ohm's law: 1 MΩ across 26 V takes 26 µA of 3 A."""
    design = planted(tmp_path, resistor("R22", "out", "ground", "1 MΩ"), "adjustable-bench-high")
    assert purpose_of(design, "R22").word == INDIFFERENT


def test_a_resistor_that_robs_the_reference_is_harmful(tmp_path: Path) -> None:
    """Beside the lower resistor of the divider it pulls the output down: 10 kΩ beside some kΩ, far past 10 %."""
    design = planted(tmp_path, resistor("R23", "ref", "ground", "10 kΩ"), "adjustable-bench-high")
    found = purpose_of(design, "R23")
    assert found.word == HARMFUL
    assert found.without.some("mends")


def test_thinned_corners_agree_with_all_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Worst corners and their neighbours find what all corners find: word, breaks and the verdict of each variant."""
    design = opened(EXAMPLES / "museum-follower.toml").design
    whole = omission(design)
    monkeypatch.setattr("outboard.whatif.near_worst.MANY", 0)
    thin = omission(design)
    assert thin.thinned and not whole.thinned
    for one, other in zip(whole.purposes, thin.purposes, strict=True):
        assert one.word == other.word
        assert [tried.verdict for tried in one.tried] == [tried.verdict for tried in other.tried]


def test_putting_back_is_bit_identical() -> None:
    design = opened(EXAMPLES / "observatory.toml").design
    there = with_value(with_value(design, ("R2",), 33.0), ("R2",), design.part("R2").part.values["resistance"])
    assert there.components == design.components


def test_neighbours_are_two_preferred_values_on_each_side() -> None:
    """E12: 10 12 15 18 22 27 (IEC 60063)."""
    assert neighbours(15.0, "E12") == pytest.approx((10.0, 12.0, 18.0, 22.0))
    assert neighbours(16.0, "E12") == pytest.approx((12.0, 15.0, 18.0, 22.0))


def test_next_type_is_of_the_same_kind_and_polarity() -> None:
    from outboard.parts import find

    for name in ("BD140", "2N3055", "7812"):
        part = find(name)
        other = next_type(part)
        assert other is None or ((other.kind, other.polarity) == (part.kind, part.polarity) and other.name != name)


def test_window_holds_its_value_and_fails_just_outside() -> None:
    from outboard.checks.verification import verified

    design = opened(EXAMPLES / "model-railway.toml").design
    (window,) = value_windows(design, ("R9",), "E12")
    assert window.most is not None
    assert window.value < window.most
    assert verified(with_value(design, ("R9",), window.most), 8).verdict == "PASS"
    assert verified(with_value(design, ("R9",), window.most * 1.02), 8).verdict != "PASS"


def test_verb_tells_and_takes_only_parts_that_are_there(capsys: pytest.CaptureFixture[str]) -> None:
    file = str(EXAMPLES / "model-railway.toml")
    assert main(["omit", file, "--part", "R9", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["parts"]["R9"]["word"] == ESSENTIAL
    assert main(["omit", file, "--part", "R99"]) == 2
    assert "there is no part 'R99'" in capsys.readouterr().err


def said_of(capsys: pytest.CaptureFixture[str], name: str, part: str) -> str:
    main(["omit", str(EXAMPLES / f"{name}.toml"), "--part", part])
    return " ".join(capsys.readouterr().out.split())


def test_reasons_name_the_mechanism(capsys: pytest.CaptureFixture[str]) -> None:
    """The classical answers to "what is this resistor" (common practice, no source)."""
    for name, part, words in (
        ("observatory", "R2", "hot leakage finds no other path than the base of Q2"),
        ("model-railway", "R1", "its quiescent current too, is base current of Q1"),
        ("observatory", "R9", "U1 cannot sink"),
        ("adjustable-bench-low", "RA", "the bare reference comes out"),
    ):
        said = said_of(capsys, name, part)
        assert f"without {part} " in said and words in said
        assert "operating point everywhere" not in said


def test_a_limiter_is_not_called_useless_without_a_word(capsys: pytest.CaptureFixture[str]) -> None:
    assert "it takes over in an overload" in said_of(capsys, "radio-shack", "QS")


def test_a_regulator_is_essential_even_where_the_design_fails() -> None:
    """Without it nothing drives the pass device: the output is gone, however cool everything stays then."""
    assert purpose_of(opened(EXAMPLES / "wrong-attic-server.toml").design, "U1").word == ESSENTIAL


def test_like_parts_are_tried_once_and_named_for_all(capsys: pytest.CaptureFixture[str]) -> None:
    found = omission(opened(EXAMPLES / "workshop-feed.toml").design, ("R3", "R4"))
    assert [purpose.alike for purpose in found.purposes] == [("R3", "R4")]
    assert main(["omit", str(EXAMPLES / "workshop-feed.toml"), "--part", "R4", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["parts"]
    assert told["R3"] == told["R4"] and told["R3"]["alike"] == ["R3", "R4"]


def test_a_part_that_burns_with_another_value_does_not_pass(tmp_path: Path) -> None:
    """At most 25 V over 120 Ω are 5.2 W of 6 W, over 82 Ω they are 7.6 W (Ohm's law)."""
    design = planted(tmp_path, resistor("R24", "out", "ground", "120 Ω").replace('"5 W"', '"6 W"'), "workshop-feed")
    found = {tried.variant.what: tried for tried in purpose_of(design, "R24").tried}
    assert [change.after.part for change in found["82 Ω"].some("breaks")] == ["R24"]


def test_broken_variants_stop_at_the_corners_that_were_worst() -> None:
    found = purpose_of(opened(EXAMPLES / "observatory.toml").design, "R2")
    corners = {tried.variant.what: (tried.verdict, tried.corners) for tried in found.tried}
    assert corners["left out"] == ("FAIL", "beside the worst")
    assert corners["18 Ω"] == ("PASS", "all")


@pytest.mark.parametrize("name", ["model-railway", "heater-darlington"])
def test_a_design_that_lacks_its_standing_load_fails_by_what_leaving_it_out_breaks(tmp_path: Path, name: str) -> None:
    """The same from both sides: what `omit` says of R9, and the verdict on a file that never had it."""
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    blocks = [block for block in text.split("[[parts]]") if 'name = "R9"' not in block]
    file = tmp_path / "lacking.toml"
    file.write_text("[[parts]]".join(blocks), encoding="utf-8")
    broken = {change.after.title for change in purpose_of(opened(EXAMPLES / f"{name}.toml").design, "R9")
              .without.some("breaks")}  # fmt: skip
    lacking = omission(opened(file).design, ("U1",)).verdict
    assert broken and {one.title for one in lacking.findings if one.verdict == "FAIL"} == broken
