"""Derating of parts: MIL-STD-975M (NASA, 1994, cancelled 1998), appendix A, and ECSS-Q-ST-30-11C, read second-hand."""

from pathlib import Path

import pytest

from outboard.arrangements import designed
from outboard.brief import read
from outboard.checks.derating import derated
from outboard.checks.ratings import rating_checks
from outboard.constants import ZERO_CELSIUS
from outboard.formulas import NoSolution
from outboard.formulas import connection_derating as connection
from outboard.formulas import part_derating as derating
from outboard.formulas.derating_policies import MILITARY, SILICON, Shares, own_policy
from outboard.network.circuit import laid_out
from outboard.network.solve import solved


def test_transistor_case(exactly):
    """W5. Section A.3.15: power 0.50, current 0.75, voltage 0.75, junction at most 125 °C, V_GS 0.60.

    The case of the standard: 75 W, 14 A, 100 V, 20 V leave 37.5 W, 10.5 A, 75 V, 12 V.
    """
    for kind in ("bipolar", "mosfet"):
        shares = MILITARY.kinds[kind]
        assert (shares.power * 75.0, shares.current * 14.0, shares.voltage * 100.0) == exactly((37.5, 10.5, 75.0))
        assert shares.highest == SILICON == exactly(ZERO_CELSIUS + 125.0)
    assert MILITARY.kinds["mosfet"].by["V_GS"] * 20.0 == exactly(12.0)


def test_diode_case(exactly):
    """W6. Section A.3.4: peak inverse voltage 0.70, currents 0.50, junction at most 125 °C; 200 V leave 140 V."""
    shares = MILITARY.kinds["diode"]
    assert (shares.voltage * 200.0, shares.current, shares.highest) == exactly((140.0, 0.50, ZERO_CELSIUS + 125.0))
    assert shares.power == exactly(0.50)


CAPACITORS = [
    ("CCR, CKR, CKS, CDR ceramic", ((110, 0.60),)),
    ("CYR glass", ((110, 0.50),)),
    ("CRH, CHS film", ((85, 0.60),)),
    ("CLR25, CLR27, CLR35, CLR37 tantalum foil", ((70, 0.50),)),
    ("CSR solid tantalum", ((70, 0.50), (90, 0.40), (110, 0.30))),
    ("CLR79 wet tantalum", ((70, 0.60), (90, 0.50), (110, 0.40))),
    ("CSS, CWR solid tantalum", ((25, 0.50), (90, 0.40))),
    ("CLR81 wet tantalum", ((25, 0.60), (90, 0.50))),
]


@pytest.mark.parametrize(("styles", "printed_steps"), CAPACITORS, ids=[styles for styles, _ in CAPACITORS])
def test_capacitors(styles, printed_steps, exactly):
    """W8. Section A.3.1, the table of styles: share of voltage and highest temperature."""
    policy = next(row for row in derating.CAPACITORS if row.styles == styles)
    for celsius, share in printed_steps:
        assert derating.capacitor_share(policy, ZERO_CELSIUS + celsius) == exactly(share)
    end = policy.steps[-1][0]
    assert end - ZERO_CELSIUS == exactly({"CRH, CHS film": 85, "CLR25, CLR27, CLR35, CLR37 tantalum foil": 70}.get(
        styles, 110))  # fmt: skip
    assert derating.capacitor_share(policy, end + 1) == 0.0
    assert derating.capacitor_share(policy, ZERO_CELSIUS - 40) == exactly(printed_steps[0][1])


def test_no_style_of_capacitor_is_left_out():
    """W8. All 16 styles of the table."""
    styles = "CCR CKS CKR CDR CYR CRH CHS CLR25 CLR27 CLR35 CLR37 CLR79 CLR81 CSR CSS CWR"
    found = [word.strip(",") for row in derating.CAPACITORS for word in row.styles.split() if word.strip(",").isupper()]
    assert sorted(found) == sorted(styles.split())


def test_worked_capacitor(exactly):
    """W8. CYR of 100 V at 70 °C with 45 V and 5 V of ripple on top: exactly the 50 V that it may have."""
    policy = next(row for row in derating.CAPACITORS if row.styles.startswith("CYR"))
    assert 100.0 * derating.capacitor_share(policy, ZERO_CELSIUS + 70) == exactly(45.0 + 5.0)


def test_regulators(exactly):
    """Section A.3.7, voltage regulators: input-output differential, power and output current 0.80, junction 100 °C."""
    shares = MILITARY.kinds["regulator"]
    assert (shares.share("V_diff"), shares.power, shares.current) == exactly((0.80, 0.80, 0.80))
    assert shares.share("V_I") is None, "the table says nothing about the voltage from input to ground"
    assert shares.junction(ZERO_CELSIUS + 150.0) - ZERO_CELSIUS == exactly(100.0)


def test_fuse_case(exactly):
    """W9. Section A.3.9: shares by rated current; a 4 A fuse at 80 °C may carry 0.90 A (slope inferred from that)."""
    rows = {2: 0.50, 15: 0.50, 1: 0.45, 1.5: 0.45, 0.75: 0.40, 0.5: 0.40, 0.375: 0.35, 0.25: 0.30, 0.125: 0.25}
    assert {rated: derating.fuse_share(rated) for rated in rows} == rows
    share = derating.fuse_share_at(share=derating.fuse_share(4.0), temperature=ZERO_CELSIUS + 80.0)
    assert 4.0 * share == exactly(0.90)
    with pytest.raises(ValueError, match="no row"):
        derating.fuse_share(20.0)


def test_what_is_not_from_the_source_says_so():
    """A.3.1 as it is at hand gives two groups of tantalums at two places only."""
    remarks = {row.styles: row.remark for row in derating.CAPACITORS if row.remark}
    assert remarks.keys() == {"CSS, CWR solid tantalum", "CLR81 wet tantalum"}
    assert all("ends of the line taken from" in remark for remark in remarks.values())


def test_cermet_fuse(exactly):
    """W10. ECSS-Q-ST-30-11C Rev. 2, table 6-17 (second-hand): 65 % to 85 °C at the case, falling to 50 % at 110 °C,
    nothing above; clause 6.17.3 c: a source of three times the rating."""
    for celsius, share in ((-40, 0.65), (85, 0.65), (97.5, 0.575), (110, 0.50)):
        assert connection.cermet_fuse_share(case_temperature=ZERO_CELSIUS + celsius) == exactly(share)
    with pytest.raises(NoSolution):
        connection.cermet_fuse_share(case_temperature=ZERO_CELSIUS + 110.1)
    assert connection.fuse_source_current(rated_current=4.0) == exactly(12.0)


def test_connector(exactly):
    """W11. ECSS-Q-ST-30-11C Rev. 2, table 6-10 (second-hand): 50 % of the current, the lower of 25 % of the test
    voltage and 75 % of the working one, 30 K below the highest temperature."""
    assert connection.contact_current(rated_current=9.0) == exactly(4.5)
    assert connection.connector_voltage(test_voltage=1000.0, working_voltage=300.0) == exactly(225.0)
    assert connection.connector_voltage(test_voltage=600.0, working_voltage=300.0) == exactly(150.0)
    assert connection.connector_temperature(rated_temperature=ZERO_CELSIUS + 125.0) - ZERO_CELSIUS == exactly(95.0)


def test_wire_in_a_bundle(printed, exactly):
    """W12. MIL-STD-975M, section A.3.16: AWG 16 alone 13 A, of five 11.14 A, of sixteen and more half; 8 A go through
    AWG 16 but not AWG 18 in a bundle of five."""
    single = connection.single_wire_current(16)
    assert connection.bundled_current(single=single, wires=1) == exactly(13.0)
    assert connection.bundled_current(single=single, wires=5) == printed("11.14")
    for wires in (16, 40):
        assert connection.bundled_current(single=single, wires=wires) == printed("6.5")
    assert connection.bundled_current(single=connection.single_wire_current(18), wires=5) < 8.0
    text = ("30 1.3 28 1.8 26 2.5 24 3.3 22 4.5 20 6.5 18 9.2 16 13.0 14 19.0 12 25.0 10 33.0 8 44.0 6 60.0 4 81.0 "
            "2 108.0 0 147.0 -1 169.0")
    words = text.split()
    printed_rows = {int(gauge): float(amperes) for gauge, amperes in zip(words[::2], words[1::2], strict=True)}
    assert printed_rows == connection.SINGLE_WIRE
    assert connection.single_wire_current(16, 105) == exactly(6.5)
    with pytest.raises(ValueError, match="no row"):
        connection.single_wire_current(17)
    assert connection.INSULATION == {200: 1.0, 150: 0.80, 135: 0.70, 105: 0.50}


def test_bipolar_transistor_of_a_space_standard(exactly):
    """W13. ECSS-Q-ST-30-11C, family 12 (memory): voltages 75 %, collector current 75 %, power 65 %, junction at most
    110 °C and 40 K below its rating; as an own policy on the pass device of an example."""
    design = designed(read(Path(__file__).parents[2] / "examples" / "observatory.toml"))
    policy = own_policy(Shares(0.75, 0.75, 0.65, ZERO_CELSIUS + 110.0, 40.0, source=""), 1.0)
    part = design.part("Q2")
    limits = {check.requirement: (check.limit, derated(check, part, policy).limit)
              for check in rating_checks(design) if check.part == "Q2" and check.rating}  # fmt: skip
    for requirement in ("collector-emitter voltage", "reverse base-emitter voltage", "collector current",
                        "base current"):
        before, after = limits[requirement]
        assert after == exactly(0.75 * before), requirement
    assert limits["junction temperature"] == exactly((ZERO_CELSIUS + 200.0, ZERO_CELSIUS + 110.0))
    block = solved(laid_out(design.components, design.brief.surroundings.ambient.usual))
    before, after = limits["power at case temperature"]
    assert after(block)[0, 0] == exactly(0.65 * before(block)[0, 0])
    assert policy.kinds["bipolar"].junction(ZERO_CELSIUS + 125.0) - ZERO_CELSIUS == exactly(85.0)
