"""The mirror rule on whole networks: with every polarity and every source turned round, every sign turns, no size does.

The networks are the random stages of the sturdiness run, and the invented stage.
"""

import importlib.util
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from outboard.network.circuit import laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

TURNED = {
    "npn": "pnp", "pnp": "npn", "n-channel": "p-channel", "p-channel": "n-channel",
    "positive": "negative", "negative": "positive",
}  # fmt: skip
EXCHANGED = {"source": ("plus", "minus"), "load": ("plus", "minus"), "diode": ("anode", "cathode")}
CLOSE = 1e-12


def mirrored(part: Part) -> Part:
    """The mirror image of a part: the other polarity, or the pins of what has a direction exchanged."""
    if part.kind in EXCHANGED:
        first, second = EXCHANGED[part.kind]
        return replace(part, pins={first: part.pins[second], second: part.pins[first]})
    usual = "positive" if part.kind == "regulator" else None
    polarity = part.polarity or usual
    return replace(part, polarity=TURNED[polarity] if polarity else None)


def random_stages() -> ModuleType:
    """The module of the benchmarks, which no package holds."""
    place = Path(__file__).parents[2] / "benchmarks" / "random_stages.py"
    spec = importlib.util.spec_from_file_location("random_stages", place)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def assert_mirror_image(parts: list[Part], ambient: float, sweep: Overrides | None = None) -> int:
    """Solves both; every net turns its sign, every temperature stays. Returns how many points were solved."""
    one = solved(laid_out(parts, ambient), sweep=sweep)
    other = solved(laid_out([mirrored(part) for part in parts], ambient), sweep=sweep)
    assert (one.outcomes == other.outcomes).all()
    good = one.is_solved
    nets = [one.at(node)[good] for node in one.circuit.unknowns if node[0] == "net"]
    highest = np.abs(nets).max(axis=0)  # the network's scale: small voltages in it are differences of this
    diodes = {part.name for part in parts if part.kind == "diode"}
    for node in one.circuit.unknowns:
        if node[0] == "inner" and node[1] in diodes:
            continue  # the inner node is behind the anode, which is at the other end then
        a, b = one.at(node)[good], other.at(node)[good]
        want = -b if node[0] in ("net", "inner") else b
        if node[0] != "branch":
            scale = np.abs(a) if node[0] in ("heat", "junction") else highest
            assert (np.abs(a - want) <= CLOSE * scale).all(), (node, np.abs((a - want) / scale).max())
    return int(good.sum())


@pytest.mark.parametrize("negative", [False, True])
def test_invented_stage(stage: Callable[..., list[Part]], negative: bool) -> None:
    loads = Overrides.column("load", "draws", np.linspace(0.0, 4.0, 9))
    assert assert_mirror_image(stage(negative=negative), 298.15, loads) == 9


def test_random_stages() -> None:
    module, points = random_stages(), 0
    for number in range(60):
        parts, ambient, most = module.random_stage(7, number)
        # an output that nothing loads floats on leakage: there a balance closed to 1e-12 A leaves microvolts open
        sweep = Overrides.column("load", "draws", most * np.linspace(0.01, 0.2, 4))
        points += assert_mirror_image(parts, ambient, sweep)
    assert points > 150


def test_turning_twice_changes_nothing() -> None:
    parts, _, _ = random_stages().random_stage(7, 1)
    assert [mirrored(mirrored(part)) for part in parts] == parts


def test_pin_currents_turn(stage: Callable[..., list[Part]]) -> None:
    parts = stage()
    one, other = (solved(laid_out(list(these), 298.15)) for these in (parts, map(mirrored, parts)))
    for part in parts:
        if part.kind.startswith("thermal"):
            continue
        for pin in part.pins:
            partner = dict(zip(EXCHANGED.get(part.kind, ()), EXCHANGED.get(part.kind, ())[::-1], strict=True))
            a, b = block_current(one, part.name, pin), block_current(other, part.name, partner.get(pin, pin))
            assert a == pytest.approx(-b, rel=1e-11, abs=1e-15)


def block_current(block: Block, part: str, pin: str) -> float:
    return float(block.pin_current(part, pin)[0, 0])
