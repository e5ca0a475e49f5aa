"""The schematic, drawn from the parts of a design: ink that is a whole circuit drawing, colour washed in beneath."""

from outboard.draw.schematic.drawing import Drawing, drawing, schematic
from outboard.draw.schematic.outlines import outlined

__all__ = ["Drawing", "drawing", "outlined", "schematic"]
