"""The division of the load current: curves against single operating points, hand-over, limits, ways that part."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from outboard.analysis.curves import DOWN, UP, Curve, Division
from outboard.analysis.divide import division
from outboard.analysis.landmarks import LIMITS, STARTS, TOO_HIGH, differences
from outboard.analysis.operating import operating_point
from outboard.arrangements import Design, designed
from outboard.brief import read
from outboard.errors import RefusedNetwork
from outboard.network.outcome import NOT_CONVERGED, SOLVED

ROOT = Path(__file__).resolve().parents[2]
COMPOUND = ROOT / "examples" / "observatory.toml"
BYPASS = ROOT / "examples" / "model-railway.toml"
WRONG = ROOT / "examples" / "wrong-attic-server.toml"
FOLDBACK = ROOT / "tests" / "reference" / "networks" / "current-limit-foldback.toml"
PARALLEL = ROOT / "tests" / "reference" / "networks" / "four-in-parallel.toml"


@cache
def design(path: Path) -> Design:
    return designed(read(path))


@cache
def divided(path: Path) -> Division:
    return division(design(path))


@pytest.mark.parametrize("path", [COMPOUND, BYPASS], ids=lambda path: path.stem)
def test_every_tenth_point_is_an_operating_point_found_alone(path: Path) -> None:
    """The sweep follows the load; a single point raises the sources anew. Both must end in the same place."""
    for curve in divided(path).curves:
        for place in range(0, len(curve.load), 10):
            alone = operating_point(design(path), load=float(curve.load[place]), ambient=curve.ambient)
            assert abs(alone.nets["out"]) == pytest.approx(curve.output[place], abs=1e-6)
            for name, junctions in curve.junctions.items():
                assert alone.parts[name].junction == pytest.approx(junctions[place], abs=1e-3)


def test_loads_reach_from_nothing_to_overload_with_every_promised_one_among_them() -> None:
    found = divided(COMPOUND)
    load = found.curve("usual").load
    assert load[0] == 0.0 and load[-1] == pytest.approx(1.6 * 5.0)
    assert {0.0, 2.0, 5.0} <= set(load.tolist())
    assert (np.diff(load) > 0.0).all()
    assert found.holds


def test_a_transistor_hands_over_at_a_hundredth_of_its_full_current() -> None:
    found = divided(COMPOUND)
    for place in found.handovers:
        ambient = found.curve(place.condition).ambient
        full, start = (
            abs(operating_point(design(COMPOUND), load=load, ambient=ambient).parts[place.part].currents["collector"])
            for load in (found.promised.most, place.load)
        )
        assert start == pytest.approx(STARTS * full, rel=0.1), "between two points of the sweep"


def test_hand_over_comes_near_the_current_that_the_base_resistor_was_sized_for() -> None:
    """R1 was taken for 0.3 A at a usual V_BE; hot devices start earlier, cold ones later (−2 mV/K of V_BE)."""
    beside = {place.condition: place.regulator_current for place in divided(COMPOUND).handovers if place.part == "Q1"}
    assert beside["usual"] == pytest.approx(0.3, rel=0.2)
    assert beside["hot"] < beside["usual"] < beside["cold"]


def test_devices_in_parallel_start_in_the_order_of_their_saturation_currents() -> None:
    """Of equal transistors on one sink, the one with the larger saturation current conducts first."""
    starts = {place.part: place.load for place in divided(PARALLEL).handovers if place.part != "Q1"}
    saturation = {part.name: part.part.values["saturation_current"] for part in design(PARALLEL).parts
                  if part.name in starts}  # fmt: skip
    assert len(set(saturation.values())) == len(starts) == 4
    by_start = sorted(starts, key=lambda name: starts[name] or 0.0)
    assert by_start == sorted(saturation, key=lambda name: -saturation[name])


def test_an_unloaded_output_that_floats_is_an_event_at_no_load_only() -> None:
    high = [event for event in divided(WRONG).events if event.what == TOO_HIGH and event.condition == "usual"]
    assert [event.least for event in high] == [0.0]
    assert high[0].most < 0.2, "the least promised load holds it down"


def test_foldback_latches_and_is_reported_both_ways() -> None:
    found = divided(FOLDBACK)
    up, down = found.curve("usual", UP), found.curve("usual", DOWN)
    (apart,) = found.differs
    at = int(np.argmin(np.abs(up.load - 0.5 * (apart.least + apart.most))))
    assert up.output[at] > 11.0 and down.output[at] < 1.0
    limits = [event for event in found.events if event.what == LIMITS]
    assert limits and limits[0].part == "U1" and limits[0].least >= apart.most


def test_a_resistance_as_load_becomes_the_current_that_it_takes() -> None:
    taken = operating_point(design(FOLDBACK)).conditions.load
    assert divided(FOLDBACK).promised.most == taken


def test_another_input_voltage_moves_the_regulators_heat_with_it() -> None:
    low, high = (division(design(COMPOUND), points=12, input_voltage=voltage) for voltage in (17.0, 20.0))
    assert (low.curves[0].input_voltage, high.curves[0].input_voltage) == (17.0, 20.0)
    assert high.curve("usual").powers["Q2"][-1] > low.curve("usual").powers["Q2"][-1] + 3.0 * 7.0


def test_without_a_load_there_is_nothing_to_divide() -> None:
    whole = design(COMPOUND)
    bare = replace(whole, parts=tuple(part for part in whole.parts if part.name != "load"))
    with pytest.raises(RefusedNetwork, match="load"):
        division(bare)


def shifted(curve: Curve, by: float) -> Curve:
    return replace(curve, output=curve.output + by)


def test_ways_part_only_where_the_gap_is_worth_it() -> None:
    curve = divided(COMPOUND).curve("usual")
    assert list(differences(curve, shifted(curve, 0.001), 5.0)) == []
    (apart,) = differences(curve, shifted(curve, 1.0), 5.0)
    assert (apart.least, apart.most, apart.gap) == (curve.load[0], curve.load[-1], pytest.approx(1.0))


def test_a_way_without_a_point_parts_from_one_with() -> None:
    curve = divided(COMPOUND).curve("usual")
    outcomes = curve.outcomes.copy()
    outcomes[3:5] = NOT_CONVERGED
    assert outcomes[2] == SOLVED
    (apart,) = differences(curve, replace(curve, outcomes=outcomes), 5.0)
    assert (apart.least, apart.most) == (curve.load[3], curve.load[4])
