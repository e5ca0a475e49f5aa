"""Whole networks against the answers of an independent solver with 40 digits (see README.md beside this file)."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from outboard.brief import read
from outboard.network.circuit import laid_out
from outboard.network.outcome import WORDS
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import solved

HERE = Path(__file__).parent
NETWORKS = sorted(path.stem for path in (HERE / "networks").glob("*.toml"))

NET_LIMIT = 1e-6
TEMPERATURE_LIMIT = 1e-3
CURRENT_SHARE = 1e-6
LEAST_CURRENT_LIMIT = 5e-12
NOTHING = 1e-9
STILL_NOTHING = 1.001e-9
ZERO_CELSIUS = 273.15


def expected(name: str) -> dict[str, Any]:
    """The independent solver's answer."""
    answer: dict[str, Any] = json.loads((HERE / "expected" / f"{name}.json").read_text(encoding="utf-8"))
    return answer


@cache
def solution(name: str) -> Block:
    """Our solution of the same file, read as a person's file is read."""
    brief = read(HERE / "networks" / f"{name}.toml")
    parts = [
        Part(entry.name, entry.kind, entry.pins, entry.values, entry.polarity, entry.model, entry.heat)
        for entry in brief.parts
    ]
    return solved(laid_out(parts, brief.surroundings.ambient.usual))


def test_every_network_has_an_answer() -> None:
    assert len(NETWORKS) == 13
    assert sorted(path.stem for path in (HERE / "expected").glob("*.json")) == NETWORKS


@pytest.mark.parametrize("name", NETWORKS)
def test_outcome(name: str) -> None:
    assert WORDS[solution(name).outcomes[0, 0]] == expected(name)["outcome"]


@pytest.mark.parametrize("name", NETWORKS)
def test_nets(name: str) -> None:
    block = solution(name)
    for net, voltage in expected(name)["nets"].items():
        assert block.net_voltage(net)[0, 0] == pytest.approx(voltage, rel=0, abs=NET_LIMIT), net


@pytest.mark.parametrize("name", NETWORKS)
def test_temperatures(name: str) -> None:
    block = solution(name)
    for node, celsius in expected(name)["thermal_nodes"].items():
        have = block.at(("heat", node))[0, 0] - ZERO_CELSIUS
        assert have == pytest.approx(celsius, rel=0, abs=TEMPERATURE_LIMIT), node
    for part, figures in expected(name)["parts"].items():
        if "junction_C" in figures:
            have = block.junction_temperature(part)[0, 0] - ZERO_CELSIUS
            assert have == pytest.approx(figures["junction_C"], rel=0, abs=TEMPERATURE_LIMIT), part


@pytest.mark.parametrize("name", NETWORKS)
def test_currents(name: str) -> None:
    block = solution(name)
    for part, figures in expected(name)["parts"].items():
        for pin, current in figures.get("currents", {}).items():
            have = block.pin_current(part, pin)[0, 0]
            if abs(current) > NOTHING:
                assert have == pytest.approx(current, rel=CURRENT_SHARE, abs=LEAST_CURRENT_LIMIT), (part, pin)
            else:
                assert abs(have) < STILL_NOTHING, (part, pin)


@pytest.mark.parametrize("name", NETWORKS)
def test_powers_and_heat_flows(name: str) -> None:
    """Follows from voltages and currents; the limit is what theirs allow (24 V times a millionth of the current)."""
    block = solution(name)
    for part, figures in expected(name)["parts"].items():
        if "power_W" in figures:
            assert block.power(part)[0, 0] == pytest.approx(figures["power_W"], rel=3e-6, abs=2e-9), part
        if "heat_flow_W" in figures:
            assert block.pin_current(part, "a")[0, 0] == pytest.approx(figures["heat_flow_W"], rel=3e-6, abs=2e-9), part


@pytest.mark.parametrize("name", NETWORKS)
def test_currents_and_powers_add_up(name: str) -> None:
    """Kirchhoff's current law at every node, and power delivered equal to power taken up."""
    block = solution(name)
    assert block.worst_imbalance[0, 0] < 2e-12
    delivered, taken_up = block.power_balance
    assert delivered[0, 0] > 0.0
    assert taken_up[0, 0] == pytest.approx(delivered[0, 0], rel=1e-9)
