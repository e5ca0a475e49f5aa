"""Laws that hold for every design, tried on drawn ones: tests/strategies.py makes them."""

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import ResistorNetwork, WrittenBrief, briefs, parts_shuffled, resistor_networks

from outboard.arrangements import Design, designed, expanded_text
from outboard.brief import read_text
from outboard.checks.finding import Verdict
from outboard.checks.verification import verified
from outboard.network.circuit import laid_out
from outboard.network.solve import solved

LOADS = 3
ROUNDING = 1e-6
"""Relative to what is judged: the solver stops at 1e-8 V, from whichever side it comes."""

seeds = st.integers(0, 2**32 - 1)


def design_of(text: str) -> Design:
    return designed(read_text(text, "drawn.toml"))


def solution(design: Design) -> dict[object, float]:
    """Every unknown of the usual operating point by its node; nothing when there is no such point."""
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    block = solved(circuit)
    return {node: float(block.at(node)[0, 0]) for node in circuit.unknowns} if block.is_solved.all() else {}


def margins(verdict: Verdict) -> dict[tuple[str, str | None], tuple[float, float]]:
    """Margin and limit of every finding that has both, by requirement and part."""
    return {(one.requirement, one.part): (one.margin, one.limit) for one in verdict.findings
            if one.margin is not None and one.limit is not None}  # fmt: skip


def with_resistors(design: Design, factor: float) -> Design:
    """The same parts, bought with another tolerance."""
    parts = tuple(replace(part, tolerance=factor * part.tolerance) if part.tolerance else part for part in design.parts)
    return replace(design, parts=parts)


@pytest.mark.slow
@settings(max_examples=4)
@given(briefs(most_devices=1, loaded=True), st.sampled_from((1.5, 2.0, 4.0)))
def test_a_wider_tolerance_never_improves_a_margin(brief: WrittenBrief, factor: float) -> None:
    """Of every figure that rises or falls with a resistor all the way, which corners then bound.

    Headroom does not: with a larger base resistor the regulator carries less and its drop-out falls, while the pass
    transistor carries more and its V_BE grows.  It can be least strictly inside the tolerance, unseen by corners.
    Nor is there a law for an output that nothing loads: picoamperes of leakage decide on volts there.
    """
    design = design_of(brief.text)
    assert any(part.tolerance for part in design.parts)
    narrow, wide = (margins(verified(one, loads=LOADS)) for one in (design, with_resistors(design, factor)))
    assert len(narrow.keys() & wide.keys()) > 5
    for key in narrow.keys() & wide.keys():
        if key[0].startswith("headroom"):
            continue
        margin, limit = narrow[key]
        assert wide[key][0] <= margin + ROUNDING * max(1.0, abs(limit)), key


@settings(max_examples=25)
@given(briefs(), seeds)
def test_the_order_of_a_file_says_nothing(brief: WrittenBrief, seed: int) -> None:
    one, other = design_of(brief.text), design_of(brief.shuffled(random.Random(seed)).text)
    assert {part.name: part for part in one.parts} == {part.name: part for part in other.parts}
    assert one.notes == other.notes


@settings(max_examples=25)
@given(briefs(), seeds)
def test_the_order_of_parts_does_not_move_the_solution(brief: WrittenBrief, seed: int) -> None:
    text = expanded_text(design_of(brief.text))
    one, other = (solution(design_of(written)) for written in (text, parts_shuffled(text, random.Random(seed))))
    assume(one)
    assert one.keys() == other.keys()
    for node, value in one.items():
        assert other[node] == pytest.approx(value, rel=1e-7, abs=1e-7), node


@pytest.mark.slow
@settings(max_examples=2)
@given(briefs(most_devices=1), seeds)
def test_the_order_of_parts_does_not_move_a_verdict(brief: WrittenBrief, seed: int) -> None:
    text = expanded_text(design_of(brief.text))
    one, other = (verified(design_of(written), loads=LOADS)
                  for written in (text, parts_shuffled(text, random.Random(seed))))  # fmt: skip
    assert one.counts == other.counts
    found, again = margins(one), margins(other)
    assert found.keys() == again.keys()
    for key, (margin, limit) in found.items():
        assert again[key][0] == pytest.approx(margin, rel=ROUNDING, abs=ROUNDING * max(1.0, abs(limit))), key


@settings(max_examples=25)
@given(briefs())
def test_a_design_written_out_has_the_same_solution(brief: WrittenBrief) -> None:
    design = design_of(brief.text)
    again = design_of(expanded_text(design))
    assert again.components == design.components
    one, other = solution(design), solution(again)
    assume(one)
    assert one == other


def potentials(network: ResistorNetwork) -> dict[str, float]:
    """Kirchhoff's current law net by net, solved by NumPy: the outside view."""
    place = {net: number for number, net in enumerate(network.nets)}
    conductances, currents = np.zeros((len(place), len(place))), np.zeros(len(place))
    for one, other, ohms in (*network.resistors, ("in", "ground", network.inner)):
        ends = [place[net] for net in (one, other) if net != "ground"]
        for end in ends:
            conductances[end, end] += 1.0 / ohms
        if len(ends) == 2:
            conductances[ends[0], ends[1]] -= 1.0 / ohms
            conductances[ends[1], ends[0]] -= 1.0 / ohms
    currents[place["in"]] = network.voltage / network.inner
    return dict(zip(network.nets, np.linalg.solve(conductances, currents), strict=True))


@settings(max_examples=60)
@given(resistor_networks(), seeds)
def test_a_network_of_resistors_keeps_kirchhoffs_law_in_any_order(network: ResistorNetwork, seed: int) -> None:
    parts = random.Random(seed).sample(network.parts, len(network.parts))
    block = solved(laid_out(parts, 298.15))
    assert block.is_solved.all()
    for net, volts in potentials(network).items():
        assert float(block.net_voltage(net)[0, 0]) == pytest.approx(volts, rel=1e-6, abs=1e-7), net
