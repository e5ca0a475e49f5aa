"""The schematic, drawn from the parts of a design: ink that is a whole circuit drawing, colour washed in beneath."""

from outboard.draw.schematic.drawing import Drawing, drawing, schematic

__all__ = ["Drawing", "drawing", "schematic"]
