"""Sizes and verdict keep to one derating policy: what sizing takes for enough passes, or sizing says why not."""

from math import ceil

import pytest

from outboard.arrangements import Sizing, designed, expanded_text, sized
from outboard.brief import Brief, read_text
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.checks.verification import verified
from outboard.constants import ZERO_CELSIUS
from outboard.errors import WrongInput
from outboard.formulas.derating_policies import MILITARY
from outboard.formulas.resistor_derating import POLICY
from outboard.parts import find, ratings

CORES = {
    "compound": 'regulator = "7812"\ndriver = "BD140"\npass = "2N3055"',
    "bypass": 'regulator = "7812"\npass = "MJ2955"',
    "darlington": 'regulator = "7812"\ndriver = "TIP42C"\npass = "MJ2955"',
    "pmos": 'regulator = "7812"\npass = "IRF9540N"',
    "follower": 'regulator = "7812"\npass = "2N3055"',
}
OWN = """[derating]
voltage = "70 %"
current = "40 %"
power = "40 %"
junction_below = "20 K"
resistors = "30 %"
"""


def brief(
    arrangement: str, policy: str, count: int = 1, more: str = "", own: str = OWN, most: str = "20 V", load: str = "5 A"
) -> Brief:
    core = CORES[arrangement]
    driver = 'driver = { sink = "main", pad = "1 K/W" }' if "driver" in core else ""
    return read_text(f"""
title = "Derated"
[input]
voltage = ["17 V", "17 V", "{most}"]
[output]
voltage = "12 V"
tolerance = "{"20 %" if arrangement == "follower" else "8 %"}"
load = ["0.1 A", "2 A", "{load}"]
[surroundings]
ambient = ["0 °C", "20 °C", "40 °C"]
[requirements]
derating = "{policy}"
short_circuit = "none"
{more}
[stage]
arrangement = "{arrangement}"
{core}
count = {count}
[heat.sinks]
main = "0.5 K/W"
[heat]
pass = {{ sink = "main", pad = "0.4 K/W" }}
{driver}
regulator = {{ sink = "main", pad = "1 K/W" }}
{own if policy == "own" else ""}""", "derated.toml")


def asked(sizing: Sizing) -> int:
    return ceil(max(sizing.count.by_power.value or 0.0, sizing.count.by_current.value or 0.0))


def rating_findings(whole: Brief) -> list[Finding]:
    return [found for found in verified(designed(whole), 4).findings if found.derating]


@pytest.mark.parametrize("policy", ["workshop", "MIL-STD-975M", "own"])
@pytest.mark.parametrize("arrangement", CORES)
def test_what_size_takes_for_enough_passes(arrangement: str, policy: str) -> None:
    """With as many devices as size asks for, ratings of pass devices and of sized resistors pass, or size says why."""
    count = asked(sized(brief(arrangement, policy)))
    whole = brief(arrangement, policy, count)
    sizing = sized(whole)
    assert asked(sizing) <= count
    named_values = {name: value.name for value in sizing.values for name in value.names}
    judged = 0
    for found in rating_findings(whole):
        if found.requirement == "resistor power" and found.part in named_values:
            said = f" of {named_values[found.part]} with what "
        elif found.requirement in ("power at case temperature", "junction temperature", "collector current",
                                   "drain current at case temperature") and found.part != "U1":
            said = "unequal pass devices one may carry"
        else:
            continue
        judged += 1
        assert found.verdict == PASS or any(said in remark for remark in sizing.remarks), found
    assert judged >= 3


def test_one_device_less_than_asked_fails() -> None:
    """The count is no more careful than it must be: two are asked for, a single one fails."""
    assert asked(sized(brief("compound", "MIL-STD-975M"))) == 2
    found = rating_findings(brief("compound", "MIL-STD-975M"))
    failed = {one.requirement for one in found if one.verdict == FAIL}
    assert {"junction temperature", "power at case temperature"} & failed


def test_share_of_current_counts_devices() -> None:
    """W5 of MIL-STD-975M: 75 % of the current.  Of 2N3055's 15 A 11.25 A are left: 14 A, hand-over 0.3 A, ask for 2."""
    rated = ratings(find("2N3055"))["I_C"].value
    for policy, share in (("none", 1.0), ("MIL-STD-975M", 0.75), ("workshop", 0.80), ("own", 0.40)):
        worked = sized(brief("compound", policy, load="14 A")).count.by_current.worked
        assert worked is not None
        assert worked.numbers["used_share"] == share
        assert worked.value == ceil((14.0 - 0.3) / (share * rated))


def test_junction_cap_by_hand() -> None:
    """P_1 = (125 °C − T_surroundings)/(R_thJC + pad): A.3.15 caps it, the sink carries all heat."""
    worked = sized(brief("compound", "MIL-STD-975M")).count.by_power.worked
    rated = ratings(find("2N3055"))
    sink = ZERO_CELSIUS + 40.0 + 0.5 * (20.0 - 12.0 * 0.92) * 5.0
    path = rated["R_thJC"].value + 0.4
    by_junction = (ZERO_CELSIUS + 125.0 - sink) / path
    line = (rated["T_J"].value - ZERO_CELSIUS - 25.0) / (0.5 * rated["P_tot"].value)
    by_line = (rated["T_J"].value - sink) / (line + 0.4)
    assert worked is not None
    left = worked.numbers["used_share"] * worked.numbers["power_per_device"]
    assert left == pytest.approx(min(by_junction, by_line))


def test_style_of_resistors_decides_wattage() -> None:
    """RNC may be used to 60 %, which the usual half does not reach; without a style RLR's 30 % counts, and is told."""
    free, film, careful = (
        sized(brief("compound", *policy)) for policy in
        (("none",), ("MIL-STD-975M", 1, 'resistor_style = "RNC"'), ("MIL-STD-975M",))
    )  # fmt: skip
    first, second, third = (sizing.value("R1").needed for sizing in (free, film, careful))
    assert first is not None and second is not None and third is not None
    assert first.value == second.value
    assert (second.numbers["used_share"], third.numbers["used_share"]) == (0.5, 0.3)
    assert any("style of the resistors is not said" in remark for remark in careful.remarks)
    assert not any("style of the resistors" in remark for remark in film.remarks)


def test_the_line_of_a_style_is_never_above_the_makers() -> None:
    """The standard gives shares of the rated power, not of what the maker's line leaves of it; both lines hold."""
    film = MILITARY.of_style("RNC")
    assert film.lines == (POLICY[0],)
    assert film.resistor_share(1.0, ZERO_CELSIUS + 70.0) == 0.60
    assert film.resistor_share(0.2, ZERO_CELSIUS + 125.0) == 0.2
    assert film.resistor_share(1.0, ZERO_CELSIUS + 140.0) == pytest.approx(0.30)
    unknown = film.resistor_share(float("nan"), ZERO_CELSIUS + 70.0)
    assert unknown != unknown


def test_a_style_counts_under_its_policy_only() -> None:
    with pytest.raises(WrongInput) as wrong:
        brief("compound", "workshop", more='resistor_style = "RNC"')
    (mistake,) = wrong.value.mistakes
    assert "styles of resistors" in mistake.what
    assert mistake.line is not None


def test_a_silent_policy_still_lets_a_regulator_fail() -> None:
    """42 V at a 7812, which bears 35 V, fail whatever a policy leaves; 20 V stay open, and the figure is named."""
    def finding(most: str) -> Finding:
        (found,) = [one for one in rating_findings(brief("compound", "MIL-STD-975M", most=most))
                    if (one.requirement, one.part) == ("input voltage", "U1")]  # fmt: skip
        return found

    high, usual = finding("42 V"), finding("20 V")
    assert (high.verdict, high.limit) == (FAIL, ratings(find("7812"))["V_I"].value)
    assert (usual.verdict, usual.worst) == (UNDECIDED, None)
    assert "not at hand" in usual.missing[0]


def test_an_own_table_names_single_ratings() -> None:
    own = OWN + 'V_CEO = "50 %"\n'
    found = {(one.requirement, one.part): one for one in rating_findings(brief("compound", "own", own=own))}
    rated = ratings(find("2N3055"))
    assert found["collector-emitter voltage", "Q2"].limit == pytest.approx(0.5 * rated["V_CEO"].value)
    assert found["reverse base-emitter voltage", "Q2"].limit == pytest.approx(0.7 * rated["V_EBO"].value)


@pytest.mark.parametrize(
    ("policy", "more", "own"), [("own", "", OWN + 'V_CEO = "50 %"\n'), ("MIL-STD-975M", 'resistor_style = "RWR"', "")]
)
def test_the_policy_is_written_out_again(policy: str, more: str, own: str) -> None:
    whole = brief("compound", policy, more=more, own=own)
    again = read_text(expanded_text(designed(whole)), "again.toml")
    assert again.requirements == whole.requirements
    assert again.requirements.policy == whole.requirements.policy
