"""An operating point in words."""

from collections.abc import Callable

from rich.text import Text

from outboard.analysis.operating import OperatingPoint, PartPoint
from outboard.dossier import Dossier, ran
from outboard.network.part import Part
from outboard.report.plate import Plate, net, part
from outboard.report.words import amperes, conditions_in_words, degrees, listed, types_in_use, volts, watts

LETTERS = {"collector": "C", "base": "B", "emitter": "E"}

UNSOLVED = {
    "runaway": "there is no operating point: the circuit runs away",
    "out of range": "the point that was reached lies outside the range in which a model holds",
    "not converged": "no operating point was found; it may hunt between two states",
}


def write(plate: Plate, dossier: Dossier) -> None:
    """Nets, parts and heat, or why there are none."""
    point = ran(dossier.operating_point)
    plate.title(dossier.brief.title)
    plate.quietly(conditions_in_words(point.conditions))
    if point.is_solved:
        plate.hairline()
        _write_nets(plate, point)
        plate.say()
        _write_parts(plate, point, dossier)
    else:
        plate.hairline()
        plate.say(Text(UNSOLVED[point.outcome], style="bold"))
        if point.runs_away:
            plate.say("beyond 400 °C: " + listed(point.runs_away))
    _write_remarks(plate, point, dossier)


def _write_nets(plate: Plate, point: OperatingPoint) -> None:
    nets = [(net(name), volts(value)) for name, value in point.nets.items()]
    nodes = [(net(name), degrees(value)) for name, value in point.thermal_nodes.items()]
    rows = [(*left, *right) for left, right in zip(_padded(nets, nodes), _padded(nodes, nets), strict=True)]
    plate.table(("net", "", "thermal node" if nodes else "", ""), rows, figures=(1, 3))


def _padded(own: list[tuple[Text, str]], other: list[tuple[Text, str]]) -> list[tuple[Text, str]]:
    return own + [(Text(), "")] * (len(other) - len(own))


def _write_parts(plate: Plate, point: OperatingPoint, dossier: Dossier) -> None:
    rows = []
    for name, found in point.parts.items():
        made = dossier.design.part(name)
        power = "" if found.power is None else watts(found.power)
        junction = "" if found.junction is None else degrees(found.junction)
        rows.append((part(name), made.role, _flow(made.part, found), power, junction))
    plate.table(("part", "", "current", "power", "junction"), rows, figures=(3, 4))


def _flow(component: Part, found: PartPoint) -> str:
    """What flows: into each pin of a device with three, along a part with two."""
    if found.heat_flow is not None:
        return _along(watts, found.heat_flow, *component.pins.values())
    if len(found.currents) == 2:
        (first, current), (second, _) = found.currents.items()
        return _along(amperes, current, first, second)
    return " · ".join(f"{LETTERS.get(pin, pin)} {amperes(current)}" for pin, current in found.currents.items())


def _along(written: Callable[[float], str], flow: float, start: str, end: str) -> str:
    """A flow in the direction in which it is positive."""
    return f"{written(abs(flow))} {start} → {end}" if flow >= 0.0 else f"{written(abs(flow))} {end} → {start}"


def _write_remarks(plate: Plate, point: OperatingPoint, dossier: Dossier) -> None:
    remarks = [*point.warnings, *dossier.design.notes]
    if point.jumped and point.is_solved:
        remarks.append("on the way up the circuit left the line it could be followed on, and settled here")
    if point.balance is not None:
        plate.hairline()
        balance = point.balance
        plate.quietly(f"delivered {watts(balance.power_in)} · taken up {watts(balance.power_out)}")
    types = types_in_use(dossier.design)
    if types:
        plate.quietly(f"† usual devices: {types}; their typical figures count here, no extremes")
    for remark in remarks:
        plate.say(remark, indent=2)
