"""The ideal MOSFET: no gate current; off, conducting at a constant V_GS, or fully enhanced (a resistance R_DS(on))."""

from typing import TYPE_CHECKING

from outboard.arrangements.design import DesignPart
from outboard.explain.alike import twin_of
from outboard.explain.ideal import Margin, State, Switch
from outboard.explain.letters import index_of
from outboard.explain.mosfet_figures import mosfet_figures
from outboard.explain.rows import across, constant, less, of, times

if TYPE_CHECKING:
    from outboard.explain.idealised import Builder


STARTS_AT, CONDUCTS_AT = "V_GSth", "V_GS"
"""Letters of the gate-source voltage at the start and at the drain current of the point; an index follows."""


def add_mosfet(b: "Builder", part: DesignPart) -> None:
    """Its drain current is free while it conducts: the rest of the network says what flows."""
    name, pins, first = part.name, part.part.pins, b.groups[part.name]
    k, sign = index_of(first), -1.0 if part.part.polarity == "p-channel" else 1.0
    figures = mosfet_figures(part, b.full_load, b.carried.get(first, 0.0))
    level = b.letter(f"V_GS{k}", figures["gate_source_voltage"], "V", f"gate-source of {first}")
    b.letter(f"{STARTS_AT}{k}", figures["starting_voltage"], "V", f"gate-source where {first} starts")
    way = b.letter(f"R_DS{k}", figures["on_resistance"], "Ω", f"on-resistance of {first}, fully enhanced")
    drain = b.branch(f"d:{name}")
    v_gs = times(across(pins["gate"], pins["source"]), sign)
    v_ds = times(across(pins["drain"], pins["source"]), sign)
    short = less(constant(1.0, level), v_gs)
    room = less(v_ds, times(drain, 1.0, way))
    stops = Margin(drain, "off", f"{name} stops conducting")
    states = {
        "off": State(drain, (Margin(short, "on", f"{name} starts to conduct"),), "off"),
        "on": State(short, (stops, Margin(room, "full", f"{name} is fully enhanced")), "conducts"),
        "full": State(room, (Margin(times(short, -1.0), "on", f"{name} leaves full enhancement"),), "fully enhanced"),
    }
    twin = twin_of(part, b.parts, b.groups)
    if twin is not None:
        states = {"on": State(less(drain, of(f"d:{twin}")), (), f"like {twin}")}
    b.switches.append(Switch(f"{name} channel", name, states, "off" if twin is None else "on"))
    b.flow(part, "drain", times(drain, sign))
    b.flow(part, "source", times(drain, -sign))
    b.ask(f"I_D{index_of(name)}", drain, "A", f"drain current of {name}", name, "drain")
