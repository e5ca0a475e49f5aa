"""Every arrangement with every option that goes with it: parts, expansion, mirror image, and what does not go together.

Types of the opposite polarity are made by hand where the catalogue has none: a mirrored type has the same figures.
"""

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from outboard.arrangements import designed, expanded_text, explicit, sized, stage_types
from outboard.arrangements.mirror import OPPOSITE, mirrored, mirrored_part, mirrored_type
from outboard.arrangements.options import NAMES
from outboard.brief import read_text
from outboard.errors import WrongInput
from outboard.formulas.sharing import sharing_error
from outboard.network.circuit import laid_out
from outboard.network.part import Part
from outboard.network.solve import solved
from outboard.parts import find

CORES = {
    "bypass": ('pass = "MJ2955"', "BD140"), "compound": ('driver = "BD140"\npass = "2N3055"', "BD140"),
    "darlington": ('driver = "BD140"\npass = "MJ2955"', "BD140"), "follower": ('pass = "2N3055"', "BD139"),
}  # fmt: skip
"""Types of each core, and a sense transistor that fits it."""


def brief(arrangement, options="", regulator="7812", sign="", count=1, volts=12):
    types, _ = CORES[arrangement]
    span = [f'"{sign}{volts + more} V"' for more in (5, 6, 8)]
    return read_text(
        f'[input]\nvoltage = [{", ".join(span)}]\nresistance = "50 mΩ"\n'
        f'[output]\nvoltage = "{sign}{volts} V"\nload = ["50 mA", "2 A", "4 A"]\n'
        f'[stage]\narrangement = "{arrangement}"\nregulator = "{regulator}"\n{types}\ncount = {count}\n{options}\n'
        '[heat.sinks]\nmain = "0.5 K/W"\n[heat]\npass = { sink = "main", pad = "0.5 K/W" }\n'
        'regulator = { sink = "main", pad = "1 K/W" }\n',
        "design.toml",
    )  # fmt: skip


def solution(design):
    """Every unknown by its node."""
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    block = solved(circuit)
    assert block.is_solved.all()
    return {node: float(block.at(node)[0, 0]) for node in circuit.unknowns}


def option_lines(arrangement, chosen):
    _, sense = CORES[arrangement]
    lines = {
        "limiter": f'limiter = "{sense}"\nlimit = "7 A"', "foldback": 'foldback = "2 A"',
        "protection": 'reverse_diode = "1N4002"\noutput_diode = "1N4004"\nC1 = "330 nF"\nC2 = "1 µF"',
        "regulators": 'regulators = 2\nregulator_ballast = "0.5 Ω"', "sharing": 'sharing_diode = "1N5404"\nshare = 3',
        "compensation": 'compensation = "1N4002"',
    }  # fmt: skip
    if "foldback" in chosen and "limiter" not in chosen:
        chosen = [*chosen, "limiter"]
    only = {"sharing": "bypass", "compensation": "follower"}
    return "\n".join(lines[name] for name in dict.fromkeys(chosen) if only.get(name, arrangement) == arrangement)


OPTIONS = ["limiter", "foldback", "protection", "regulators", "sharing", "compensation"]
combinations = st.tuples(
    st.sampled_from(sorted(CORES)),
    st.lists(st.sampled_from(OPTIONS), unique=True),
    st.integers(1, 3), st.sampled_from(["", "-"]),
)  # fmt: skip


@pytest.fixture
def mirrored_catalogue(monkeypatch):
    """A catalogue in which every type is its mirror image."""

    def turned(name):
        return mirrored_type(find(name))

    def turn(negative):
        for module in (stage_types, explicit):
            monkeypatch.setattr(module, "find", turned if negative else find)

    return turn


# --- expansion ------------------------------------------------------------------------------------------------------


def check_expansion(combination, turn):
    arrangement, options, count, sign = combination
    turn(sign == "-")
    design = designed(brief(arrangement, option_lines(arrangement, options), sign=sign, count=count))
    again = designed(read_text(expanded_text(design), "expanded.toml"))
    assert solution(design) == solution(again)
    assert [(part.name, part.role, part.tolerance, part.drift) for part in again.parts] == [
        (part.name, part.role, part.tolerance, part.drift) for part in design.parts
    ]


def test_every_combination_expands_to_the_identical_solution(mirrored_catalogue):
    @settings(max_examples=60, deadline=None)
    @drawn(combinations)
    def check(combination):
        check_expansion(combination, mirrored_catalogue)

    check()


# --- the mirror -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "options", [[], ["limiter", "protection"], ["foldback"], ["regulators", "sharing", "compensation"]]
)
@pytest.mark.parametrize("arrangement", CORES)
def test_negative_supply_is_the_positive_one_with_signs_turned(arrangement, options, mirrored_catalogue):
    """Currents and voltages to 1e-12; temperatures are the same.  Inner nodes of diodes lie at anodes, which turn."""
    lines = option_lines(arrangement, options)
    positive = designed(brief(arrangement, lines, count=2))
    mirrored_catalogue(True)
    negative = designed(brief(arrangement, lines, sign="-", count=2))
    before, after = solution(positive), solution(negative)
    assert before.keys() == after.keys() and before["net", "out"] > 5.0
    for node, value in before.items():
        if node[0] == "inner" and node[1].startswith("D"):
            continue
        wanted = value if node[0] in ("heat", "junction") else -value
        assert after[node] == pytest.approx(wanted, rel=1e-12, abs=1e-12), node


def test_the_parts_of_a_negative_supply_are_the_mirror_images(mirrored_catalogue):
    lines = option_lines("bypass", ["limiter", "protection", "sharing"])
    positive = designed(brief("bypass", lines))
    mirrored_catalogue(True)
    negative = designed(brief("bypass", lines, sign="-"))
    assert [part.part for part in negative.parts] == [mirrored_part(part.part) for part in positive.parts]


def test_twice_mirrored_is_itself():
    design = designed(brief("compound", option_lines("compound", ["limiter", "foldback", "protection"])))
    assert all(mirrored(mirrored(part)) == part for part in design.parts)


def test_every_polarity_has_its_opposite():
    assert all(OPPOSITE[OPPOSITE[polarity]] == polarity != OPPOSITE[polarity] for polarity in OPPOSITE)
    diode = Part("D", "diode", {"anode": "a", "cathode": "b"}, {"saturation_current": 1e-12})
    assert mirrored_part(diode).pins == {"anode": "b", "cathode": "a"}
    assert mirrored_part(Part("U", "regulator", {"in": "i", "out": "o", "ref": "r"})).polarity == "negative"


def test_negative_spans_may_go_by_size():
    text = (
        '[input]\nvoltage = {}\n[output]\nvoltage = "-12 V"\nload = "1 A"\n[[parts]]\nname = "R"\nkind = "resistor"\n'
    )
    rest = 'pins = { a = "in", b = "out" }\nresistance = 1\n'
    spans = [read_text(text.format(span) + rest, "d.toml").input.voltage
             for span in ('["-16 V", "-18 V", "-20 V"]', '["-20 V", "-18 V", "-16 V"]')]  # fmt: skip
    assert spans[0] == spans[1] and tuple(spans[0]) == (-20.0, -18.0, -16.0)


# --- parts ----------------------------------------------------------------------------------------------------------


def pins(design, *names):
    return {name: " ".join(design.part(name).part.pins.values()) for name in names}


def test_limiter_of_a_bypass_stands_between_input_and_the_pass_devices():
    found = designed(brief("bypass", option_lines("bypass", ["limiter"]), count=2))
    assert pins(found, "RS", "QS", "R3", "Q1", "R1") == {
        "RS": "in s", "QS": "x s in", "R3": "s e1", "Q1": "out x e1", "R1": "in x",
    }  # fmt: skip


def test_foldback_of_a_bypass_taps_between_sense_resistor_and_output():
    found = designed(brief("bypass", option_lines("bypass", ["foldback"])))
    assert pins(found, "QS", "RF1", "RF2") == {"QS": "x f in", "RF1": "s f", "RF2": "f out"}


def test_limiter_of_a_follower_stands_at_its_output():
    found = designed(brief("follower", option_lines("follower", ["foldback"])))
    assert pins(found, "RS", "QS", "Q1", "RF2", "U1") == {
        "RS": "out s", "QS": "b f out", "Q1": "in b s", "RF2": "f ground", "U1": "in b ground",
    }  # fmt: skip


def test_limiter_of_a_compound_senses_the_pass_devices_collectors():
    found = designed(brief("compound", option_lines("compound", ["limiter"])))
    assert pins(found, "RS", "QS", "Q1", "Q2") == {"RS": "in s", "QS": "x s in", "Q1": "y x in", "Q2": "s y out"}


def test_darlington_of_two_packages():
    found = designed(brief("darlington"))
    assert pins(found, "R1", "R2", "Q1", "Q2") == {"R1": "in x", "R2": "in y", "Q1": "out x y", "Q2": "out y in"}


def test_sharing_diode_stands_before_the_base_resistor():
    found = designed(brief("bypass", option_lines("bypass", ["sharing"])))
    assert pins(found, "D3", "R1", "R3", "Q1") == {"D3": "in d", "R1": "d x", "R3": "in e1", "Q1": "out x e1"}


def test_compensating_diode_lifts_the_reference_pin():
    found = designed(brief("follower", option_lines("follower", ["compensation"])))
    assert pins(found, "U1", "D4", "R2") == {"U1": "in b foot", "D4": "foot ground", "R2": "b out"}


def test_protection_and_capacitors():
    found = designed(brief("bypass", option_lines("bypass", ["protection"])))
    assert pins(found, "D1", "D2", "C1", "C2") == {
        "D1": "out in", "D2": "ground out", "C1": "x ground", "C2": "out ground",
    }  # fmt: skip


def test_regulators_in_parallel_have_ballast():
    found = designed(brief("bypass", option_lines("bypass", ["regulators"])))
    assert pins(found, "U1", "U2", "RP1", "RP2") == {
        "U1": "x o1 ground", "U2": "x o2 ground", "RP1": "o1 out", "RP2": "o2 out",
    }  # fmt: skip


def test_every_name_is_told():
    told = {word for names in NAMES for word in names.split()}
    for arrangement in CORES:
        options = ["limiter", "foldback", "protection", "regulators", "sharing", "compensation"]
        for part in designed(brief(arrangement, option_lines(arrangement, options), count=2)).parts:
            numbered = part.name.rstrip("0123456789")
            assert part.name in told or f"{numbered}2" in told or f"{numbered}4" in told or part.role in (
                "input", "load", "sink",
            ), part.name  # fmt: skip


# --- sizing ---------------------------------------------------------------------------------------------------------


def test_a_limit_that_is_asked_for_gives_the_sense_resistor():
    """V_BE over the limit (Floyd, example 17.7): the value lies below by less than a step of E24."""
    sizing = sized(brief("bypass", 'limiter = "BD140"\nlimit = "5 A"'))
    value = sizing.value("RS")
    voltage = next(
        figure.value for figure in sizing.figures if figure.words.startswith("V_BE of QS") and "starts" in figure.words
    )
    assert value.exact == pytest.approx(voltage / 5.0)
    assert value.exact / 1.11 < value.chosen <= value.exact


def test_both_demands_of_a_foldback_are_met_by_the_exact_values():
    """I = (V_BE(1+k) − k(V_I − V_O))/R_S at full output and at 0 V: the sum done here with the exact k and R_S."""
    sizing = sized(brief("bypass", 'limiter = "BD140"\nlimit = "7 A"\nfoldback = "2 A"'))
    k = next(fact.worked.value for fact in sizing.facts if fact.words.startswith("divider ratio"))
    sense = sizing.value("RS").exact
    voltage = next(
        figure.value for figure in sizing.figures if figure.words.startswith("V_BE of QS") and "starts" in figure.words
    )
    assert (voltage * (1 + k) - k * (18.0 - 12.0)) / sense == pytest.approx(7.0)
    assert (voltage * (1 + k) - k * 18.0) / sense == pytest.approx(2.0)


LOAD = '[[parts]]\nname = "load"\nkind = "load"\npins = { plus = "out", minus = "ground" }\nresistance = "1 Ω"\n'


def test_the_limiter_acts_in_the_solved_circuit():
    """1 Ω wants 12 A, limiter and regulator give 5 A and 2.2 A: the output has given way, V_BE stands across RS."""
    limited = brief("bypass", 'limiter = "BD140"\nlimit = "5 A"')
    free = solution(designed(read_text(expanded_text(designed(brief("bypass"))) + LOAD, "d.toml")))
    held = solution(designed(read_text(expanded_text(designed(limited)) + LOAD, "d.toml")))
    assert free["net", "out"] == pytest.approx(12.0, rel=0.03)
    assert held["net", "out"] < 9.0
    assert 0.5 < held["net", "in"] - held["net", "s"] < 0.9, "V_BE of a conducting silicon transistor"


def test_a_sharing_diode_fixes_the_ratio_but_for_what_it_leaves_uncancelled():
    text = brief("bypass", 'sharing_diode = "1N5404"\nR1 = "0.39 Ω"\nballast = "0.1 Ω"')
    design, sizing = designed(text), sized(text)
    full = LOAD.replace('resistance = "1 Ω"', 'draws = "4 A"')
    x = solution(designed(read_text(expanded_text(design) + full, "d.toml")))
    through_lead = (x["net", "d"] - x["net", "x"]) / design.part("R1").part.values["resistance"]
    through_emitter = (x["net", "in"] - x["net", "e1"]) / design.part("R3").part.values["resistance"]
    left = sharing_error(
        diode_voltage=x["net", "in"] - x["net", "d"], base_emitter_voltage=x["net", "e1"] - x["net", "x"],
        emitter_resistance=0.1,
    )  # fmt: skip
    assert through_emitter - 3.9 * through_lead == pytest.approx(left, rel=1e-9)
    fact = next(fact.worked.value for fact in sizing.facts if "uncancelled" in fact.words)
    assert left < 0 and fact < left, "the sum at 25 °C; the hot transistor has less V_BE"


def test_parallel_regulators_say_why_not():
    remarks = sized(brief("bypass", "regulators = 2")).remarks
    assert any("share by ballast alone" in remark for remark in remarks)
    without = sized(brief("bypass", 'regulators = 2\nregulator_ballast = "0 Ω"')).remarks
    assert any("carries the load alone" in remark for remark in without)


def test_a_follower_says_what_it_loses():
    facts = {fact.words: fact.worked.value for fact in sized(brief("follower")).facts}
    assert facts["output with usual V_BE at the usual load"] == pytest.approx(12.0 - 0.8, abs=0.15)
    assert any("one V_BE is lost" in remark for remark in sized(brief("follower")).remarks)


# --- what does not go together --------------------------------------------------------------------------------------

STAGE = (
    '[input]\nvoltage = "{input}"\n[output]\nvoltage = "{output}"\nload = "3 A"\n'
    '[stage]\narrangement = "{name}"\nregulator = "7812"\n'
)


PAIR = 'driver = "BD140"\npass = "2N3055"\n'
LIKE_PAIR = 'driver = "BD140"\npass = "MJ2955"\n'


def mistakes(name, lines, input="18 V", output="12 V"):
    with pytest.raises(WrongInput) as refused:
        designed(read_text(STAGE.format(name=name, input=input, output=output) + lines, "design.toml"))
    return refused.value.mistakes


@pytest.mark.parametrize(
    ("name", "lines", "where", "said", "write"),
    [
        ("bypass", 'pass = "MJ2955"\nRG = "100 Ω"', "RG", "have no gate", 'arrangement = "pmos"'),
        ("bypass", 'pass = "MJ2955"\ncompensation = "1N4002"', "compensation", "only a follower", '"follower"'),
        ("bypass", 'pass = "MJ2955"\nlimit = "5 A"', "limit", "no transistor that limits", 'limiter = "BD140"'),
        ("bypass", 'pass = "MJ2955"\nfoldback = "1 A"', "foldback", "could fold back", 'limiter = "BD140"'),
        ("bypass", 'pass = "MJ2955"\nshare = 4', "share", "the ratio is not fixed", "sharing_diode"),
        ("bypass", 'pass = "MJ2955"\nregulator_ballast = "1 Ω"', "regulator_ballast", "single regulator", "= 2"),
        ("bypass", 'pass = "MJ2955"\nsharing_diode = "1N5404"\nhandover = "0.3 A"', "handover", "the start", "share"),
        ("compound", PAIR + 'sharing_diode = "1N5404"', "sharing_diode", "at the output", "bypass"),
        ("darlington", 'pass = "MJ2955"\nbleed = "47 Ω"', "bleed", "in one package", "driver"),
        ("darlington", LIKE_PAIR + 'sharing_diode = "1N5404"', "sharing_diode", "two V_BE", "bypass"),
        ("follower", 'pass = "2N3055"\nR1 = "2 Ω"', "R1", "output feeds the base", "bleed"),
        ("follower", 'pass = "2N3055"\nhandover = "0.3 A"', "handover", "output feeds the base", "bleed"),
        ("follower", 'pass = "2N3055"\ndriver = "BD139"', "driver", "has no driver", "compound"),
        ("pmos", 'pass = "MJ2955"\ndriver = "BD140"', "driver", "gate takes no current", "darlington"),
        ("pmos", 'pass = "MJ2955"\nbleed = "47 Ω"', "bleed", "gate to source already", "R1"),
        ("pmos", 'pass = "MJ2955"\nsharing_diode = "1N5404"', "sharing_diode", "threshold voltage", "bypass"),
        ("bypass", 'pass = "MJ2955"\nlimiter = "BD140"\nlimit = "2 A"\nfoldback = "3 A"', "foldback", "leaves less",
         "600"),
        ("bypass", 'pass = "MJ2955"\nlimiter = "BD139"', "limiter", "is an NPN transistor", "BD140"),
        ("follower", 'pass = "2N3055"\nlimiter = "BD140"', "limiter", "is a PNP transistor", "BD139"),
        ("bypass", 'pass = "MJ2955"\nreverse_diode = "BD140"', "reverse_diode", "is a PNP transistor", ""),
        ("bypass", 'pass = "MJ2955"\nRA = "240 Ω"', "RA", "fixed regulator", ""),
        ("bypass", 'pass = "MJ2955"\nlimitter = "BD140"', "limitter", "no such key", "limiter"),
        ("pmos", 'pass = "MJ2955"', "pass", "is a PNP transistor", ""),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_told_at_its_place(name, lines, where, said, write):
    found = mistakes(name, lines)
    assert len(found) == 1, found
    assert found[0].where == f"stage.{where}" and said in found[0].what and write in found[0].write
    text = (STAGE.format(name=name, input="18 V", output="12 V") + lines).splitlines()
    assert text[found[0].line - 1].startswith(where)


def test_a_negative_output_needs_negative_input_and_negative_types():
    (sign,) = mistakes("bypass", 'pass = "2N3055"', output="-12 V")
    assert sign.where == "input.voltage" and "negative input" in sign.what
    found = mistakes("bypass", 'pass = "MJ2955"', input="-18 V", output="-12 V")
    assert [mistake.where for mistake in found] == ["stage.regulator", "stage.pass"]
    assert "an NPN transistor for a negative bypass stage" in found[1].expected and "2N3055" in found[1].write
