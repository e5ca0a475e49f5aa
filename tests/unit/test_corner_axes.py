"""Axes of the tolerances, and the corners that they span."""

import numpy as np
import pytest
from verified_designs import GOOD, WRONG, by_name, corners, design, verdict

from outboard.arrangements import Design, designed, expanded_text
from outboard.brief import read_text
from outboard.cases.axes import SHORT, Axis, axes
from outboard.cases.corners import USUAL, every_choice, swept_loads
from outboard.checks.group import grouped
from outboard.checks.ratings import rating_checks
from outboard.checks.tally import Worst
from outboard.checks.verdict import corner_words
from outboard.constants import ZERO_CELSIUS
from outboard.network.circuit import AMBIENT_FIELD

# ---- axes --------------------------------------------------------------------------------------------------------

SEVERAL = """
title = "Several pass devices"
[input]
voltage = ["17 V", "19 V", "21 V"]
[output]
voltage = "12 V"
tolerance = "6 %"
load = ["0.1 A", "3 A", "6 A"]
[stage]
arrangement = "bypass"
regulator = "7812"
pass = "MJ2955"
count = {count}
{ballast}
resistors = "5 %"
[heat.sinks]
main = "0.4 K/W"
[heat]
pass = {{ sink = "main", pad = "0.5 K/W" }}
regulator = {{ sink = "main", pad = "1 K/W" }}
"""
"""Invented."""


def several(count: int) -> Design:
    ballast = 'ballast = "0.1 Ω"' if count > 1 else ""
    return designed(read_text(SEVERAL.format(count=count, ballast=ballast), "several.toml"))


def axis_named(found: tuple[Axis, ...], name: str) -> Axis:
    (axis,) = (axis for axis in found if axis.name == name)
    return axis


@pytest.mark.parametrize("count", [1, 2, 3, 4])
@pytest.mark.parametrize("kind", ["gain", "V_BE"])
def test_devices_in_parallel_are_alike_or_one_is_apart(count: int, kind: str) -> None:
    whole = several(count)
    devices = [part.name for part in whole.with_role("pass device")]
    assert len(devices) == count
    axis = axis_named(axes(whole), f"{kind} Q1" if count == 1 else f"{kind} Q1…Q{count}")
    assert axis.parts == tuple(devices)
    words = ["least", "most"] + (["least for Q1 only", "most for Q1 only"] if count > 1 else [])
    assert [option.word for option in axis.options] == words
    spread = whole.part("Q1").identified.spread(kind)  # type: ignore[union-attr]
    assert spread is not None
    field, ends = spread.fields[0], {"least": spread.least[0], "most": spread.most[0]}
    for option in axis.options:
        first, others = {
            "least": ("least", "least"), "most": ("most", "most"),
            "least for Q1 only": ("least", "most"), "most for Q1 only": ("most", "least"),
        }[option.word]  # fmt: skip
        assert [option.values[name, field] for name in devices] == [ends[first], *[ends[others]] * (count - 1)]


@pytest.mark.parametrize(("count", "pair"), [(1, 2), (2, 4), (3, 4), (4, 4)])
def test_axes_and_combinations_counted_by_hand(count: int, pair: int) -> None:
    """gain and V_BE (2 ends, 4 for several), leakage 2, R1 2, ballast 2 where there is some, set voltage 3, strength 2;
    and the usual design."""
    found = axes(several(count))
    group = f"Q1…Q{count}" if count > 1 else "Q1"
    expected = {f"gain {group}": pair, f"V_BE {group}": pair, "leakage": 2, "R1": 2, "set voltage U1": 3,
                "strength U1": 2}  # fmt: skip
    expected |= {"other resistors": 2} if count > 1 else {}
    firsts = {axis.name: sum(not option.second_look for option in axis.options) for axis in found}
    assert firsts == expected
    combinations = pair * pair * 2 * 2 * 3 * 2 * (2 if count > 1 else 1)
    assert len(every_choice(found)) == combinations + 1


def test_devices_of_other_types_or_places_are_no_group() -> None:
    names = {axis.name for axis in axes(design("observatory"))}
    assert {"gain Q1", "gain Q2", "V_BE Q1", "V_BE Q2"} <= names


def test_set_voltage_and_regulation_are_never_at_their_ends_together() -> None:
    """The sheet's output band holds for both together."""
    regulator = design("observatory").part("U1").identified
    assert regulator is not None
    regulation, setting = regulator.spread("regulation"), regulator.spread("set voltage")
    assert regulation is not None and setting is not None
    for option in axis_named(axes(design("observatory")), "set voltage U1").options:
        fields = {field for _, field in option.values}
        assert not (fields & set(regulation.fields) and fields & set(setting.fields))
    soft = axis_named(axes(design("observatory")), "set voltage U1").options[2]
    assert soft.values == {("U1", field): number for field, number in
                           zip(regulation.fields, regulation.most, strict=True)}  # fmt: skip


def test_all_leakages_move_together() -> None:
    axis = axis_named(axes(design("observatory")), "leakage")
    assert axis.parts == ("Q1", "Q2")
    least, most = axis.options
    for name in axis.parts:
        assert least.values[name, "cutoff_current"] == 0.0
        assert most.values[name, "cutoff_current"] > 0.0


def test_a_weak_regulator_drops_out_and_limits_early() -> None:
    weak, strong, late = axis_named(axes(design("observatory")), "strength U1").options
    for field, sign in (("dropout_voltage", 1), ("quiescent_current", 1), ("current_limit", -1)):
        assert sign * (weak.values["U1", field] - strong.values["U1", field]) > 0.0
        assert late.values["U1", field] == (strong if field == "current_limit" else weak).values["U1", field]
    assert late.second_look == SHORT and not weak.second_look and not strong.second_look


def expanded_several(change: tuple[str, str] | None = None) -> Design:
    """Three pass devices as explicit parts; of the second ballast's figures one may be changed."""
    text = expanded_text(several(3))
    at = text.index('name = "R4"')
    return designed(read_text(text[:at] + (text[at:].replace(*change, 1) if change else text[at:]), "explicit.toml"))


@pytest.mark.parametrize(
    ("change", "apart"),
    [(None, ["Q1"]), (("100 mΩ", "150 mΩ"), ["Q1", "Q2"]), (('tolerance = "5 %"', 'tolerance = "1 %"'), ["Q1", "Q2"])],
)
def test_devices_that_are_not_alike_are_set_apart_in_turn(change: tuple[str, str] | None, apart: list[str]) -> None:
    whole = expanded_several(change)
    words = [option.word for option in axis_named(axes(whole), "V_BE Q1…Q3").options]
    assert words == ["least", "most", *(f"{end} for {name} only" for name in apart for end in ("least", "most"))]
    parts = {check.part: check.alike for check in grouped(rating_checks(whole), whole.parts)
             if check.requirement == "junction temperature" and check.part != "U1"}  # fmt: skip
    assert parts == ({"Q1": ("Q1", "Q2", "Q3")} if change is None else {"Q1": ("Q1", "Q3"), "Q2": ()})


def test_the_ballast_of_a_device_apart_may_lie_at_its_other_end() -> None:
    whole = several(3)
    options = axis_named(axes(whole), "other resistors").options[2:]
    assert [option.word for option in options] == ["most but for least R3", "least but for most R3"]
    for option, own, beside in zip(options, (0.95, 1.05), (1.05, 0.95), strict=True):
        assert [option.values[name, "resistance"] for name in ("R3", "R4", "R5")] == pytest.approx(
            [0.1 * own, 0.1 * beside, 0.1 * beside])  # fmt: skip


def test_base_resistor_moves_alone_and_the_others_together() -> None:
    found = axes(design("observatory"))
    base, others = axis_named(found, "R1"), axis_named(found, "other resistors")
    assert base.parts == ("R1",) and others.parts == ("R2", "R9")
    values = {name: design("observatory").part(name).part.values["resistance"] for name in ("R1", "R2", "R9")}
    for axis in (base, others):
        for option, factor in zip(axis.options, (0.95, 1.05), strict=True):
            assert option.values == {(name, "resistance"): pytest.approx(factor * values[name]) for name in axis.parts}


def test_every_option_says_where_its_numbers_come_from() -> None:
    for name in (*GOOD, WRONG):
        for axis in axes(design(name)):
            assert all(option.origins for option in axis.options), axis.name


# ---- corners -----------------------------------------------------------------------------------------------------


def test_a_corner_says_itself() -> None:
    found = axes(design("model-railway"))
    choice = [USUAL] * len(found)
    place = {axis.name: a for a, axis in enumerate(found)}
    choice[place["gain Q1"]], choice[place["R1"]] = 0, 1
    rows = corners("model-railway", [choice], [(9.6, ZERO_CELSIUS - 7.5)])
    worst = Worst(1.0, 2.0, 1.0, rows, 0, 2.5)
    assert corner_words(worst, [place["R1"], place["gain Q1"]]) == "9.6 V in, 2.5 A, −7.5 °C, most R1, least gain Q1"
    assert rows.word(0, place["leakage"]) == "usual"


def test_corner_numbers_are_what_was_put_in() -> None:
    found = by_name(verdict("observatory"))["junction temperature", "Q2"]
    assert {"input_V": 20.5, "load_A": 5.0, "ambient_C": 40.0}.items() <= found.corner.items()
    assert list(found.corner)[:3] == ["input_V", "load_A", "ambient_C"]
    assert found.in_words.startswith("20.5 V in, 5 A, 40 °C")
    words = set(found.in_words.split(", ")[3:])
    assert words == {f"{word} {axis}" for axis, word in list(found.corner.items())[3:]}


def test_overrides_of_a_corner_are_the_options_numbers() -> None:
    name = "model-railway"
    found = axes(design(name))
    for row, choice in enumerate(every_choice(found)[:40]):
        rows = corners(name, [list(choice)], [(9.6, 283.15)])
        numbers = dict(zip(rows.overrides.fields, rows.overrides.values[0], strict=True))
        assert numbers[AMBIENT_FIELD] == 283.15 and numbers["input", "voltage"] == 9.6
        for axis, option in zip(found, choice, strict=True):
            values = axis.options[option].values if option != USUAL else {}
            assert all(numbers[address] == value for address, value in values.items()), (row, axis.name)


def test_without_anything_that_varies_there_is_one_corner() -> None:
    assert every_choice(()).shape == (1, 0)


def test_loads_are_dense_where_devices_hand_over() -> None:
    loads = swept_loads(0.0, 5.0, 24, (2.0,))
    assert loads[0] == 0.0 and loads[-1] == 5.0 and 2.0 in loads and len(loads) == 25
    assert (np.diff(loads) > 0.0).all()
    assert np.searchsorted(loads, 0.5) > 10
    assert list(swept_loads(2.0, 2.0, 24, (2.0,))) == [2.0]
