"""A design made ready to move: how fast its devices are, what is not known of that, the points that it starts from."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from outboard.analysis.conditions import INPUT_FIELD, LOAD_FIELD, settable
from outboard.arrangements.catalogued import COUNTS_AS_OFF
from outboard.arrangements.design import Design, DesignPart
from outboard.brief.design import Dynamics
from outboard.identify.speed import Speed, speed, transistor
from outboard.network.circuit import Circuit, laid_out
from outboard.network.overrides import Overrides
from outboard.network.part import Part
from outboard.network.solution import Block
from outboard.network.solve import released, solved
from outboard.parts.records import Origin

WORDS = ("least", "usual", "most")
CAPACITANCES = ("gate_source_capacitance", "gate_drain_capacitance", "drain_source_capacitance")
FIELDS = {"f_T": "forward_transit_time", "C_ob": "collector_capacitance",
          "C_iss": CAPACITANCES[0], "C_rss": CAPACITANCES[1], "C_oss": CAPACITANCES[2]}  # fmt: skip
"""Where a part that is spelt out says what a sheet would say under a symbol."""

BY_ROLE = {"pass device": "pass", "driver": "driver"}
"""Roles whose f_T and C_ob [dynamics] may state."""

BANDWIDTH_MISSING = (
    "the bandwidth of {0}'s control is not given, and no sheet prints it: read off the curve of output impedance where "
    "it has risen to 1.4 times its low value, or measure that, and write regulator_bandwidth in [dynamics]"
)


@dataclass(frozen=True, slots=True)
class MovingDesign:
    """Parts with transit times and capacitances; the bandwidth is left to be set.

    lacking    part -> symbols of figures that neither sheet nor file has
    origins    part -> where its figures come from
    bandwidth  spans of the control, least, usual, most, each once [Hz]; empty when a regulator has none
    slow       regulators without a bandwidth
    """

    design: Design
    circuit: Circuit
    parts: tuple[Part, ...]
    lacking: Mapping[str, tuple[str, ...]]
    origins: Mapping[str, tuple[Origin, ...]]
    bandwidth: Mapping[str, float]
    slow: tuple[str, ...]

    @property
    def output(self) -> tuple[str, str]:
        """Nets between which the load sees its voltage, plus and minus."""
        pins = self.design.part("load").part.pins
        return pins["plus"], pins["minus"]

    @property
    def loads(self) -> tuple[float, float, float]:
        """Least, usual and most load [A]."""
        brief = self.design.brief
        if brief.output is not None:
            return brief.output.load.least, brief.output.load.usual, brief.output.load.most
        return (self.design.part("load").part.values["draws"],) * 3

    @property
    def inputs(self) -> tuple[float, float, float]:
        """Least, usual and most input as promised [V]; of a negative supply the one nearest to nothing is least."""
        brief = self.design.brief
        if brief.input is None:
            return (self.design.part("input").part.values["voltage"],) * 3
        ends = sorted((brief.input.voltage.least, brief.input.voltage.most), key=abs)
        return ends[0], brief.input.voltage.usual, ends[1]

    @property
    def regulators(self) -> tuple[str, ...]:
        """Names of all regulators."""
        return tuple(part.name for part in self.parts if part.kind == "regulator")

    def at_bandwidth(self, word: str) -> tuple[Part, ...]:
        """The parts, every regulator with this end of the bandwidth unless it has one of its own."""
        chosen = self.bandwidth[word]
        return tuple(
            replace(part, values={"bandwidth": chosen, **part.values}) if part.kind == "regulator" else part
            for part in self.parts
        )

    def solved(self, inputs: Sequence[float], loads: Sequence[float]) -> Block:
        """Points at rest at usual ambient, row by row."""
        rows = np.column_stack([np.asarray(inputs, dtype=float), np.asarray(loads, dtype=float)])
        return solved(self.circuit, Overrides((INPUT_FIELD, LOAD_FIELD), rows))

    def before_and_after(self, inputs: tuple[float, float], loads: tuple[float, float]) -> tuple[Block, Block]:
        """The point before a change, and the one after it while temperatures still are what they were."""
        before = self.solved(inputs[:1], loads[:1])
        fields = before.corners.fields
        ends = [Overrides(fields, np.array([[source, load]])) for source, load in zip(inputs, loads, strict=True)]
        return before, released(self.circuit, Overrides.none(), ends[0], ends[1], before.xs[:, 0])

    def missing(self, block: Block) -> Iterator[str]:
        """What must be known of devices that carry current at these points, and is not; of all where one is open."""
        unsolved = not block.is_solved.all()
        for name in self.slow:
            yield BANDWIDTH_MISSING.format(name)
        for name, symbols in self.lacking.items():
            pin = "drain" if block.part(name).kind == "mosfet" else "collector"
            if unsolved or np.abs(block.pin_current(name, pin)).max() >= COUNTS_AS_OFF:
                part = self.design.part(name)
                yield _missing_words(part, symbols)


def moving_design(design: Design) -> MovingDesign:
    """The design with what is known of its speed; RefusedNetwork when `input` or `load` cannot be set."""
    circuit = laid_out(design.components, design.brief.surroundings.ambient.usual)
    for address in (INPUT_FIELD, LOAD_FIELD):
        settable(circuit, address)
    dynamics = design.brief.dynamics
    speeds = {one.name: _speed(one, dynamics) for one in design.parts}
    parts = tuple(
        replace(part, values={**speeds[part.name].values, **part.values}) if speeds[part.name].values else part
        for part in design.components
    )
    span = dynamics.regulator_bandwidth
    own = [part.values.get("bandwidth") for part in parts if part.kind == "regulator"]
    known = {"usual": own[0] or 0.0 if own else 0.0}
    ends = known if span is None else dict(zip(WORDS, span, strict=True))
    return MovingDesign(
        design, circuit, parts,
        {name: found.missing for name, found in speeds.items() if found.missing},
        {name: found.origins for name, found in speeds.items() if found.origins},
        {word: value for word, value in ends.items() if word == "usual" or value != ends["usual"]},
        tuple(part.name for part in parts
              if part.kind == "regulator" and span is None and "bandwidth" not in part.values),
    )  # fmt: skip


def _speed(one: DesignPart, dynamics: Dynamics) -> Speed:
    """What sheet and file say; a symbol whose field the part itself states is not missing."""
    key = BY_ROLE.get(one.role)
    said = {symbol: getattr(dynamics, f"{key}_{symbol}") for symbol in ("f_T", "C_ob")} if key is not None else {}
    stated = {symbol: value for symbol, value in said.items() if value is not None}
    if one.type is not None:
        found = speed(one.type, stated)
    elif one.part.kind == "bipolar":
        found = transistor(one.name, {}, stated)
    elif one.part.kind == "mosfet":
        found = Speed({}, (), ("C_iss", "C_oss", "C_rss"))
    else:
        found = Speed({}, ())
    return replace(found, missing=tuple(symbol for symbol in found.missing if FIELDS[symbol] not in one.part.values))


def _missing_words(part: DesignPart, symbols: Sequence[str]) -> str:
    """What is not known of a transistor, and where to write it."""
    key, typed = BY_ROLE.get(part.role), f" ({part.type.name})" if part.type is not None else ""
    verb = "is" if len(symbols) == 1 else "are"
    if key is not None and part.part.kind == "bipolar":
        place = f"{listed(f'{key}_{symbol}' for symbol in symbols)} in [dynamics]"
    else:
        place = f"{listed(FIELDS[symbol] for symbol in symbols)} at the part in [[parts]]"
    return f"{listed(symbols)} of {part.name}{typed} {verb} not known: look it up or measure it, and write {place}"


def listed(words: Iterable[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
