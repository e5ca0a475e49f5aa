"""A figure that is missing never passes, whichever it is, and what makes a corner the worst is declared."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

import pytest
from checked_designs import EXAMPLES, NAMES, design, judged, narrow

from outboard.arrangements import Design, DesignPart, designed
from outboard.brief import read_text
from outboard.cases.axes import axes
from outboard.checks import needs
from outboard.checks.check import AT_LEAST, Check
from outboard.checks.finding import PASS, UNDECIDED, Finding
from outboard.checks.needs import Need
from outboard.checks.ratings import rating_checks
from outboard.checks.requirements import current_checks, headroom_checks, output_checks
from outboard.checks.verification import verified
from outboard.parts.records import Figure


def with_part(whole: Design, name: str, change: Callable[[DesignPart], DesignPart]) -> Design:
    return replace(whole, parts=tuple(change(part) if part.name == name else part for part in whole.parts))


# ---- what can be missing ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Plant:
    """One figure of one part taken away; `says` are pieces of the words that must name it."""

    key: str
    part: str
    says: tuple[str, ...]
    change: Callable[[DesignPart], DesignPart]


def without_rating(symbol: str) -> Callable[[DesignPart], DesignPart]:
    def change(part: DesignPart) -> DesignPart:
        assert symbol in part.ratings, f"{part.name} never had {symbol}"
        return replace(part, ratings={key: value for key, value in part.ratings.items() if key != symbol})

    return change


def without_condition(field: str) -> Callable[[DesignPart], DesignPart]:
    """All rows of the output voltage, that which guarantees it among them, with one of their conditions not printed."""

    def without(figure: Figure) -> Figure:
        return replace(figure, conditions=replace(figure.conditions, **{field: None}))

    def change(part: DesignPart) -> DesignPart:
        found, known = part.ratings["V_O_most"], part.type
        assert known is not None
        rows = tuple(without(row) if row.name == found.figure.name else row for row in known.figures)
        ratings = {**part.ratings, "V_O_most": replace(found, figure=without(found.figure))}
        return replace(part, ratings=ratings, type=replace(known, figures=rows))

    return change


def without_spread(axis: str) -> Callable[[DesignPart], DesignPart]:
    def change(part: DesignPart) -> DesignPart:
        known = part.identified
        assert known is not None and known.spread(axis) is not None
        spreads = tuple(spread for spread in known.spreads if spread.axis != axis)
        return replace(part, identified=replace(known, spreads=spreads))

    return change


def without_origin(field: str) -> Callable[[DesignPart], DesignPart]:
    def change(part: DesignPart) -> DesignPart:
        known = part.identified
        assert known is not None and field in known.origins
        origins = {key: value for key, value in known.origins.items() if key != field}
        return replace(part, identified=replace(known, origins=MappingProxyType(origins)))

    return change


def undecided(subject: str) -> Callable[[DesignPart], DesignPart]:
    def change(part: DesignPart) -> DesignPart:
        assert part.identified is not None
        return replace(part, identified=replace(part.identified, undecided={subject: "planted"}))

    return change


def without_heat(part: DesignPart) -> DesignPart:
    assert part.part.heat is not None
    return replace(part, part=replace(part.part, heat=None))


def without_saturation(part: DesignPart) -> DesignPart:
    assert part.type is not None and part.type.rows("VCE_sat")
    rows = tuple(figure for figure in part.type.figures if figure.name != "VCE_sat")
    return replace(part, type=replace(part.type, figures=rows))


def plants_of(part: DesignPart) -> Iterator[Plant]:
    """All that verdicts may rest on in one part."""
    name = part.name
    if part.part.kind == "bipolar":
        for symbol in ("V_CEO", "V_EBO", "I_C", "I_B", "P_tot", "T_J", "R_thJC"):
            yield Plant(symbol, name, (symbol, name), without_rating(symbol))
        for axis in ("gain", "V_BE", "leakage"):
            yield Plant(axis, name, (axis, name), without_spread(axis))
        yield Plant("exponent", name, ("gain_temperature_exponent", name), without_origin("gain_temperature_exponent"))
        yield Plant("hot leakage", name, ("hot leakage", name), undecided("hot leakage"))
        yield Plant("heat", name, ("heat path", name), without_heat)
        yield Plant("V_CE(sat)", name, ("V_CE(sat)", name), without_saturation)
    elif part.part.kind == "regulator":
        for symbol in ("V_I", "I_O", "T_J", "R_thJC"):
            yield Plant(symbol, name, (symbol, name), without_rating(symbol))
        yield Plant("V_O", name, ("guaranteed is not known", name), without_rating("V_O_most"))
        yield Plant("most input", name, ("differential up to which", name), without_condition("input_voltage"))
        yield Plant("most power", name, ("dissipation up to which", name), without_condition("power"))
        for axis in ("set voltage", "regulation", "drop-out", "limit", "quiescent current"):
            yield Plant(axis, name, (axis, name), without_spread(axis))
        for field in ("output_resistance", "line_coefficient", "set_voltage_tempco", "dropout_voltage"):
            yield Plant(field, name, (field, name), without_origin(field))
        yield Plant("heat", name, ("heat path", name), without_heat)
    elif part.part.kind == "resistor":
        yield Plant("rated power", name, ("rated power", name), lambda part: replace(part, rated_power=None))
        yield Plant("tolerance", name, ("tolerance", name), lambda part: replace(part, tolerance=None))


TRANSISTORS = {"gain", "V_BE", "exponent", "heat"}
"""Of every transistor: without these nobody knows how the current divides."""

REGULATORS = {
    "set voltage", "regulation", "drop-out", "limit", "output_resistance", "line_coefficient", "set_voltage_tempco",
    "heat",
}  # fmt: skip
"""Of every regulator: without these nobody knows its output, nor when it gives up."""

LEAKS = {"leakage", "hot leakage"}
"""Of every transistor: without these nobody knows an output that nothing draws from."""

BY_HAND: dict[str, set[str]] = {
    "output not too low": set(),
    "output not too high": set(),
    "headroom above drop-out": {"drop-out", "dropout_voltage"},
    "headroom above saturation": {"V_CE(sat)"},
    "current within the guaranteed range": {"I_O"},
    "collector-emitter voltage": {"V_CEO"},
    "reverse base-emitter voltage": {"V_EBO"},
    "collector current": {"I_C"},
    "base current": {"I_B"},
    "power at case temperature": {"P_tot", "R_thJC", "T_J", "heat"},
    "junction temperature": {"T_J", "R_thJC", "heat"},
    "input voltage": {"V_I"},
    "input-output differential": {"V_O", "most input"},
    "dissipation": {"V_O", "most power", "quiescent current"},
    "resistor power": {"rated power", "tolerance"},
}
"""What each requirement rests on in its own part, written from the data sheets' definitions, not from the checks."""

BY_THE_INPUT_ALONE = {"input voltage", "reverse base-emitter voltage"}
"""No operating point makes these worse: the regulator sees at most the input, and a V_BE is never reversed here."""


def title(requirement: str) -> str:
    """The requirement without its occasion."""
    for occasion in (" released while hot", " after a start into full load"):
        requirement = requirement.replace(occasion, "")
    return requirement


def touched(found: Finding, plant: Plant, kind: str) -> bool:
    """Whether a finding rests, by hand, on what was taken away."""
    requirement, released = title(found.requirement), "released" in found.requirement
    own = BY_HAND[requirement]
    if requirement == "junction temperature" and kind == "regulator":
        own = own | {"quiescent current"}
    if plant.key in own and found.part == plant.part:
        return True
    if requirement in BY_THE_INPUT_ALONE:
        return False
    anywhere = {"bipolar": TRANSISTORS, "regulator": REGULATORS, "resistor": {"tolerance"}}[kind]
    if kind == "bipolar" and (requirement == "output not too high" or released):
        anywhere = anywhere | LEAKS
    return plant.key in anywhere


PLANTS = [
    pytest.param(name, plant, part.part.kind, id=f"{name}-{plant.part}-{plant.key}")
    for name in NAMES
    for part in design(name).parts
    for plant in plants_of(part)
]


@pytest.mark.parametrize(("name", "plant", "kind"), PLANTS)
def test_a_missing_figure_never_passes(name: str, plant: Plant, kind: str) -> None:
    verdict = verified(with_part(narrow(name), plant.part, plant.change), loads=3)
    checked = [found for found in verdict.findings if found.requirement in requirements(name)]
    concerned = [found for found in checked if touched(found, plant, kind)]
    assert concerned, "a figure that nothing rests on need not be planted"
    for found in concerned:
        assert found.verdict == UNDECIDED, found
        assert (found.worst, found.limit, found.margin, dict(found.corner), found.in_words) == (None,) * 3 + ({}, "")
        assert any(all(piece in words for piece in plant.says) for words in found.missing), found.missing
    assert verdict.verdict == UNDECIDED
    others = [found for found in verdict.findings if found not in concerned]
    assert all(found.verdict == PASS for found in others), "what does not rest on it is judged as before"


@cache
def requirements(name: str) -> frozenset[str]:
    """Requirements that come from checks."""
    return frozenset(check.requirement for check in all_checks(design(name)))


def all_checks(whole: Design) -> list[Check]:
    """Every check of a design, as verify has them."""
    start = [check for check in output_checks(whole, "output after a start into full load") if check.sense == AT_LEAST]
    return [
        *output_checks(whole), *headroom_checks(whole), *current_checks(whole), *rating_checks(whole),
        *output_checks(whole, "output released while hot", released=True), *start,
    ]  # fmt: skip


CHECKS = [
    pytest.param(name, number, id=f"{name}-{check.requirement}-{check.part}")
    for name in NAMES
    for number, check in enumerate(all_checks(design(name)))
]


def test_there_are_as_many_checks_as_counted_by_hand() -> None:
    """Two transistors of six checks and their saturation, one regulator of four, its headroom and its current, three
    resistors, and five on the output; the railway has one transistor and two resistors."""
    assert len(all_checks(design("observatory"))) == 2 * 7 + 6 + 3 + 5
    assert len(all_checks(design("model-railway"))) == 1 * 7 + 6 + 2 + 5
    for name in NAMES:
        findings = verified(narrow(name), loads=2).findings
        assert sorted((f.requirement, f.part or "") for f in findings[1:]) == sorted(
            (check.requirement, check.part or "") for check in all_checks(design(name))
        )
        assert findings[0].requirement == "an operating point everywhere"


@pytest.mark.parametrize(("name", "number"), CHECKS)
def test_every_need_of_every_check_is_needed(name: str, number: int) -> None:
    """Each of the check's own needs taken away alone, with the real solution at hand: undecided, named, no number."""
    check = all_checks(design(name))[number]
    assert judged(check, name).verdict == PASS
    assert check.needs, "a check that rests on nothing rests on something unsaid"
    for place in range(len(check.needs)):
        lost = list(check.needs)
        lost[place] = Need(None, "planted gap")
        found = judged(replace(check, needs=tuple(lost)), name)
        assert (found.verdict, found.missing, found.worst, found.limit, found.margin) == (
            UNDECIDED, ("planted gap",), None, None, None,
        )  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_what_makes_a_corner_the_worst_is_declared(name: str) -> None:
    """Take away the figure behind each word of a worst corner: the check must notice that it is gone."""
    whole = design(name)
    axis_of = {axis.name: axis for axis in axes(whole)}
    behind = {"strength": ("drop-out", "limit", "quiescent current"), "set voltage": ("set voltage", "regulation")}
    met = 0
    for found in verified(whole, loads=6).findings:
        for word in found.corner.keys() & axis_of.keys():
            met += 1
            noticed = []
            for part in axis_of[word].parts:
                kind = word.removesuffix(f" {part}")
                plants = [plant for plant in plants_of(whole.part(part)) if plant.key in behind.get(kind, (kind,))]
                if whole.part(part).part.kind == "resistor":
                    plants = [plant for plant in plants_of(whole.part(part)) if plant.key == "tolerance"]
                assert plants, word
                for plant in plants:
                    poorer = all_checks(with_part(whole, part, plant.change))
                    noticed += [
                        needs.missing(check.needs) for check in poorer
                        if (check.requirement, check.part) == (found.requirement, found.part)
                    ]  # fmt: skip
            assert any(noticed), (found.requirement, found.part, word)
    assert met > 20


def test_weak_ends_of_a_worst_corner_are_named() -> None:
    """The default most limit of the 7812 decides how much it delivers beyond its guarantee in the wrong example."""
    by_name = {(f.requirement, f.part): f for f in verified(design("wrong-attic-server")).findings}
    found = by_name["current within the guaranteed range", "U1"]
    assert found.corner["strength U1"] == "strong"
    assert any("typical limit" in words for words in found.rests_on)


def test_silence_about_a_short_circuit_is_undecided() -> None:
    whole = narrow("observatory")
    unsaid = replace(whole.brief, requirements=replace(whole.brief.requirements, short_circuit=None))
    promised = replace(whole.brief, requirements=replace(whole.brief.requirements, short_circuit="for ever"))
    for brief, words in ((unsaid, "short_circuit is not said"), (promised, "not judged yet")):
        verdict = verified(replace(whole, brief=brief), loads=2)
        (found,) = (found for found in verdict.findings if found.requirement == "short circuit")
        assert (found.verdict, found.worst, found.margin) == (UNDECIDED, None, None)
        assert words in found.missing[0]
        assert verdict.verdict == UNDECIDED


def test_nothing_is_known_of_a_part_that_only_has_a_model() -> None:
    """A transistor without a type states its values, not its spread nor what it may bear."""
    text = (EXAMPLES / "model-railway.toml").read_text(encoding="utf-8")
    text += """
[[parts]]
name = "Q1"
kind = "bipolar"
polarity = "pnp"
pins = { collector = "out", base = "x", emitter = "in" }
saturation_current = "1 pA"
forward_gain = 50
heat = { to = "bracket", resistance = "3 K/W" }
"""
    verdict = verified(designed(read_text(text, "stated.toml")), loads=3)
    own = [found for found in verdict.findings if found.part == "Q1"]
    assert len(own) == 7 and {found.verdict for found in own} == {UNDECIDED}
    words = " ".join(word for found in own for word in found.missing)
    for figure in ("V_CEO", "V_EBO", "I_C", "I_B", "P_tot", "T_J", "R_thJC", "V_CE(sat)", "gain", "V_BE"):
        assert f"{figure} of Q1" in words
