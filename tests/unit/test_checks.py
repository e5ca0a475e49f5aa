"""Checks and findings: a missing figure never passes, weak figures are named, margins and units are right.

The designs are the two passing examples.  What is planted is planted in the design itself and judged by the whole of
`verify`; in addition every single need of every check is taken away on its own.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pytest

from outboard.arrangements import Design, DesignPart, designed
from outboard.brief import read, read_text
from outboard.cases.axes import axes
from outboard.cases.corners import corners_of, every_choice
from outboard.checks import needs
from outboard.checks.check import AT_LEAST, AT_MOST, Check
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Conditions, Finding, Verdict
from outboard.checks.needs import Need
from outboard.checks.ratings import rating_checks
from outboard.checks.requirements import current_checks, headroom_checks, output_checks
from outboard.checks.tally import Tally
from outboard.checks.verdict import finding
from outboard.checks.verification import verified
from outboard.network.circuit import laid_out
from outboard.network.fields import fields
from outboard.network.outcome import NOT_CONVERGED, OUT_OF_RANGE, RUNAWAY
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.parts import find, ratings
from outboard.parts.records import Figure, Origin
from outboard.quantities import figures
from outboard.span import Span

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
NAMES = ("observatory", "model-railway")
LOADS = np.array([0.0, 1.0, 3.0])


@cache
def design(name: str) -> Design:
    return designed(read(EXAMPLES / f"{name}.toml"))


@cache
def narrow(name: str) -> Design:
    """The example at one input voltage and one ambient, so that many variants of it can be judged."""
    whole = design(name)
    brief, source = whole.brief, whole.brief.input
    assert source is not None
    brief = replace(
        brief,
        input=replace(source, voltage=Span.exactly(source.voltage.usual)),
        surroundings=replace(brief.surroundings, ambient=Span.exactly(brief.surroundings.ambient.usual)),
    )
    return replace(whole, brief=brief)


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


@cache
def block_of(name: str) -> tuple[Block, object]:
    """A few solved corners of an example, to judge checks on."""
    whole = narrow(name)
    circuit = laid_out(whole.components, whole.brief.surroundings.ambient.usual)
    found = axes(whole)
    base = {
        (part.name, field): part.part.values.get(field, record.default or 0.0)
        for part in whole.parts
        for field, record in fields(part.part.kind, part.part.model).items()
    }
    assert whole.brief.input is not None
    conditions = [(whole.brief.input.voltage.usual, whole.brief.surroundings.ambient.usual)]
    corners = corners_of(found, every_choice(found)[:3], conditions, base, "input")
    block = solved(circuit, corners.overrides, Overrides.column("load", "draws", LOADS))
    assert block.is_solved.all()
    return block, corners


def judged(check: Check, name: str, trust: str = "typical") -> Finding:
    block, corners = block_of(name)
    tally = Tally(check)
    tally.take(block, corners, LOADS)  # type: ignore[arg-type]
    return finding(tally, trust, ())


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


# ---- weak figures -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_typical_figures_count_only_when_they_are_trusted_and_are_named(name: str) -> None:
    whole = narrow(name)
    cautious = replace(whole.brief, requirements=replace(whole.brief.requirements, trust="limits"))
    trusting, strict = verified(whole, loads=3), verified(replace(whole, brief=cautious), loads=3)
    weak = [found for found in trusting.findings if found.rests_on]
    assert trusting.verdict == PASS and len(weak) > 5
    by_name = {(found.requirement, found.part): found for found in strict.findings}
    for found in trusting.findings:
        again = by_name[found.requirement, found.part]
        assert again.verdict == (UNDECIDED if found.rests_on else PASS)
        assert again.rests_on == found.rests_on
        for words in found.rests_on:
            assert words.partition(": ")[0] in ("typical", "recalled", "default")
            assert words in again.missing[-1]
    assert strict.verdict == UNDECIDED


@pytest.mark.parametrize("kind", ["typical", "recalled", "default", "limit", "derived", "stated", "promised"])
def test_which_kinds_are_weak(kind: str) -> None:
    check = Check("a", "U1", lambda block: np.zeros(block.outcomes.shape), 1.0, AT_MOST, "V", Origin("limit", "", ""),
                  (Need(Origin(kind, "", f"{kind}: x")),))  # fmt: skip
    weak = kind in ("typical", "recalled", "default")
    assert judged(check, "observatory").rests_on == ((f"{kind}: x",) if weak else ())
    assert judged(check, "observatory").verdict == PASS
    assert judged(check, "observatory", "limits").verdict == (UNDECIDED if weak else PASS)


# ---- lanes without a solution, limits without a number ---------------------------------------------------------------


def simple(value: object, limit: object, sense: float = AT_MOST, unit: str = "V", rest: float = 0.0) -> Check:
    """A check of plain numbers; an array is [corner, point]."""

    def given(number: object) -> Callable[[Block], np.ndarray]:
        return lambda block: np.broadcast_to(np.asarray(number, dtype=float), block.outcomes.shape)

    return Check("plain", None, given(value), given(limit), sense, unit, Origin("limit", "", ""),
                 (Need(Origin("limit", "", "")),), rest)  # fmt: skip


def with_outcome(outcome: int, everywhere: bool = False) -> Block:
    block, _ = block_of("observatory")
    outcomes = block.outcomes.copy()
    outcomes[...] = outcome if everywhere else outcomes
    outcomes[1, 2] = outcome
    return replace(block, outcomes=outcomes)


def taken(check: Check, block: Block) -> Finding:
    tally = Tally(check)
    tally.take(block, block_of("observatory")[1], LOADS)  # type: ignore[arg-type]
    return finding(tally, "typical", ())


@pytest.mark.parametrize("outcome", [RUNAWAY, OUT_OF_RANGE, NOT_CONVERGED])
@pytest.mark.parametrize("everywhere", [False, True])
def test_no_check_passes_over_a_lane_without_a_solution(outcome: int, everywhere: bool) -> None:
    found = taken(simple(1.0, 2.0), with_outcome(outcome, everywhere))
    assert found.verdict == UNDECIDED
    assert f"{9 if everywhere else 1} points have no solution" in found.missing
    assert found.worst is None  # an undecided number would be a guess


def test_a_lane_without_a_solution_is_never_judged() -> None:
    value = np.zeros((3, 3))
    value[1, 2] = 99.0
    assert taken(simple(value, 2.0), with_outcome(NOT_CONVERGED)).verdict == UNDECIDED
    assert taken(simple(value, 2.0), block_of("observatory")[0]).verdict == FAIL


@pytest.mark.parametrize("gap", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("of_limit", [False, True])
@pytest.mark.parametrize("sense", [AT_MOST, AT_LEAST])
def test_what_is_no_number_never_passes(gap: float, of_limit: bool, sense: float) -> None:
    numbers = np.full((3, 3), 1.0)
    numbers[2, 1] = gap
    other = 2.0 if (sense == AT_MOST) != of_limit else 0.0
    check = simple(other, numbers, sense) if of_limit else simple(numbers, other, sense)
    found = taken(check, block_of("observatory")[0])
    assert found.verdict == UNDECIDED
    assert found.missing == ("at 1 points the limit is not known",)
    nowhere = taken(simple(np.full((3, 3), gap), 1.0, sense), block_of("observatory")[0])
    assert (nowhere.verdict, nowhere.worst) == (UNDECIDED, None)


def test_nothing_judged_is_undecided() -> None:
    found = finding(Tally(simple(1.0, 2.0)), "typical", ())
    assert (found.verdict, found.missing) == (UNDECIDED, ("no point was judged",))
    skipped = Tally(simple(1.0, 2.0))
    skipped.skip(7)
    assert finding(skipped, "typical", ()).missing == ("7 points have no solution",)


def test_a_failure_stands_beside_lanes_that_stay_open() -> None:
    assert taken(simple(3.0, 2.0), with_outcome(NOT_CONVERGED)).verdict == FAIL


# ---- margins, units, lines ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "limit", "sense", "margin", "verdict"),
    [(3.0, 5.0, AT_MOST, 2.0, PASS), (5.5, 5.0, AT_MOST, -0.5, FAIL), (5.0, 5.0, AT_MOST, 0.0, PASS),
     (5.0, 3.0, AT_LEAST, 2.0, PASS), (2.0, 3.0, AT_LEAST, -1.0, FAIL), (-4.0, -3.0, AT_MOST, 1.0, PASS)],
)  # fmt: skip
def test_margins_have_a_sign(value: float, limit: float, sense: float, margin: float, verdict: str) -> None:
    found = taken(simple(value, limit, sense), block_of("observatory")[0])
    assert (found.margin, found.verdict, found.worst, found.limit) == (margin, verdict, value, limit)


def test_temperatures_are_read_in_degrees_and_margins_are_differences() -> None:
    found = taken(simple(373.15, 423.15, unit="K", rest=298.15), block_of("observatory")[0])
    assert (found.worst, found.limit, found.margin, found.rest, found.unit) == (
        pytest.approx(100.0), pytest.approx(150.0), pytest.approx(50.0), pytest.approx(25.0), "°C",
    )  # fmt: skip
    assert found.share_left == pytest.approx(50.0 / 125.0)


def test_the_worst_lane_is_the_one_with_the_least_margin() -> None:
    value = np.array([[1.0, 2.0, 3.0], [4.0, 9.0, 5.0], [6.0, 7.0, 8.0]])
    limit = np.array([[10.0, 10.0, 3.5], [10.0, 10.0, 10.0], [10.0, 10.0, 10.0]])
    found = taken(simple(value, limit), block_of("observatory")[0])
    assert (found.worst, found.limit, found.margin, found.corner["load_A"]) == (3.0, 3.5, 0.5, 3.0)


def test_derating_line_of_a_power_transistor() -> None:
    """115 W at 25 °C case, 200 °C junction, hence 65.7 W at 100 °C (onsemi data sheet 2N3055/MJ2955: 115 W, derate
    0.657 W/K above 25 °C, T_J 200 °C)."""
    case = np.array([248.15, 298.15, 373.15, 473.15, 500.0])
    allowed = figures.allowed_power(case, 115.0, 473.15)
    assert allowed == pytest.approx([115.0, 115.0, 65.7, 0.0, 0.0], abs=0.05)
    assert (allowed[1] - allowed[2]) / 75.0 == pytest.approx(0.657, abs=0.0005)
    known = ratings(find("MJ2955"))
    assert (known["P_tot"].value, known["T_J"].value) == (115.0, pytest.approx(473.15))


def test_power_is_judged_at_the_case_and_not_at_the_junction() -> None:
    """R_thJC and pad are in series: the case is colder than the junction by P·R_thJC."""
    name = "observatory"
    block, _ = block_of(name)
    part = design(name).part("Q2")
    to_case = part.ratings["R_thJC"].value
    assert part.part.heat is not None and part.pad is not None
    case = figures.case_temperature(block, "Q2", to_case)
    sink = block.at(("heat", "main"))
    assert case == pytest.approx(sink + part.pad * block.power("Q2"), abs=1e-6)


@pytest.mark.parametrize(
    ("current", "limit"), [(0.5, 1.1), (4.0, 1.1), (4.5, 3.0), (10.0, 3.0), (10.5, np.nan)]
)
def test_saturation_is_the_one_printed_for_at_least_that_current(
    monkeypatch: pytest.MonkeyPatch, current: float, limit: float
) -> None:
    """V_CE(sat) of 2N3055: 1.1 V at 4 A, 3.0 V at 10 A (onsemi data sheet 2N3055); beyond, nothing is known."""
    monkeypatch.setattr(figures, "collector_current", lambda block, part: np.full((3, 3), current))
    (check,) = (
        check for check in headroom_checks(design("observatory"))
        if (check.requirement, check.part) == ("headroom above saturation", "Q2")
    )  # fmt: skip
    assert callable(check.limit)
    assert np.unique(check.limit(block_of("observatory")[0])) == pytest.approx([limit], nan_ok=True)


# ---- the whole ---------------------------------------------------------------------------------------------------


def whole(*findings: Finding) -> Verdict:
    return Verdict(findings, Conditions(1, 1, 0, 0, 0.0))


@pytest.mark.parametrize(
    ("words", "verdict"),
    [((PASS, PASS), PASS), ((PASS, UNDECIDED), UNDECIDED), ((UNDECIDED, FAIL, PASS), FAIL), ((FAIL,), FAIL),
     ((), UNDECIDED)],
)  # fmt: skip
def test_fail_beats_undecided_beats_pass(words: Sequence[str], verdict: str) -> None:
    made = whole(*(Finding("x", None, word) for word in words))
    assert made.verdict == verdict
    assert made.counts == {word: list(words).count(word) for word in (PASS, FAIL, UNDECIDED)}


def test_findings_are_ordered_by_verdict_then_by_what_is_left() -> None:
    roomy = Finding("roomy", None, PASS, worst=1.0, limit=10.0, margin=9.0)
    tight = Finding("tight", None, PASS, worst=99.0, limit=100.0, margin=1.0)
    warm = Finding("warm", None, PASS, worst=140.0, limit=150.0, margin=10.0, rest=25.0)
    unknown = Finding("unknown", None, UNDECIDED)
    slightly = Finding("slightly", None, FAIL, worst=11.0, limit=10.0, margin=-1.0)
    badly = Finding("badly", None, FAIL, worst=30.0, limit=10.0, margin=-20.0)
    ordered = whole(roomy, warm, unknown, slightly, tight, badly).ordered
    assert [found.requirement for found in ordered] == ["badly", "slightly", "unknown", "tight", "warm", "roomy"]
