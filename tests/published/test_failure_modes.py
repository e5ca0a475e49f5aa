"""Failure mode shares: MIL-HDBK-338B (1 October 1998), distributions taken from FMD-91, seen second-hand.

The rows are restated here; families past resistors were named by the ordering of MIL-HDBK-217 in what was read.
"""

import pytest

from outboard.sources import source
from outboard.whatif import modes

ROWS = [
    (modes.TRANSISTOR, {"short": 0.73, "open": 0.27}),
    (modes.FIELD_EFFECT, {"short": 0.51, "output low": 0.22, "drift": 0.17, "open": 0.05, "output high": 0.05}),
    (modes.DIODE, {"short": 0.49, "open": 0.36, "drift": 0.15}),
    (modes.FILM_RESISTOR, {"open": 0.59, "drift": 0.36, "short": 0.05}),
    (modes.COMPOSITION_RESISTOR, {"drift": 0.66, "open": 0.31, "short": 0.03}),
    (modes.WIREWOUND_RESISTOR, {"open": 0.65, "drift": 0.26, "short": 0.09}),
    (modes.POTENTIOMETER, {"open": 0.53, "erratic": 0.40, "short": 0.07}),
    (modes.CERAMIC_CAPACITOR, {"short": 0.49, "drift": 0.29, "open": 0.22}),
    (modes.FILM_CAPACITOR, {"open": 0.42, "short": 0.40, "drift": 0.18}),
    (modes.ELECTROLYTIC_CAPACITOR, {"short": 0.53, "open": 0.35, "leak": 0.10, "drift": 0.02}),
    (modes.TANTALUM_CAPACITOR, {"short": 0.69, "open": 0.17, "drift": 0.14}),
    (modes.LINEAR_CIRCUIT, {"improper output": 0.77, "no output": 0.23}),
    (modes.TRANSFORMER, {"open": 0.42, "short": 0.42, "drift": 0.16}),
    (modes.FUSE, {"fails to open": 0.49, "slow to open": 0.43, "opens too early": 0.08}),
    (modes.CONNECTION, {"open": 0.61, "intermittent": 0.23, "short": 0.16}),
]


@pytest.mark.parametrize(("family", "shares"), ROWS, ids=lambda row: getattr(row, "family", ""))
def test_shares_are_the_handbook_s(family: modes.Modes, shares: dict[str, float]) -> None:
    assert dict(family.shares) == shares
    assert source(family.source).kind == "standard"


def test_every_family_is_checked_and_adds_up_to_one() -> None:
    assert {family.family for family, _ in ROWS} == {family.family for family in modes.FAMILIES}
    for family in modes.FAMILIES:
        assert sum(family.shares.values()) == pytest.approx(1.0, abs=1e-12)
