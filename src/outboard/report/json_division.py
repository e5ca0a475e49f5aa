"""What `divide --json` prints, and the same curves as a table for other programs."""

import csv
import io
from collections.abc import Iterator

from outboard.analysis.curves import Curve, Division, Floats, Mask
from outboard.network.outcome import WORDS
from outboard.report.json_text import celsius

Object = dict[str, object]


def division(found: Division) -> Object:
    """Curves over the load and the places on them; figures without an operating point are null."""
    return {
        "devices": [{"name": device.name, "role": device.role, "kind": device.kind} for device in found.devices],
        "promised_A": list(found.promised),
        "output": {"voltage_V": found.target, "tolerance": found.tolerance},
        "curves": [_curve(curve) for curve in found.curves],
        "handovers": [
            {"condition": place.condition, "part": place.part, "load_A": place.load,
             "regulator_A": place.regulator_current}
            for place in found.handovers
        ],
        "events": [
            {"condition": event.condition, "what": event.what, "part": event.part, "from_A": event.least,
             "to_A": event.most}
            for event in found.events
        ],
        "differs": [
            {"condition": place.condition, "from_A": place.least, "to_A": place.most, "gap_V": place.gap}
            for place in found.differs
        ],
        "does_not_start": [
            {"condition": place.condition, "load_A": place.load, "followed_V": place.followed,
             "started_V": place.started}
            for place in found.no_start
        ],
    }  # fmt: skip


def _curve(curve: Curve) -> Object:
    return {
        "condition": curve.condition,
        "direction": curve.direction,
        "conditions": {"input_V": curve.input_voltage, "ambient_C": celsius(curve.ambient)},
        "load_A": curve.load.tolist(),
        "outcome": [WORDS[outcome] for outcome in curve.outcomes],
        "output_V": _where_solved(curve, curve.output),
        "parts": {
            name: {
                "current_A": _where_solved(curve, curve.currents[name]),
                "power_W": _where_solved(curve, curve.powers[name]),
                "junction_C": [celsius(value) for value in _where_solved(curve, curve.junctions[name])],
            }
            for name in curve.currents
        },
        "limiting": {name: _flags(curve, mask) for name, mask in curve.limiting.items()},
        "dropped_out": {name: _flags(curve, mask) for name, mask in curve.dropped_out.items()},
    }


def _where_solved(curve: Curve, figure: Floats) -> list[float | None]:
    return [float(value) if solved else None for value, solved in zip(figure, curve.solved, strict=True)]


def _flags(curve: Curve, mask: Mask) -> list[bool]:
    return [bool(flag) for flag in mask & curve.solved]


def csv_text(found: Division) -> str:
    """One row for every condition, direction and load; SI, junctions in °C, empty where there is no point."""
    names = [device.name for device in found.devices]
    columns = [f"{name}_{figure}" for name in names for figure in ("current_A", "power_W", "junction_C")]
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    rows.writerow(["condition", "direction", "input_V", "ambient_C", "load_A", "outcome", "output_V", *columns])
    for curve in found.curves:
        rows.writerows(_rows(curve, names))
    return text.getvalue()


def _rows(curve: Curve, names: list[str]) -> Iterator[list[object]]:
    source = "" if curve.input_voltage is None else curve.input_voltage
    heading = [curve.condition, curve.direction, source, celsius(curve.ambient)]
    for point, solved in enumerate(curve.solved):
        row: list[object] = [*heading, float(curve.load[point]), WORDS[curve.outcomes[point]]]
        figures: list[object] = [float(curve.output[point])]
        for name in names:
            figures += [float(curve.currents[name][point]), float(curve.powers[name][point])]
            figures.append(celsius(float(curve.junctions[name][point])))
        yield row + (figures if solved else [""] * len(figures))
