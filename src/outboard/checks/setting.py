"""What every part of a verification shares: the circuit, along what it may differ, the ends of what was promised."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from outboard.arrangements import respread
from outboard.arrangements.design import Design
from outboard.cases.axes import Axis, axes
from outboard.cases.corners import Corners, corners_of, swept_loads
from outboard.network.circuit import Circuit, laid_out
from outboard.network.fields import fields
from outboard.network.overrides import Overrides
from outboard.network.solve import solved
from outboard.quantities import figures


@dataclass(frozen=True)
class Setting:
    """What every part of the verification shares."""

    design: Design
    circuit: Circuit
    axes: tuple[Axis, ...]
    base: Mapping[tuple[str, str], float]
    inputs: tuple[float, ...]
    input: str | None
    ambients: tuple[float, ...]
    loads: NDArray[np.float64]
    load_fields: tuple[tuple[str, str], ...]

    @property
    def ends(self) -> list[tuple[float, float]]:
        """Pairs of input and ambient, each at its least or most."""
        return list(product(sorted({min(self.inputs), max(self.inputs)}),
                            sorted({min(self.ambients), max(self.ambients)})))  # fmt: skip

    @property
    def between(self) -> list[tuple[float, float]]:
        """All other pairs, with the usual input or the usual ambient."""
        pairs = product(sorted(set(self.inputs)), sorted(set(self.ambients)))
        return [pair for pair in pairs if pair not in self.ends]

    def corners(self, choices: NDArray[np.int8], surroundings: Sequence[tuple[float, float]]) -> Corners:
        """Choices of tolerances at pairs of input and ambient."""
        return corners_of(self.axes, choices, surroundings, self.base, self.input)

    def sweep(self, loads: NDArray[np.float64]) -> Overrides:
        """The load as a sweep; one point without a load that draws."""
        return Overrides(self.load_fields, loads[:, None] if self.load_fields else np.empty((1, 0)))


def _usual_loads(design: Design) -> tuple[float, float, float]:
    output = design.brief.output
    return tuple(output.load) if output is not None else (0.0, 0.0, 0.0)  # type: ignore[return-value]


def at_work(design: Design, dangling: bool = False) -> Design:
    """The design with each transistor's spread taken at the current that it carries at full load."""
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual, dangling)
    full = _usual_loads(design)[2]
    has_load = ("load", "draws") in circuit.slots
    block = solved(circuit, sweep=Overrides.column("load", "draws", np.array([full])) if has_load else None)
    if not block.is_solved.all():
        return design
    parts = tuple(
        respread(part, float(figures.collector_current(block, part.name)[0, 0]))
        if part.part.kind == "bipolar" and part.identified is not None
        else part
        for part in design.parts
    )
    return replace(design, parts=parts)


def setting_of(design: Design, count: int, dangling: bool = False) -> Setting:
    """Circuit, axes and ends of a design, with `count` loads between least and most."""
    brief = design.brief
    circuit = laid_out(design.components, brief.surroundings.ambient.usual, dangling)
    least, usual, most = _usual_loads(design)
    has_load = ("load", "draws") in circuit.slots and brief.output is not None
    loads = swept_loads(least, most, count, (usual,)) if has_load else np.zeros(1)
    source = next((part.part for part in design.parts if part.name == "input"), None)
    inputs: Sequence[float] = (0.0,)
    if source is not None:
        inputs = tuple(brief.input.voltage) if brief.input is not None else (source.values["voltage"],)
    found = axes(design)
    base = {
        (part.name, name): part.part.values.get(name, field.default if field.default is not None else 0.0)
        for part in design.parts
        for name, field in fields(part.part.kind, part.part.model).items()
    }
    return Setting(
        design, circuit, found, base, tuple(inputs), source.name if source else None,
        tuple(brief.surroundings.ambient), loads, (("load", "draws"),) if has_load else (),
    )  # fmt: skip
