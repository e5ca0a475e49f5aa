"""What `draw --json` prints: the sheet, the ids of parts and nets, and the drawing itself when no file takes it."""

import re

from outboard.analysis.operating import OperatingPoint
from outboard.analysis.watts import Tiling
from outboard.draw.schematic import Drawing
from outboard.draw.schematic.labels import SLOTS, slug

Object = dict[str, object]
SLOT = re.compile(r' id="([^"]+)" data-slot="(\w+)"')


def drawing(
    drawn: Drawing, svg: str | None, point: OperatingPoint | None, tiled: Tiling | None = None
) -> Object:  # fmt: skip
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
    } | ({} if tiled is None else {"watts": _watts(tiled)})  # fmt: skip


def _watts(tiled: Tiling) -> Object:
    """Every rectangle of the watts, true to scale."""
    tiles = [{"part": tile.part, "from_A": tile.left, "to_A": tile.right, "high_V": tile.high, "low_V": tile.low,
              "power_W": tile.power} for tile in tiled.tiles]  # fmt: skip
    return {"power_W": tiled.power, "current_A": tiled.current, "tiles": tiles}


def _slots(drawn: Drawing, name: str, told: tuple[str, ...] = SLOTS) -> dict[str, str]:
    """What is told of a part or a net, with the id of the element that tells it."""
    found = ((what, slot) for slot, what in SLOT.findall(drawn.svg) if what in told)
    return {what: slot for what, slot in found if slot == f"{what}-{slug(name)}"}
