"""Which net is the output, and on which side of ground it lies."""

from outboard.arrangements.design import Design
from outboard.network.part import GROUND


def output_net(design: Design) -> str | None:
    """The net of the load that is not ground; None without a load."""
    load = next((part.part for part in design.parts if part.name == "load"), None)
    return None if load is None else next((net for net in load.pins.values() if net != GROUND), None)


def is_below_ground(design: Design) -> bool:
    """Whether the output is negative: its plus terminal is ground then."""
    return design.brief.output is not None and design.brief.output.voltage < 0.0
