"""A policy for resistors: MIL-STD-975M (NASA, 1994, cancelled 1998) and MIL-HDBK-978B, both read second-hand."""

from outboard.constants import ZERO_CELSIUS
from outboard.formulas import resistor_derating as derating


def test_policy_table():
    """E5. MIL-STD-975M, section A.3.11: share of power, end of the plateau, end of the line."""
    printed_rows = {
        "RNR, RNC, RNN film": (0.60, 125, 155),
        "RWR, RER wirewound": (0.60, 30, 175),
        "RLR film": (0.30, 70, 94),
        "RCR composition": (0.60, 70, 110),
        "RBR accurate wirewound": (0.60, 125, 137),
        "RTR variable wirewound": (0.60, 85, 125),
        "RZO network": (0.60, 70, 125),
        "RM chip": (0.60, 70, 118),
    }
    rows = {
        row.styles: (row.share, round(row.full_until - ZERO_CELSIUS, 6), round(row.nothing_from - ZERO_CELSIUS, 6))
        for row in derating.POLICY
    }
    assert rows == printed_rows


def test_share_falls_from_plateau_to_nothing(exactly):
    """E5. Plateau, middle and end of the line for every group of styles."""
    for row in derating.POLICY:

        def share(temperature: float, row: derating.ResistorPolicy = row) -> float:
            return derating.used_share_at(
                share=row.share, temperature=temperature, full_until=row.full_until, nothing_from=row.nothing_from
            )

        assert share(row.full_until - 20) == exactly(row.share)
        assert share((row.full_until + row.nothing_from) / 2) == exactly(row.share / 2)
        assert share(row.nothing_from + 5) == 0


def test_worked_power(printed):
    """E5. MIL-STD-975M, worked example 1: RNR of 0.5 W at 130 °C may take 0.25 W."""
    row = derating.POLICY[0]
    share = derating.used_share_at(
        share=row.share, temperature=ZERO_CELSIUS + 130, full_until=row.full_until, nothing_from=row.nothing_from
    )
    assert 0.5 * share == printed("0.25")


def test_voltage_limit(printed):
    """E7. MIL-STD-975M, worked example 2: RNC 0.1 W, 475 kΩ, 200 V.  The power limb, 174 V, does not bind."""
    resistor = {"voltage_share": 0.8, "rated_power": 0.1, "resistance": 475e3}
    assert derating.allowed_voltage(**resistor, style_voltage=200.0) == printed("160")
    assert derating.allowed_voltage(**resistor, style_voltage=1e6) == printed("174")


def test_film_pulse_limits(exactly):
    """E8. MIL-HDBK-978B, section 3.3.5.3, p. 3-31: four times the power, 1.4 times the voltage."""
    assert derating.greatest_pulse_power(rated_power=0.25) == exactly(1.0)
    assert derating.greatest_pulse_voltage(style_voltage=250.0) == exactly(350.0)
