"""The regulator as an ideal element: it holds its voltage, limits its current, has dropped out, or delivers nothing."""

from typing import TYPE_CHECKING

from outboard.arrangements.design import DesignPart
from outboard.explain.hand_figures import HandFigure, figure_of
from outboard.explain.ideal import Law, Margin, State, Switch
from outboard.explain.letters import index_of
from outboard.explain.rows import Row, across, constant, less, times, total

if TYPE_CHECKING:
    from outboard.explain.idealised import Builder


def add_regulator(b: "Builder", part: DesignPart) -> None:
    """Enters a regulator: its switch, its limit (folding back where it does), its quiescent current."""
    name, pins = part.name, part.part.pins
    sign = -1.0 if part.part.polarity == "negative" else 1.0
    alone = sum(other.part.kind == "regulator" for other in b.parts) == 1
    k = "" if alone else index_of(name)
    held = b.letter(f"V_REG{k}", figure_of(part, "set_voltage", 0.0, "set voltage"), "V", f"voltage that {name} holds")
    drop = b.letter(f"V_DO{k}", figure_of(part, "dropout_voltage", 1.5, "drop-out"), "V", f"drop-out voltage of {name}")
    slope = b.letter(f"r_DO{k}", figure_of(part, "dropout_resistance", 0.5, "drop-out"), "Ω",
                     f"drop-out resistance of {name}")  # fmt: skip
    current, limit = b.branch(f"i:{name}"), b.branch(f"limit:{name}")
    output = times(across(pins["out"], pins["ref"]), sign)
    differential = times(across(pins["in"], pins["out"]), sign)
    lacking = less(constant(1.0, held), output)
    if b.exact:
        inner = b.letter(f"r_O{k}", figure_of(part, "output_resistance", 10e-3), "Ω", f"output resistance of {name}")
        lacking = less(lacking, times(current, 1.0, inner))
    room = total(differential, constant(-1.0, drop), times(current, -1.0, slope))
    _add_switch(b, name, current, limit, lacking, room, total(differential, constant(-1.0, drop)))
    _add_limit(b, part, k, limit, differential)
    quiescent = _quiescent(b, part, k, current)
    b.flow(part, "in", times(total(current, quiescent), sign))
    b.flow(part, "out", times(current, -sign))
    b.flow(part, "ref", times(quiescent, -sign))
    b.ask(f"I_REG{k}", current, "A", f"current that {name} delivers", name, "out")
    if "divider_resistance" in part.part.values:
        divider = b.through(part, "out", "ref", f"i:{name} divider")
        letter = b.letter(f"R_div{k}", figure_of(part, "divider_resistance", 0.0), "Ω", f"divider of {name}")
        b.laws.append(Law(less(across(pins["out"], pins["ref"]), times(divider, 1.0, letter)), f"{name} divider"))


def _add_switch(b: "Builder", name: str, current: Row, limit: Row, lacking: Row, room: Row, ahead: Row) -> None:
    """Holding, limiting, dropped out, idle (output held up from elsewhere), starved (no input)."""
    regains = Margin(lacking, "holding", f"{name} holds its voltage")
    drops = Margin(room, "dropped out", f"{name} drops out")
    limits = Margin(less(limit, current), "limiting", f"{name} limits its current")
    states = {
        "holding": State(lacking, (drops, limits, Margin(current, "idle", f"{name} delivers nothing")), "regulating"),
        "limiting": State(less(limit, current), (regains, drops), "limiting"),
        "dropped out": State(room, (regains, limits, Margin(current, "starved", f"{name} is starved")), "dropped out"),
        "idle": State(current, (Margin(times(lacking, -1.0), "holding", f"{name} starts to deliver"),), "idle"),
        "starved": State(current, (Margin(times(ahead, -1.0), "dropped out", f"{name} starts to deliver"),), "starved"),
    }
    b.switches.append(Switch(f"{name} output", name, states, "holding"))


def _add_limit(b: "Builder", part: DesignPart, k: str, limit: Row, differential: Row) -> None:
    """The current limit: flat, on its way down, folded back."""
    given, name = part.part.values, part.name
    least = figure_of(part, "current_limit", 0.0, "limit")
    full = b.letter(f"I_lim{k}", least, "A", f"current limit of {name}")
    flat = less(limit, constant(1.0, full))
    if given.get("short_circuit_current", least.value) == least.value:
        states = {"flat": State(flat, (), "")}
    else:
        short = b.letter(f"I_SC{k}", figure_of(part, "short_circuit_current", 0.0, "limit"), "A",
                         f"short-circuit current of {name}")  # fmt: skip
        first = b.letter(f"V_1{k}", figure_of(part, "foldback_start", 10.0), "V", "differential where the limit falls")
        last = b.letter(f"V_2{k}", figure_of(part, "foldback_end", 30.0), "V", "differential where it has fallen")
        before = less(constant(1.0, first), differential)
        behind = less(differential, constant(1.0, last))
        steep = figure_of(part, "current_limit", 0.0).value - figure_of(part, "short_circuit_current", 0.0).value
        width = figure_of(part, "foldback_end", 30.0).value - figure_of(part, "foldback_start", 10.0).value
        slope = b.letter(f"g_f{k}", HandFigure.exactly(steep / width, "from the ends of the foldback line"), "S",
                         f"how steeply the limit of {name} folds back")  # fmt: skip
        down = total(flat, times(before, -1.0, slope))
        falls = f"the limit of {name} begins to fold back"
        states = {
            "flat": State(flat, (Margin(before, "falling", falls),), ""),
            "falling": State(down, (Margin(times(before, -1.0), "flat", f"the limit of {name} is whole again"),
                                    Margin(times(behind, -1.0), "folded", f"the limit of {name} has folded back")),
                             "folding back"),
            "folded": State(less(limit, constant(1.0, short)),
                            (Margin(behind, "falling", f"the limit of {name} rises again"),), "folded back"),
        }  # fmt: skip
    b.switches.append(Switch(f"{name} limit", name, states, "flat"))


def _quiescent(b: "Builder", part: DesignPart, k: str, current: Row) -> Row:
    """What the regulator draws for itself, from in to ref."""
    figure = figure_of(part, "quiescent_current", 5e-3, "quiescent current")
    found: Row = {}
    if figure.value:
        found = constant(1.0, b.letter(f"I_Q{k}", figure, "A", f"quiescent current of {part.name}"))
    share = figure_of(part, "quiescent_load_coefficient", 0.0)
    if share.value and b.exact:
        letter = b.letter(f"k_Q{k}", share, "1", f"share of its current that {part.name} draws for itself")
        found = total(found, times(current, 1.0, letter))
    return found


