"""Parts laid out as a circuit: unknowns, slots and tables.  Values change without a new layout."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from outboard.devices.catalogue import NUMBER
from outboard.devices.device import Device
from outboard.network.compile import places_of
from outboard.network.elimination import Elimination, eliminated
from outboard.network.expansion import Element, Expansion, Node, Number, expanded
from outboard.network.part import AMBIENT, GROUND, Part
from outboard.network.refusal import refuse_unsolvable
from outboard.network.tables import Tables

Floats = NDArray[np.float64]
AMBIENT_FIELD = ("", "ambient")
"""How a case addresses the temperature of the surroundings [K]."""

GROUND_NODE: Node = ("net", GROUND)
AMBIENT_NODE: Node = ("heat", AMBIENT)
RAISED_FIELDS = {("source", "voltage"), ("load", "draws"), ("load", "power"), ("load", "battery")}
JUNCTION_KINDS = ("heat", "junction")


@dataclass(frozen=True, slots=True)
class Circuit:
    """A solvable network: its parts, its unknowns in order, its parameter vector and its tables.

    slots   (part, field) -> the places of that number in the parameter vector, each with True for a reciprocal
    """

    parts: tuple[Part, ...]
    unknowns: tuple[Node, ...]
    index: Mapping[Node, int]
    slots: Mapping[tuple[str, str], tuple[tuple[int, bool], ...]]
    base: Floats
    tables: Tables
    pins: Mapping[str, Mapping[str, tuple[int, ...]]]

    def values(self, field: tuple[str, str], numbers: Floats) -> Iterable[tuple[int, Floats]]:
        """(slot, stored numbers) pairs that set a part's field; KeyError for a field that the circuit lacks."""
        for slot, inverse in self.slots[field]:
            yield slot, 1.0 / numbers if inverse else numbers

    def unknown(self, kind: str, name: str) -> int | None:
        """Index of a net or thermal node; None for ground and ambient."""
        found = self.index[(kind, name)]
        return found if found < len(self.unknowns) else None


def laid_out(parts: Sequence[Part], ambient: float, dangling: bool = False) -> Circuit:
    """The circuit of these parts at an ambient temperature [K]; `dangling` lets open pins pass.

    Raises
    ------
    RefusedNetwork
        Floating nets, loops of ideal sources, thermal places without a way to ambient, missing numbers.
    """
    expansions = [expanded(part) for part in parts]
    elements = tuple(element for expansion in expansions for element in expansion.elements)
    refuse_unsolvable(parts, elements, dangling)
    unknowns = _unknowns(elements)
    index = {node: i for i, node in enumerate(unknowns)} | {
        GROUND_NODE: len(unknowns),
        AMBIENT_NODE: len(unknowns) + 1,
    }
    slots, base, parameter = _slotted(elements, ambient)
    tables = _tables(elements, parts, unknowns, index, parameter, slots)
    return Circuit(tuple(parts), unknowns, index, slots, base, tables, _pins(parts, expansions))


def _unknowns(elements: Sequence[Element]) -> tuple[Node, ...]:
    found: dict[Node, None] = {}
    for element in elements:
        found.update(dict.fromkeys(element.nodes))
    found.pop(GROUND_NODE, None)
    found.pop(AMBIENT_NODE, None)
    return tuple(sorted(found, key=lambda node: node[0] in JUNCTION_KINDS))


def _slotted(
    elements: Sequence[Element], ambient: float
) -> tuple[dict[tuple[str, str], tuple[tuple[int, bool], ...]], Floats, list[int]]:
    """Slots by (part, field), the parameter vector, and the slot of every element parameter in order."""
    known: dict[Number, int] = {}
    base = [ambient]
    slots: dict[tuple[str, str], list[tuple[int, bool]]] = {AMBIENT_FIELD: [(0, False)]}
    parameter = []
    for element in elements:
        for number in element.numbers:
            if number not in known:
                known[number] = len(base)
                base.append(number.value)
                if number.part:
                    slots.setdefault((number.part, number.field), []).append((known[number], number.inverse))
            parameter.append(known[number])
    return {key: tuple(value) for key, value in slots.items()}, np.array(base), parameter


def _pins(parts: Sequence[Part], expansions: Sequence[Expansion]) -> dict[str, dict[str, tuple[int, ...]]]:
    """For each part and pin, the places in the vector of flows that add up to the pin's current."""
    found: dict[str, dict[str, tuple[int, ...]]] = {}
    start = 0
    for part, expansion in zip(parts, expansions, strict=True):
        starts = []
        for element in expansion.elements:
            starts.append(start)
            start += len(element.device.ports)
        found[part.name] = {
            pin: tuple(starts[element] + port for element, port in ports) for pin, ports in expansion.pins.items()
        }
    return found


def _starts(lengths: Iterable[int]) -> NDArray[np.uint32]:
    """Where each begins in a flat array, and where the last one ends."""
    return np.concatenate([[0], np.cumsum(list(lengths))]).astype(np.uint32)


@lru_cache(maxsize=256)
def _ordered(
    structure: tuple[tuple[Device, tuple[int, ...]], ...],
    size: int,
    thermal: tuple[bool, ...],
    branch: tuple[bool, ...],
) -> Elimination:
    """The elimination program of a structure; equal structures share it."""
    entries = {(i, i) for i in range(size) if not branch[i]}
    branches: dict[int, tuple[int, ...]] = {}
    for device, ports in structure:
        for k, j in places_of(device).slopes:
            if ports[k] < size and ports[j] < size:
                entries.add((ports[k], ports[j]))
        if device.name == "source":
            branches[ports[2]] = tuple(port for port in ports[:2] if port < size)
            entries.add((ports[2], ports[2]))
    return eliminated(size, entries, branches, thermal)


def _tables(
    elements: Sequence[Element],
    parts: Sequence[Part],
    unknowns: Sequence[Node],
    index: Mapping[Node, int],
    parameter: Sequence[int],
    slots: Mapping[tuple[str, str], tuple[tuple[int, bool], ...]],
) -> Tables:
    size = len(unknowns)
    thermal = tuple(node[0] in JUNCTION_KINDS for node in unknowns)
    branch = tuple(node[0] == "branch" for node in unknowns)
    structure = tuple((element.device, tuple(index[node] for node in element.nodes)) for element in elements)
    order = _ordered(structure, size, thermal, branch)
    nobody = len(order.places)
    place = [
        order.places[ports[k], ports[j]] if ports[k] < size and ports[j] < size else nobody
        for device, ports in structure
        for k, j in places_of(device).slopes
    ]
    port = np.array([i for _, ports in structure for i in ports], dtype=np.uint32)
    junctions = _junctions(elements, index)
    return Tables(
        device=np.array([NUMBER[device.name] for device, _ in structure], dtype=np.uint32),
        port_start=_starts(len(ports) for _, ports in structure),
        parameter_start=_starts(len(device.parameters) for device, _ in structure),
        place_start=_starts(len(places_of(device).slopes) for device, _ in structure),
        parameter_slope_start=_starts(len(places_of(device).parameter_slopes) for device, _ in structure),
        corner_start=_starts(places_of(device).corners for device, _ in structure),
        port=port,
        row=np.where(port < size, port, size).astype(np.uint32),
        parameter=np.array(parameter, dtype=np.uint32),
        place=np.array(place, dtype=np.uint32),
        entry_row=order.entry_row,
        entry_column=order.entry_column,
        pivot=order.pivot,
        pivot_row=order.pivot_row,
        pivot_column=order.pivot_column,
        lower_start=order.lower_start,
        lower=order.lower,
        lower_row=order.lower_row,
        upper_start=order.upper_start,
        upper=order.upper,
        upper_column=order.upper_column,
        update_start=order.update_start,
        target=order.target,
        factor=order.factor,
        source=order.source,
        diagonal=np.array([nobody if branch[i] else order.places[i, i] for i in range(size)], dtype=np.uint32),
        is_temperature=np.array(thermal, dtype=np.bool_),
        junction_plus=np.array([plus for plus, _, _ in junctions], dtype=np.uint32),
        junction_minus=np.array([minus for _, minus, _ in junctions], dtype=np.uint32),
        junction_sign=np.array([sign for _, _, sign in junctions], dtype=np.float64),
        raised=_raised(parts, slots),
        thermal_from=order.thermal_from,
        parity=order.parity,
        dense=any(device.name in ("constant_gain", "saturating_gain") for device, _ in structure),
    )


def _junctions(elements: Sequence[Element], index: Mapping[Node, int]) -> list[tuple[int, int, float]]:
    found = []
    for element in elements:
        sign = element.numbers[0].value if element.device.mirrored else 1.0
        at = dict(zip(element.device.ports, element.nodes, strict=True))
        found += [(index[at[plus]], index[at[minus]], sign) for plus, minus in element.device.junctions]
    return found


def _raised(parts: Sequence[Part], slots: Mapping[tuple[str, str], tuple[tuple[int, bool], ...]]) -> NDArray[np.uint32]:
    """Slots of everything that drives the circuit."""
    found = [
        slot
        for part in parts
        for kind, field in RAISED_FIELDS
        if part.kind == kind
        for slot, _ in slots.get((part.name, field), ())
    ]
    return np.array(sorted(found), dtype=np.uint32)
