"""Extremes over a box against every corner of it, and what is said where they cannot be told."""

from functools import cache, partial
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from outboard.analysis.extreme_values import BY_SEARCH, BY_SIGNS, Box, extreme_values
from outboard.analysis.sensitivity import Address
from outboard.arrangements import designed
from outboard.brief import read
from outboard.network.circuit import AMBIENT_FIELD, Circuit, laid_out
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.quantities import figures

ROOT = Path(__file__).resolve().parents[2]


@cache
def compound() -> Circuit:
    parts = [part.part for part in designed(read(ROOT / "examples" / "observatory.toml")).parts]
    return laid_out(parts, 300.0)


def around(addresses: list[Address], share: float) -> Box:
    usual = {address: float(solved(compound()).number(*address)[0, 0]) for address in addresses}
    return Box.of({address: (value * (1.0 - share), value * (1.0 + share)) for address, value in usual.items()})


def test_compound_stage_against_all_its_corners() -> None:
    """Six parameters, 64 corners: the signs name the same ends from far fewer solutions."""
    addresses = [
        ("input", "voltage"), ("R1", "resistance"), ("R2", "resistance"), ("Q1", "forward_gain"),
        ("Q2", "forward_gain"), ("U1", "set_voltage"),
    ]  # fmt: skip
    box = around(addresses, 0.05)
    wanted = [
        partial(figures.regulator_current, part="U1"), lambda block: block.junction_temperature("Q2"),
        lambda block: block.net_voltage("out"), partial(figures.collector_current, part="Q1"),
    ]  # fmt: skip
    corners = solved(
        compound(), Overrides(box.addresses, np.array(list(product(*zip(box.least, box.most, strict=True)))))
    )
    for figure, (least, most) in zip(wanted, extreme_values(compound(), wanted, box), strict=True):
        assert least.way == most.way == BY_SIGNS
        assert least.value == pytest.approx(figure(corners).min(), rel=1e-9)
        assert most.value == pytest.approx(figure(corners).max(), rel=1e-9)
        assert most.tried < 64
        again = solved(compound(), Overrides(tuple(most.at), np.array([list(most.at.values())])))
        assert figure(again)[0, 0] == pytest.approx(most.value, rel=1e-9)


def test_a_figure_that_turns_inside_the_box_is_searched_for() -> None:
    """v·(V − v) is greatest at half of V, V²/4: between the ends of the set voltage."""
    addresses = [("U1", "set_voltage")]
    usual = float(solved(compound()).number(*addresses[0])[0, 0])
    box = Box.of({addresses[0]: (0.1 * usual, usual)})

    def turning(block: Block) -> np.ndarray:
        voltage = block.net_voltage("out")
        return voltage * (usual - voltage)

    ((_, most),) = extreme_values(compound(), [turning], box)
    assert most.way == BY_SEARCH
    assert most.turning == (addresses[0],)
    assert most.value == pytest.approx(usual * usual / 4.0, rel=1e-6)
    assert "another may be beyond" in most.sure


def test_a_box_with_points_that_have_no_operating_point_is_undecided() -> None:
    box = Box.of({("load", "draws"): (1.0, 40.0), AMBIENT_FIELD: (300.0, 420.0)})
    ((least, most),) = extreme_values(compound(), [lambda block: block.junction_temperature("Q2")], box)
    for extreme in (least, most):
        assert extreme.value is None
        assert not extreme.at
        assert extreme.unsolved > 0
        assert extreme.sure.startswith("undecided")


def test_a_parameter_that_cannot_move() -> None:
    ((least, most),) = extreme_values(
        compound(), [lambda block: block.net_voltage("out")], Box.of({("R1", "resistance"): (2.0, 2.0)})
    )
    assert least.value == pytest.approx(most.value, rel=1e-12)


def test_a_figure_that_nothing_moves() -> None:
    constant = [lambda block: 3.0 + 0.0 * block.net_voltage("out")]
    ((least, most),) = extreme_values(compound(), constant, around([("R1", "resistance")], 0.1))
    assert least.value == most.value == 3.0
    assert least.way == most.way == BY_SIGNS


def test_a_figure_that_cannot_be_told_leaves_others_alone() -> None:
    figures_ = [lambda block: block.net_voltage("out") * np.nan, lambda block: block.net_voltage("out")]
    (unknown, _), (known, _) = extreme_values(compound(), figures_, around([("U1", "set_voltage")], 0.1))
    assert unknown.value is None
    assert known.value == pytest.approx(0.9 * float(solved(compound()).number("U1", "set_voltage")[0, 0]), rel=1e-2)


def test_probes_are_the_same_every_time_and_fill_every_parameter() -> None:
    box = Box.of({("a", "x"): (0.0, 1.0), ("b", "x"): (10.0, 20.0)})
    points = box.spread(16)
    assert np.array_equal(points, box.spread(16))
    assert np.array_equal(points[0], [0.5, 15.0])
    assert sorted((points[1:, 0] * 16).astype(int)) == list(range(16))
    assert sorted(((points[1:, 1] - 10.0) * 1.6).astype(int)) == list(range(16))


@pytest.mark.parametrize("ends", [{("a", "x"): (2.0, 1.0)}, {("a", "x"): (float("nan"), 1.0)}])
def test_a_box_that_is_none(ends: dict[Address, tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="least and a most"):
        Box.of(ends)
