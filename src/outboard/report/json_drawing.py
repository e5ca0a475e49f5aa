"""What `draw --json` prints: the sheet, the ids of parts and nets, and the drawing itself when no file takes it."""

import re

from outboard.analysis.operating import OperatingPoint
from outboard.draw.schematic import Drawing
from outboard.draw.schematic.labels import SLOTS, slug

Object = dict[str, object]
SLOT = re.compile(r' id="([^"]+)" data-slot="(\w+)"')


def drawing(drawn: Drawing, svg: str | None, point: OperatingPoint | None) -> Object:
    """Size in units of the drawing; `svg` is null when it went into a file, `outcome` when no figures were wanted."""
    sheet, seats = drawn.sheet, [seat for _, seat, _ in drawn.plate.seats()]
    return {
        "width": sheet.right - sheet.left,
        "height": sheet.bottom - sheet.top,
        "parts": {seat.name: {"id": f"part-{slug(seat.name)}", "role": seat.role, "slots": _slots(drawn, seat.name)}
                  for seat in seats},
        "nets": {wire.net: {"id": f"net-{slug(wire.net)}", "slots": _slots(drawn, wire.net, ("voltage",))}
                 for wire in drawn.plate.wires},
        "outcome": None if point is None else point.outcome,
        "svg": svg,
    }  # fmt: skip


def _slots(drawn: Drawing, name: str, told: tuple[str, ...] = SLOTS) -> dict[str, str]:
    """What is told of a part or a net, with the id of the element that tells it."""
    found = ((what, slot) for slot, what in SLOT.findall(drawn.svg) if what in told)
    return {what: slot for what, slot in found if slot == f"{what}-{slug(name)}"}
