"""Field-effect transistors read from sheets written by hand: what is printed comes back, what is not stays open."""

import math
from dataclasses import replace

import pytest

from outboard.devices.catalogue import DEVICES
from outboard.identify import identified
from outboard.identify.mosfet import drain_current, gate_voltage, on_resistance, transconductance
from outboard.network.circuit import laid_out
from outboard.network.fields import fields
from outboard.network.part import Part
from outboard.network.solve import solved
from outboard.parts.records import Conditions, Figure, PartType

HOT = 423.15


def figure(name: str, least: float | None = None, typical: float | None = None, most: float | None = None,
           source: str = "S1", **conditions: float) -> Figure:  # fmt: skip
    return Figure(name, least, typical, most, Conditions(**conditions), source)  # type: ignore[arg-type]


THRESHOLD = figure("VGS_th", 2.0, None, 4.0, drain_current=250e-6)
ON = figure("RDS_on", most=0.12, gate_source_voltage=10.0, drain_current=11.0)
GAIN = figure("gfs", 5.3, drain_source_voltage=50.0, drain_current=11.0)
COLD = figure("IDSS", most=25e-6, drain_source_voltage=100.0, junction_temperature=298.15)
LEAK = figure("IDSS", most=250e-6, drain_source_voltage=80.0, junction_temperature=HOT)
BODY = figure("VSD", most=1.6, forward_current=11.0)


def invented(*figures: Figure) -> PartType:
    return PartType("INV1", "mosfet", "p-channel", ("TO-220",), (), "invented", figures)


WHOLE = invented(THRESHOLD, ON, GAIN, COLD, LEAK, BODY)


def test_every_value_is_a_field_of_the_model() -> None:
    found = identified(WHOLE)
    assert found.values.keys() <= fields("mosfet").keys()
    assert found.origins.keys() == found.values.keys()
    assert {spread.axis for spread in found.spreads} == {"threshold", "on-resistance", "leakage"}


@pytest.mark.parametrize(("end", "printed"), [("least", 2.0), ("usual", 3.0), ("most", 4.0)])
def test_threshold_ends_have_the_printed_voltage_at_the_test_current(end: str, printed: float) -> None:
    """V_DS = V_GS at 250 µA, with the device's own equations."""
    assert gate_voltage(identified(WHOLE).at(threshold=end), 250e-6) == pytest.approx(printed, abs=1e-9)


def test_weak_end_meets_on_resistance_and_transconductance() -> None:
    found = identified(WHOLE)
    weak = found.at(on_resistance="most")
    assert on_resistance(weak, 10.0, 11.0) == pytest.approx(0.12, rel=1e-9)
    # the square law's g_fs = √(2·K·I/n), less what weak inversion makes of it
    assert transconductance(weak, 11.0, 50.0) == pytest.approx(5.3, rel=1e-3)
    assert on_resistance(found.values, 10.0, 11.0) == pytest.approx(0.75 * 0.12, rel=1e-9)
    assert on_resistance(found.at(on_resistance="least"), 10.0, 11.0) < 0.75 * 0.12
    both = found.at(on_resistance="most", threshold="most")
    assert on_resistance(both, 10.0, 11.0) > 0.12, "the safe side"


def test_body_diode_leaks_the_hot_limit_at_most_and_drops_no_more_than_printed() -> None:
    """In a network of its own, against the printed condition; the channel adds what flows at V_GS = 0."""
    found = identified(WHOLE)

    def leak(values: dict[str, float], celsius: float) -> float:
        parts = [
            Part("rail", "source", {"plus": "d", "minus": "ground"}, {"voltage": -80.0}),
            Part("Q", "mosfet", {"drain": "d", "gate": "ground", "source": "ground"}, values, "p-channel"),
        ]
        return abs(float(solved(laid_out(parts, 273.15 + celsius)).pin_current("Q", "drain")[0, 0]))

    assert leak(dict(found.at(leakage="most")), 150.0) == pytest.approx(250e-6, rel=1e-6)
    assert leak(dict(found.values), 150.0) < 250e-6
    assert leak(dict(found.at(leakage="least")), 150.0) < 1e-9
    values = found.values
    junction = 0.025692579121493725 * math.log(11.0 / values["body_saturation_current"])
    assert junction == pytest.approx(0.8, rel=1e-9) and junction + 11.0 * values["drain_resistance"] < 1.6


def test_cold_limit_above_the_law_is_left_open() -> None:
    """The sheet lets 25 µA pass at 25 °C; the body diode's law from 250 µA at 150 °C leaves a thousandth of that."""
    assert "cold leakage" in identified(WHOLE).undecided
    assert "cold leakage" not in identified(invented(THRESHOLD, ON, GAIN, LEAK, BODY)).undecided


def test_cold_limit_alone_says_nothing_hot() -> None:
    found = identified(invented(THRESHOLD, ON, GAIN, COLD, BODY))
    assert found.spread("leakage") is None
    assert {"leakage", "hot leakage"} <= found.undecided.keys()
    assert found.undecided.keys() == identified(invented(THRESHOLD, ON, GAIN)).undecided.keys()


def test_origins_are_worth_what_the_figures_are() -> None:
    spread = identified(WHOLE).spread("threshold")
    assert spread is not None and [origin.kind for origin in spread.origins] == ["limit", "limit"]
    recalled = identified(invented(replace(THRESHOLD, source="recalled"), ON, GAIN)).spread("threshold")
    assert recalled is not None and [origin.kind for origin in recalled.origins] == ["recalled", "recalled"]
    weak = identified(WHOLE).spread("on-resistance")
    assert weak is not None and [origin.kind for origin in weak.origins] == ["default", "limit"]
    without = identified(invented(THRESHOLD, ON)).spread("on-resistance")
    assert without is not None and without.origins[1].kind == "default"
    for name, origin in identified(WHOLE).origins.items():
        assert origin.kind == "default", name


@pytest.mark.parametrize("figures", [(THRESHOLD,), (ON, GAIN), ()], ids=["no R_DS(on)", "no V_GS(th)", "nothing"])
def test_without_threshold_or_on_resistance_there_is_no_model(figures: tuple[Figure, ...]) -> None:
    with pytest.raises(ValueError, match="INV1"):
        identified(invented(*figures))


@pytest.mark.parametrize("threshold", [
    figure("VGS_th", typical=3.0, drain_current=1e-3), figure("VGS_th", most=4.0), figure("VGS_th", least=1.0),
])  # fmt: skip
def test_one_sided_thresholds_keep_their_order(threshold: Figure) -> None:
    found = identified(invented(threshold, ON, GAIN))
    spread = found.spread("threshold")
    assert spread is not None
    assert spread.least[0] < found.values["threshold_voltage"] < spread.most[0]
    kinds = {side: origin.kind for side, origin in zip(("least", "most"), spread.origins, strict=True)}
    for side in kinds:
        assert (kinds[side] == "limit") == (getattr(threshold, side) is not None)


def test_on_resistance_that_asks_for_more_than_the_least_gain() -> None:
    """0.02 Ω, and a least g_fs that leaves the channel alone more than that: a stronger channel, and a word of it."""
    tight = replace(ON, most=0.02)
    found = identified(invented(THRESHOLD, tight, GAIN))
    assert on_resistance(found.at(on_resistance="most"), 10.0, 11.0) == pytest.approx(0.02, rel=1e-9)
    assert any("asks for more transconductance" in note for note in found.notes)


def test_a_device_that_does_not_carry_the_current_has_no_on_resistance() -> None:
    values = {"threshold_voltage": 3.0, "transconductance": 1.0}
    assert on_resistance(values, 3.1, 10.0) == math.inf
    assert drain_current(values, 0.0, 10.0) < 1e-12
    assert "mosfet" in {device.name for device in DEVICES}
