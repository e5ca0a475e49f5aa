"""From parts to their ideal network: which constants, which switches, which currents at which net."""

from collections.abc import Callable, Mapping, Sequence

from outboard.arrangements.crowbar import CROWBAR, GATE_RESISTOR, TRIGGER_DIODE
from outboard.arrangements.design import DesignPart
from outboard.errors import OutboardError
from outboard.explain.alike import alike, twin_of, twins
from outboard.explain.hand_figures import HandFigure, diode_figures, figure_of, transistor_figures
from outboard.explain.ideal import Ideal, Law, Margin, Quantity, State, Switch
from outboard.explain.ideal_mosfet import add_mosfet
from outboard.explain.ideal_regulator import add_regulator
from outboard.explain.letters import Letter, current_letter, index_of, resistor_letter
from outboard.explain.rows import Row, across, constant, less, net, of, times, total
from outboard.network.part import GROUND

AT_REST = ("capacitor", "thyristor", "thermal_resistance", "thermal_capacitance")
"""Kinds that carry no current at rest; a thyristor that blocks is one of them."""

AT_REST_ROLES = (CROWBAR, TRIGGER_DIODE, GATE_RESISTOR)
"""What a crowbar is made of: as long as it stays off, none of it has a say."""

NO_MODEL = "hand algebra has no constant model for it"


class NotByHand(OutboardError):
    """The network holds a part for which hand algebra has no constant model."""


class Builder:
    """Collects the ideal network; `carried` are collector currents at the point, `exact` counts what is often left out.
    """

    def __init__(
        self, parts: Sequence[DesignPart], full_load: float, carried: Mapping[str, float],
        voltages: Mapping[str, float], exact: bool,
    ) -> None:  # fmt: skip
        self.parts, self.full_load, self.carried, self.voltages, self.exact = parts, full_load, carried, voltages, exact
        self.groups = alike(parts)
        self.letters: dict[str, Letter] = {}
        self.laws: list[Law] = []
        self.switches: list[Switch] = []
        self.flows: dict[str, list[tuple[str, str, Row]]] = {}
        self.branches: list[str] = []
        self.quantities: dict[str, Quantity] = {}
        self.left_out: list[str] = []

    def letter(self, name: str, figure: HandFigure, unit: str, meaning: str) -> str:
        """Enters a letter; a second one of the same name that is another gets a stroke."""
        while (known := self.letters.get(name)) and (known.value, known.meaning) != (figure.value, meaning):
            name = f"{name}'"
        self.letters[name] = Letter(name, figure.value, figure.least, figure.most, unit, meaning, figure.origin)
        return name

    def flow(self, part: DesignPart, pin: str, row: Row) -> None:
        """A current into a pin."""
        at = part.part.pins[pin]
        if at != GROUND:
            self.flows.setdefault(at, []).append((part.name, pin, row))

    def branch(self, unknown: str) -> Row:
        """A branch current of its own."""
        self.branches.append(unknown)
        return of(unknown)

    def ask(self, name: str, row: Row, unit: str, meaning: str, part: str, pin: str = "") -> None:
        """Something that can be asked for."""
        self.quantities.setdefault(name, Quantity(name, row, unit, meaning, part, pin))

    def through(self, part: DesignPart, first: str, second: str, unknown: str) -> Row:
        """A current from one pin to another."""
        row = self.branch(unknown)
        self.flow(part, first, row)
        self.flow(part, second, times(row, -1.0))
        return row


def idealised(
    parts: Sequence[DesignPart], *, full_load: float, carried: Mapping[str, float],
    voltages: Mapping[str, float], exact: bool = False,
) -> Ideal:  # fmt: skip
    """The ideal network of parts; NotByHand where a part has none.

    carried, voltages   collector and drain currents [A] and net voltages [V] at the solved point
    exact               count the regulator's output resistance and the load's share of its quiescent current
    """
    b = Builder(parts, full_load, carried, voltages, exact)
    for part in parts:
        if part.part.kind in AT_REST or part.role in AT_REST_ROLES:
            continue
        if part.part.kind not in KINDS:
            kind = part.part.kind
            raise NotByHand(f"{part.name} is a {kind.replace('_', ' ')}: {NO_MODEL}")
        KINDS[part.part.kind](b, part)
    nets = dict.fromkeys(at for part in parts if not part.part.kind.startswith("thermal")
                         for at in part.part.pins.values() if at != GROUND)  # fmt: skip
    nets = {at: None for at in nets if at in b.flows}
    for at in nets:
        name = "V_O" if at == "out" else f"V_{at}"
        b.ask(name, net(at), "V", f"voltage of net {at}", "", at)
    unknowns = (*(f"v:{at}" for at in nets), *b.branches)
    flows = {at: tuple(b.flows[at]) for at in nets}
    found = twins(parts, b.groups)
    for letter, (first, count) in found.sizes.items():
        meaning = f"devices like {first}, side by side"
        b.letters[letter] = Letter(letter, count, count, count, "1", meaning, "as chosen", counts=True)
    return Ideal(b.letters, tuple(b.laws), tuple(b.switches), flows, unknowns, b.quantities, tuple(b.left_out), found)


def _resistor(b: Builder, part: DesignPart) -> None:
    figure = figure_of(part, "resistance", 0.0)
    current = b.through(part, "a", "b", f"i:{part.name}")
    drop = across(part.part.pins["a"], part.part.pins["b"])
    if figure.value == 0.0:
        b.laws.append(Law(drop))
    else:
        letter = b.letter(resistor_letter(b.groups[part.name]), figure, "Ω", part.role)
        b.laws.append(Law(less(drop, times(current, 1.0, letter)), part.name))
    b.ask(current_letter(part.name), current, "A", f"current through {part.name}, a to b", part.name, "a")


def _inductor(b: Builder, part: DesignPart) -> None:
    current = b.through(part, "a", "b", f"i:{part.name}")
    drop = across(part.part.pins["a"], part.part.pins["b"])
    resistance = figure_of(part, "series_resistance", 0.0)
    if resistance.value:
        letter = b.letter(resistor_letter(part.name), resistance, "Ω", "winding")
        drop = less(drop, times(current, 1.0, letter))
    b.laws.append(Law(drop))


def _source(b: Builder, part: DesignPart) -> None:
    own = part.name == "input"
    current = b.through(part, "minus", "plus", f"i:{part.name}")
    voltage = b.letter("V_I" if own else f"V_{index_of(part.name)}", figure_of(part, "voltage", 0.0), "V",
                       "source voltage")  # fmt: skip
    law = less(across(part.part.pins["plus"], part.part.pins["minus"]), constant(1.0, voltage))
    inner = figure_of(part, "resistance", 0.0)
    if inner.value:
        resistance = b.letter("r_I" if own else f"r_{index_of(part.name)}", inner, "Ω", "resistance of the source")
        law = total(law, times(current, 1.0, resistance))
    b.laws.append(Law(law))
    b.ask("I_I" if own else f"I_{index_of(part.name)}", current, "A", "current that the source delivers", part.name,
          "minus")  # fmt: skip


def _load(b: Builder, part: DesignPart) -> None:
    own, given = part.name == "load", part.part.values
    drop = across(part.part.pins["plus"], part.part.pins["minus"])
    current = b.through(part, "plus", "minus", f"i:{part.name}")
    index = "O" if own else index_of(part.name)
    if "draws" in given or "power" in given:
        figure = figure_of(part, "draws", 0.0)
        if "power" in given:
            at = b.voltages.get(part.part.pins["plus"], 0.0) - b.voltages.get(part.part.pins["minus"], 0.0)
            figure = HandFigure.exactly(given["power"] / max(at, 1e-3), "its power at the solved voltage")
        letter = b.letter(f"I_{index}", figure, "A", "load current")
        drawing = State(less(current, constant(1.0, letter)), (Margin(drop, "dead", "the rail is dead"),), "draws")
        dead = State(drop, (Margin(less(constant(1.0, letter), current), "drawing", "the rail comes up"),), "dead")
        b.switches.append(Switch(f"{part.name} load", part.name, {"drawing": drawing, "dead": dead}, "drawing"))
    elif "battery" in given:
        emf = b.letter(f"V_{index_of(part.name)}", figure_of(part, "battery", 0.0), "V", "battery")
        letter = b.letter(f"r_{index_of(part.name)}", figure_of(part, "resistance", 0.0), "Ω", "battery's resistance")
        b.laws.append(Law(total(drop, constant(-1.0, emf), times(current, -1.0, letter))))
    elif "resistance" in given:
        letter = b.letter("R_L" if own else f"R_{index_of(part.name)}", figure_of(part, "resistance", 0.0), "Ω", "load")
        b.laws.append(Law(less(drop, times(current, 1.0, letter)), part.name))
        b.ask(f"I_{index}", current, "A", "load current", part.name, "plus")
    else:
        raise NotByHand(f"{part.name}: a load of this form has no constant model")


def _diode(b: Builder, part: DesignPart) -> None:
    figures = diode_figures(part, b.full_load)
    name = index_of(part.name)
    drop = across(part.part.pins["anode"], part.part.pins["cathode"])
    current = b.through(part, "anode", "cathode", f"i:{part.name}")
    forward = b.letter(f"V_F{name}", figures["forward_voltage"], "V", f"forward voltage of {part.name}")
    opens = Margin(less(constant(1.0, forward), drop), "on", f"{part.name} starts to conduct")
    closes = Margin(current, "off", f"{part.name} stops conducting")
    states = {
        "off": State(current, (opens,), "blocks"),
        "on": State(less(drop, constant(1.0, forward)), (closes,), "conducts"),
    }
    if "breakdown_voltage" in figures:
        zener = b.letter(f"V_Z{name}", figures["breakdown_voltage"], "V", f"breakdown voltage of {part.name}")
        breaks = Margin(total(drop, constant(1.0, zener)), "broken", f"{part.name} breaks down")
        states["off"] = State(current, (opens, breaks), "blocks")
        back = Margin(times(current, -1.0), "off", f"{part.name} blocks again")
        states["broken"] = State(total(drop, constant(1.0, zener)), (back,), "breaks down")
    b.switches.append(Switch(f"{part.name} junction", part.name, states, "off"))
    b.ask(f"I_F{name}", current, "A", f"forward current of {part.name}", part.name, "anode")


def _bipolar(b: Builder, part: DesignPart) -> None:
    first = b.groups[part.name]
    figures = transistor_figures(part, b.full_load, b.carried.get(part.name, 0.0))
    k, sign = index_of(first), -1.0 if part.part.polarity == "pnp" else 1.0
    gain = b.letter(f"h_FE{k}", figures["gain"], "1", f"gain of {first}")
    junction = b.letter(f"V_BE{k}", figures["base_emitter_voltage"], "V", f"junction of {first}")
    base = b.branch(f"b:{part.name}")
    collector = times(base, 1.0, gain)
    pins = part.part.pins
    v_be = times(across(pins["base"], pins["emitter"]), sign)
    v_ce = times(across(pins["collector"], pins["emitter"]), sign)
    twin = twin_of(part, b.parts, b.groups)
    if "saturation_voltage" in figures:
        lost = b.branch(f"lost:{part.name}")
        collector = less(collector, lost)
        level = b.letter(f"V_CE,sat{k}", figures["saturation_voltage"], "V", f"saturation voltage of {first}")
        spare = less(v_ce, constant(1.0, level))
        free, full = _saturation(part, lost, spare)
        if twin is not None:
            free = State(less(lost, of(f"lost:{twin}")), (), "")
        states = {"free": free} if twin is not None else {"free": free, "saturated": full}
        b.switches.append(Switch(f"{part.name} collector", part.name, states, "free"))
    short = less(constant(1.0, junction), v_be)
    on = State(short, (Margin(base, "off", f"{part.name} stops conducting"),), "conducts")
    off = State(base, (Margin(short, "on", f"{part.name} starts to conduct"),), "off")
    if twin is not None:
        on, off = State(less(base, of(f"b:{twin}")), (), f"like {twin}"), off
    states = {"on": on} if twin is not None else {"off": off, "on": on}
    b.switches.append(Switch(f"{part.name} base", part.name, states, "on" if twin is not None else "off"))
    emitter = total(collector, base)
    for pin, row in (("collector", times(collector, sign)), ("base", times(base, sign)),
                     ("emitter", times(emitter, -sign))):  # fmt: skip
        b.flow(part, pin, row)
    own = index_of(part.name)
    for letter, pin, row, words in (("C", "collector", collector, "collector"), ("B", "base", base, "base"),
                                    ("E", "emitter", emitter, "emitter")):  # fmt: skip
        b.ask(f"I_{letter}{own}", row, "A", f"{words} current of {part.name}", part.name, pin)


def _saturation(part: DesignPart, lost: Row, spare: Row) -> tuple[State, State]:
    """Free and saturated.  Without base current a device is free, whatever stands across it.

    The constant-gain part is defined otherwise: its collector keeps its saturation voltage with or without base
    current, and its algebra follows its definition.
    """
    by_definition = part.part.model == "constant_gain"
    conducts = None if by_definition else (f"{part.name} base", "on")
    leaves = f"{part.name} leaves saturation"
    ends = [Margin(lost, "free", leaves)]
    if not by_definition:
        ends.append(Margin(times(lost, -1.0), "free", leaves, (f"{part.name} base", "off")))
    free = State(lost, (Margin(spare, "saturated", f"{part.name} saturates", conducts),), "")
    return free, State(spare, tuple(ends), "saturated")


KINDS: Mapping[str, Callable[[Builder, DesignPart], None]] = {
    "resistor": _resistor, "inductor": _inductor, "source": _source, "load": _load, "diode": _diode,
    "bipolar": _bipolar, "mosfet": add_mosfet, "regulator": add_regulator,
}  # fmt: skip
"""How each kind of part enters the ideal network."""
