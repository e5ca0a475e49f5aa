"""Parts that make no solvable network are refused with the name of the net, part or place at fault."""

import pytest

from outboard.errors import RefusedNetwork
from outboard.network.circuit import laid_out
from outboard.network.part import Heat, Part

ROOM = 298.15


def source(name: str, plus: str, minus: str, resistance: float = 0.0) -> Part:
    return Part(name, "source", {"plus": plus, "minus": minus}, {"voltage": 5.0, "resistance": resistance})


def resistor(name: str, a: str, b: str, resistance: float = 1.0, heat: Heat | None = None) -> Part:
    return Part(name, "resistor", {"a": a, "b": b}, {"resistance": resistance}, heat=heat)


def thermal(name: str, a: str, b: str, resistance: float = 1.0) -> Part:
    return Part(name, "thermal_resistance", {"a": a, "b": b}, {"resistance": resistance})


WHOLE = [source("V", "a", "ground"), resistor("R", "a", "ground")]

REFUSED = {
    "floating net": ("p", [*WHOLE, resistor("R1", "p", "q"), resistor("R2", "p", "q")]),
    "a capacitor is no path": (
        "p",
        [
            *WHOLE,
            Part("C1", "capacitor", {"a": "p", "b": "ground"}, {"capacitance": 1e-6}),
            Part("C2", "capacitor", {"a": "p", "b": "a"}, {"capacitance": 1e-6}),
        ],
    ),
    "dangling net": ("b", [*WHOLE, resistor("R1", "a", "b")]),
    "ideal sources side by side": ("ground", [*WHOLE, source("W", "a", "ground")]),
    "ideal source and a wire": ("ground", [*WHOLE, resistor("wire", "a", "ground", 0.0)]),
    "ring of ideal sources": (
        "ground",
        [source("V", "a", "b"), source("W", "b", "ground"), source("X", "a", "ground")],
    ),
    "two wires side by side": ("b", [*WHOLE, resistor("w", "a", "b", 0.0), resistor("z", "a", "b", 0.0)]),
    "place without a way to ambient": ("sink", [*WHOLE, resistor("S", "a", "ground", 1.0, Heat("sink", 1.0))]),
    "places joined only to each other": (
        "plate",
        [*WHOLE, resistor("S", "a", "ground", 1.0, Heat("plate", 1.0)), thermal("T", "plate", "sink")],
    ),
    "no ground": ("ground", [source("V", "a", "b"), resistor("R", "a", "b")]),
    "one name twice": ("R", [*WHOLE, resistor("R", "a", "ground")]),
    "thermal resistance of nothing": ("T", [*WHOLE, thermal("T", "sink", "ambient", 0.0)]),
    "number missing": ("R1", [*WHOLE, Part("R1", "resistor", {"a": "a", "b": "ground"}, {})]),
}  # fmt: skip


@pytest.mark.parametrize("reason", REFUSED)
def test_refused_with_its_subject(reason: str) -> None:
    subject, parts = REFUSED[reason]
    with pytest.raises(RefusedNetwork) as refusal:
        laid_out(parts, ROOM)
    assert refusal.value.subject == subject
    assert f"'{subject}'" in refusal.value.what


@pytest.mark.parametrize(
    "parts",
    [
        WHOLE,
        [*WHOLE, source("W", "a", "ground", resistance=1e-3)],
        [*WHOLE, resistor("wire", "a", "b", 0.0), resistor("S", "b", "ground")],
        [*WHOLE, resistor("S", "a", "ground", 1.0, Heat("plate", 1.0)), thermal("T", "plate", "ambient")],
        [*WHOLE, resistor("S", "a", "ground", 1.0, Heat("ambient", 1.0))],
    ],
)
def test_neighbours_that_are_sound(parts: list[Part]) -> None:
    assert laid_out(parts, ROOM).parts == tuple(parts)
