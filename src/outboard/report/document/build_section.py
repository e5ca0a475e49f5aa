"""In which order to build."""

from collections.abc import Iterator

from outboard.report.document.content import Items, Section, Styled, Words
from outboard.report.document.material import Material
from outboard.report.document.wordings import part

SMALL = {"resistor": "resistors", "diode": "diodes"}
"""What goes in first."""


def section(material: Material) -> Section:
    """Numbered steps, each to be finished before the next."""
    return Section("Build order", (Items(tuple(_steps(material)), numbered=True),))


def _steps(material: Material) -> Iterator[Words]:
    design = material.design
    named = [(one.role, one.name) for one in design.parts]
    semiconductors = [one for one in design.parts if one.part.kind in ("bipolar", "mosfet", "regulator")]
    yield "Measure every resistor before it goes in, and note its value."
    if any(one.part.heat is not None for one in semiconductors):
        yield ("Drill and deburr the sink; mount the devices with pad and insulating bushes. With a meter on ohms: no "
               "connection between any case and the sink.")  # fmt: skip
    yield "Lay the star point and the ground leads, then input and output leads, then everything else."
    small = [one.name for one in design.parts if one.part.kind in SMALL and one.role not in ("input", "load")]
    if small:
        kinds = {one.part.kind for one in design.parts if one.name in small}
        what = " and ".join(words for kind, words in SMALL.items() if kind in kinds)
        yield (f"Fit the {what}: ", *_listed(small), ". Power resistors stand clear of the board.")
    limiters = [name for role, name in named if role == "sense transistor"]
    if limiters:
        yield ("Fit the sense transistor ", *_listed(limiters), "; base, collector and emitter as its maker's sheet "
               "says.")  # fmt: skip
    regulators = [name for role, name in named if role == "regulator"]
    if regulators:
        yield ("Fit the regulator ", *_listed(regulators), " and the capacitors at its pins. Test it alone, as step 2 "
               "of the test plan says, before any outboard transistor is connected.")  # fmt: skip
    drivers = [name for role, name in named if role == "driver"]
    if drivers:
        yield ("Fit the driver ", *_listed(drivers), "; check base, collector and emitter against the data sheet of "
               "the maker whose part it is.")  # fmt: skip
    field_effect = sum(one.part.kind == "mosfet" for one in design.parts)
    passes = [name for role, name in named if role == "pass device"]
    if passes:
        one_by_one = ", one after another" if len(passes) > 1 else ""
        pins = "gate to source" if field_effect else "base to emitter"
        each = "each with its" if len(passes) > 1 else "with its"
        yield ("Connect ", *_listed(passes), f"{one_by_one}, {each} resistor from {pins} where the schematic has "
               "one.")  # fmt: skip
    yield "Fit the fuse at the input last. Compare every connection with the schematic, aloud, with a second person."


def _listed(names: list[str]) -> tuple[str | Styled, ...]:
    pieces: list[str | Styled] = []
    for number, name in enumerate(names):
        pieces += [", " if number else "", part(name)]
    return tuple(pieces)
