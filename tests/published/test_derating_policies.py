"""Derating of parts: MIL-STD-975M (NASA, 1994, cancelled 1998), appendix A, read second-hand."""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.formulas import part_derating as derating
from outboard.formulas.derating_policies import MILITARY, SILICON


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


@pytest.mark.parametrize(
    ("styles", "printed_steps"),
    [
        ("CCR, CKR, CDR ceramic", ((110, 0.60),)),
        ("CSR solid tantalum", ((70, 0.50), (90, 0.40), (110, 0.30))),
        ("CLR79 wet tantalum", ((70, 0.60), (90, 0.50), (110, 0.40))),
    ],
)
def test_capacitors(styles, printed_steps, exactly):
    """W8. Section A.3.1; the wet tantalum's temperatures are taken to be those of the solid one (not printed there)."""
    policy = next(row for row in derating.CAPACITORS if row.styles == styles)
    for celsius, share in printed_steps:
        assert derating.capacitor_share(policy, ZERO_CELSIUS + celsius) == exactly(share)
    assert derating.capacitor_share(policy, ZERO_CELSIUS + 111) == 0.0
    assert derating.capacitor_share(policy, ZERO_CELSIUS - 40) == exactly(printed_steps[0][1])


def test_fuse_case(exactly):
    """W9. Section A.3.9: shares by rated current; a 4 A fuse at 80 °C may carry 0.90 A (slope inferred from that)."""
    rows = {2: 0.50, 15: 0.50, 1: 0.45, 1.5: 0.45, 0.75: 0.40, 0.5: 0.40, 0.375: 0.35, 0.25: 0.30, 0.125: 0.25}
    assert {rated: derating.fuse_share(rated) for rated in rows} == rows
    share = derating.fuse_share_at(share=derating.fuse_share(4.0), temperature=ZERO_CELSIUS + 80.0)
    assert 4.0 * share == exactly(0.90)
    with pytest.raises(ValueError, match="no row"):
        derating.fuse_share(20.0)


def test_what_is_not_from_the_source_says_so():
    """A.3.1 as it is at hand gives the wet tantalum's shares without temperatures."""
    remarks = {row.styles: row.remark for row in derating.CAPACITORS}
    assert "temperatures taken from the solid one" in remarks["CLR79 wet tantalum"]
    assert sum(map(bool, remarks.values())) == 1
