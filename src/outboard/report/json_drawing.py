"""What `draw --json` prints: the sheet, the ids of parts and nets, and the drawing itself when no file takes it."""

from outboard.analysis.operating import OperatingPoint
from outboard.draw.schematic import Drawing
from outboard.draw.schematic.labels import slug

Object = dict[str, object]


def drawing(drawn: Drawing, svg: str | None, point: OperatingPoint | None) -> Object:
    """Size in units of the drawing; `svg` is null when it went into a file, `outcome` when no figures were wanted."""
    sheet, seats = drawn.sheet, [seat for _, seat, _ in drawn.plate.seats()]
    return {
        "width": sheet.right - sheet.left,
        "height": sheet.bottom - sheet.top,
        "parts": {seat.name: {"id": f"part-{slug(seat.name)}", "role": seat.role} for seat in seats},
        "nets": {wire.net: {"id": f"net-{slug(wire.net)}"} for wire in drawn.plate.wires},
        "outcome": None if point is None else point.outcome,
        "svg": svg,
    }
