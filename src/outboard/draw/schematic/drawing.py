"""From a design to its drawing: columns, levels, places, wires, and the sheet around them."""

from collections.abc import Mapping
from dataclasses import dataclass

from outboard.analysis.operating import OperatingPoint
from outboard.arrangements.design import Design, DesignPart
from outboard.draw.schematic.chains import Columns, Seat, columns
from outboard.draw.schematic.labels import LINE, bar_scale, label, meter
from outboard.draw.schematic.legend import legend
from outboard.draw.schematic.levels import levels
from outboard.draw.schematic.paint import Plate, extent, painted
from outboard.draw.schematic.placing import Box, Words, columns_of, label_box, meter_box
from outboard.draw.schematic.potentials import is_electrical
from outboard.draw.schematic.ribbons import MOST, Scale
from outboard.draw.schematic.symbols import Style
from outboard.draw.schematic.wires import wires, with_currents

CLEAR_OF_NAME, EDGE = 26.0, 30.0


@dataclass(frozen=True)
class Drawing:
    """A placed drawing, its sheet, and its SVG."""

    plate: Plate
    sheet: Box
    svg: str


def schematic(
    design: Design, point: OperatingPoint | None = None, *, ribbons: bool = False, symbols: Style = "iec"
) -> str:
    """The schematic of a design as SVG; with a solved point its figures, and as ribbons if wanted.

    ValueError when ribbons are wanted of a point that is not solved, or there is no part to draw.
    """
    return drawing(design, point, ribbons=ribbons, symbols=symbols).svg


def drawing(
    design: Design, point: OperatingPoint | None = None, *, ribbons: bool = False, symbols: Style = "iec"
) -> Drawing:
    """As `schematic`, with all places."""
    if point is not None and not point.is_solved:
        raise ValueError(f"a point that is {point.outcome} has no figures to draw")
    if ribbons and point is None:
        raise ValueError("ribbons need an operating point")
    drawn = columns(design.parts, symbols, design.brief.feed)
    if not drawn.chains:
        raise ValueError("there is no part to draw")
    scale = Scale(_full_load(design, point)) if ribbons and point is not None else None
    electrical = [part for part in design.parts if is_electrical(part.part)]
    bars = bar_scale(electrical, point) if scale is not None and point is not None else None
    plate = _plate(design, drawn, point, scale, bars)
    sheet = extent(plate)
    strip = ""
    if scale is not None and bars is not None:
        strip, right, bottom = legend(sheet.left + EDGE, sheet.right - EDGE, sheet.bottom + 10.0, scale, bars)
        sheet = Box(sheet.left, sheet.top, max(sheet.right, right + EDGE), bottom)
    return Drawing(plate, sheet, painted(plate, sheet, strip))


def _plate(
    design: Design, drawn: Columns, point: OperatingPoint | None, scale: Scale | None, bars: float | None
) -> Plate:
    """Everything in its place."""
    seats = [seat for chain in drawn.chains for seat in chain.seats]
    meters = {seat.name: told for seat in seats if (told := meter(seat, point)) is not None}
    words = Words({seat.name: label(seat, point, bars) for seat in seats}, meters, point is not None,
                  0.5 * MOST if scale is not None else 0.0)  # fmt: skip

    def extents(seat: Seat) -> tuple[float, float]:
        """What a part takes above and below its middle."""
        boxes = [(-seat.symbol.half, seat.symbol.half)]
        if words.labels[seat.name].lines:
            box = label_box(seat, words.labels[seat.name], 0.0, LINE)
            boxes.append((box.top - 3.0, box.bottom + 3.0))
        if seat.name in meters:
            box = meter_box(seat, meters[seat.name], 0.0)
            boxes.append((box.top, box.bottom))
        return -min(top for top, _ in boxes), max(bottom for _, bottom in boxes)

    found = levels(drawn, extents, CLEAR_OF_NAME + words.half_ribbon)
    placed = columns_of(drawn, found, words, LINE)
    conductors = wires(placed, found)
    if point is not None:
        taken = currents_into_pins(design.parts, point)
        conductors = [with_currents(wire, taken) for wire in conductors]
    return Plate(design.brief.title, placed, found, conductors, words, point, scale, bars)


def currents_into_pins(parts: tuple[DesignPart, ...], point: OperatingPoint) -> Mapping[tuple[str, str], float]:
    """What every pin takes from its net [A]."""
    return {(part.name, pin): current for part in parts for pin, current in point.parts[part.name].currents.items()}


def _full_load(design: Design, point: OperatingPoint | None) -> float:
    """The current that is drawn full width: the largest load promised, else the largest current there is [A]."""
    if design.brief.output is not None and design.brief.output.load.most > 0:
        return design.brief.output.load.most
    currents = [abs(current) for part in (point.parts.values() if point else ()) for current in part.currents.values()]
    return max(currents, default=1.0) or 1.0
