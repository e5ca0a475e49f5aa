"""Whether a crowbar fires in a fault: from the gate current that the blocking circuit drives, not from a voltage alone.

So a crowbar whose own parts fail is told as it is: a trigger that is open never fires, one that is shorted fires at
once. What the load sees before it fires is the greatest voltage at which any device of these types does; what flows
afterwards, until a fuse ends it, is solved with the thyristor in its on state.
"""

from dataclasses import dataclass, replace

from outboard.arrangements.crowbar import Crowbar, Unknown, crowbar_of, gate, trip_of
from outboard.arrangements.design import Design
from outboard.network import edits
from outboard.network.edits import Parts, Pruned
from outboard.network.refusal import THERMAL_KINDS
from outboard.network.solution import Block
from outboard.quantity import CURRENT, VOLTAGE, shown

SOME_CURRENT = 1e-4
"""Gate current below which no thyristor of unknown type is suspected of firing [A] (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Fired:
    """A crowbar that has fired.

    part            the thyristor
    lets_through    the most that the load sees before it fires [V]; None where that cannot be told
    surge           the most that flows through it until a fuse opens [A]; None where no point is solved
    joule_integral  what it bears until then [A²s]; None where its sheet does not say
    """

    part: str
    lets_through: float | None
    surge: float | None = None
    joule_integral: float | None = None

    @property
    def in_words(self) -> str:
        """What it does, and what is asked of the fuse."""
        sees = f"; the load sees at most {shown(self.lets_through, VOLTAGE, 3)}" if self.lets_through else ""
        flows = f" of up to {shown(self.surge, CURRENT, 3)}" if self.surge is not None else ""
        if self.joule_integral is None:
            return f"the crowbar {self.part} fires{sees}; a fuse must end the current{flows}, no I²t is printed"
        return f"the crowbar {self.part} fires{sees}; the fuse must clear the current{flows} within {self.integral}"

    @property
    def integral(self) -> str:
        """What the thyristor bears, in words."""
        return f"{self.joule_integral:.3g} A²s"


def fires(design: Design, whole: Pruned, block: Block) -> Fired | str | None:
    """The crowbar that fires at some point; in words why that is not known; None where nothing fires."""
    crowbar = crowbar_of(design)
    if crowbar is None or crowbar.thyristor.name not in {part.name for part in whole.parts}:
        return None
    if not block.is_solved.any():
        return None
    name, part_type = crowbar.thyristor.name, crowbar.thyristor.type
    driven = float(block.pin_current(name, "gate")[block.is_solved].max())
    wanted = gate(part_type, design.brief.surroundings.ambient.least) if part_type is not None else None
    if wanted is None:
        return f"what fires {name} is not known" if driven > SOME_CURRENT else None
    return _fired(design, crowbar) if driven >= wanted.current else None


def _fired(design: Design, crowbar: Crowbar) -> Fired:
    bounds, bears = trip_of(design, crowbar), crowbar.thyristor.rating("I2t")
    return Fired(crowbar.thyristor.name, None if isinstance(bounds, Unknown) else bounds.most.value,
                 joule_integral=bears.value if bears is not None else None)  # fmt: skip


def unwarmed(parts: Parts) -> Parts:
    """The parts before anything has warmed: nothing has a heat path. A crowbar acts within microseconds."""
    return tuple(replace(part, heat=None) for part in parts if part.kind not in THERMAL_KINDS)


def unfired(design: Design, parts: Parts) -> Parts:
    """The parts without the diode that triggers the crowbar."""
    crowbar = crowbar_of(design)
    return parts if crowbar is None or crowbar.trigger is None else edits.left_out(parts, crowbar.trigger.name)


def on_state(parts: Parts, name: str) -> Parts:
    """The parts with this thyristor conducting."""
    return edits.changed(unwarmed(parts), name, {"fired": 1.0})
