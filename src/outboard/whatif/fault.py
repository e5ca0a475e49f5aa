"""The single faults of a design: parts open, pins shorted or open, values drifted, heat paths lost."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations

from outboard.arrangements.design import Design, DesignPart
from outboard.cases.alike import alike
from outboard.network import edits
from outboard.network.edits import Parts
from outboard.network.fields import PINS
from outboard.network.part import AMBIENT, Part
from outboard.whatif import modes
from outboard.whatif.modes import DRIFT, IMPROPER, OF_KIND, OPEN, SHORT, SILENT

Edit = Callable[[Parts], Parts]

DRIFTS = (0.5, 2.0)
"""A drifted value is half or twice what it was (common practice, no source)."""

STILL_AIR = 3.0
"""A covered sink, or one whose fan stands still, has about three times its resistance (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is otherwise.

    part    what it befalls; "" for events
    mode    "short", "open", "drift", "heat" or "event"
    words   the fault as one says it
    share   of all failures of such a part; None where no table tells it
    edit    the parts as they are then
    unknown why nothing can be said about it, when that is so
    restarts whether the input comes back from nothing while everything is hot
    lets_go  name of a short that is taken away again while everything is hot; "" otherwise
    passes   whether it is over again some time, as a shorted output is
    alike    parts of which any one may be meant, where there are several
    """

    part: str
    mode: str
    words: str
    share: float | None
    edit: Edit
    unknown: str = ""
    restarts: bool = False
    lets_go: str = ""
    passes: bool = False
    alike: tuple[str, ...] = ()


def single_faults(design: Design) -> tuple[Fault, ...]:
    """Every single fault of the parts of a design; source and load are no parts of it.

    Of parts that could change places only the first fails: the words say that any of them may be meant.
    """
    found: list[Fault] = []
    others = alike(design.parts)
    for part in design.parts:
        like = others.get(part.name, ())
        if like and part.name != like[0]:
            continue
        if like:
            found += [_any_of(like, fault) for fault in (*_electrical(part), *_of_heat(part))]
        elif part.part.kind in OF_KIND and part.role not in ("input", "load"):
            found += _electrical(part)
            found += _of_heat(part)
        elif part.part.kind == "thermal_resistance":
            words = f"{part.name} without air: {STILL_AIR:g} times its thermal resistance"
            edit = partial(edits.drifted, name=part.name, field="resistance", factor=STILL_AIR)
            found.append(Fault(part.name, "heat", words, None, edit))
    return tuple(found)


def _any_of(like: tuple[str, ...], fault: Fault) -> Fault:
    one = f"one of {like[0]}…{like[-1]}" if len(like) > 2 else " or ".join(like)
    return replace(fault, words=fault.words.replace(like[0], one), alike=like)


def _electrical(part: DesignPart) -> Iterator[Fault]:
    kind, name = part.part.kind, part.name
    pins = PINS[kind]
    if kind == "regulator":
        yield from _of_regulator(name)
        return
    if len(pins) == 2:
        yield Fault(name, OPEN, f"{name} open", OF_KIND[kind].share(OPEN), partial(edits.left_out, name=name))
        yield _short(part, *pins, OF_KIND[kind].share(SHORT))
    else:
        pairs = list(combinations(pins, 2))
        for pin in pins:
            yield Fault(name, OPEN, f"{pin} of {name} open", _share(kind, OPEN, len(pins)),
                        partial(edits.opened, name=name, pin=pin))  # fmt: skip
        for first, second in pairs:
            yield _short(part, first, second, _share(kind, SHORT, len(pairs)))
    if kind == "resistor":
        for factor in DRIFTS:
            yield Fault(name, DRIFT, f"{name} {'halved' if factor < 1 else 'doubled'}",
                        modes.FILM_RESISTOR.share(DRIFT) / len(DRIFTS),
                        partial(edits.drifted, name=name, field="resistance", factor=factor))  # fmt: skip


def _share(kind: str, mode: str, among: int) -> float | None:
    """Share of one of several like ways; None where no table tells it."""
    return OF_KIND[kind].share(mode) / among if OF_KIND[kind].shares else None


def _short(part: DesignPart, first: str, second: str, share: float | None) -> Fault:
    words = f"{part.name} shorted" if len(PINS[part.part.kind]) == 2 else f"{first} and {second} of {part.name} shorted"
    return Fault(part.name, SHORT, words, share, partial(edits.shorted, name=part.name, first=first, second=second))


def _of_regulator(name: str) -> Iterator[Fault]:
    """Input through to the output and a lost reference count as improper output, all others as none."""
    family = modes.LINEAR_CIRCUIT
    improper = family.share(IMPROPER) / 2.0
    silent = family.share(SILENT) / 4.0
    yield Fault(name, SHORT, f"in and out of {name} shorted", improper,
                partial(edits.shorted, name=name, first="in", second="out"))  # fmt: skip
    yield Fault(name, OPEN, f"ref of {name} open", improper, partial(edits.opened, name=name, pin="ref"))
    for pin in ("in", "out"):
        yield Fault(name, OPEN, f"{pin} of {name} open", silent, partial(edits.opened, name=name, pin=pin))
        yield Fault(name, SHORT, f"{pin} and ref of {name} shorted", silent,
                    partial(edits.shorted, name=name, first=pin, second="ref"))  # fmt: skip


def _of_heat(part: DesignPart) -> Iterator[Fault]:
    """A device that hangs on a sink comes loose: its bare case is left to the air."""
    heat = part.part.heat
    if heat is None or heat.to == AMBIENT or part.type is None:
        return
    in_air = part.rating("R_thJA")
    words = f"{part.name} loose from its sink"
    if in_air is None:
        unknown = f"R_thJA of {part.name} ({part.type.name}) is not known"
        yield Fault(part.name, "heat", words, None, tuple, unknown)
    else:
        edit = partial(edits.heated_through, name=part.name, to=AMBIENT, resistance=in_air.value)
        yield Fault(part.name, "heat", words, None, edit)


def likeliest(part: DesignPart) -> Fault | None:
    """How a part that is asked too much fails next: a semiconductor burns through, a resistor opens.

    These are the ways with the greatest shares: short before open for transistors, MOSFETs, diodes and electrolytic
    capacitors, open before short for resistors, improper output before none for regulators [MIL-HDBK-338B-modes].
    That nothing is left then but a short along the main path is common practice, without a source.
    """
    kind, name = part.part.kind, part.name
    main = {"bipolar": ("collector", "emitter"), "mosfet": ("drain", "source"), "regulator": ("in", "out"),
            "diode": ("anode", "cathode"), "thyristor": ("anode", "cathode"), "capacitor": ("a", "b")}  # fmt: skip
    if kind in main:
        first, second = main[kind]
        edit = partial(edits.burnt_through, name=name, first=first, second=second)
        return replace(_short(part, first, second, None), edit=edit)
    if kind == "resistor":
        return Fault(name, OPEN, f"{name} open", None, partial(edits.left_out, name=name))
    return None


def applied(parts: Sequence[Part], faults: Sequence[Fault]) -> Parts:
    """The parts with one fault after the other."""
    found = tuple(parts)
    for fault in faults:
        found = fault.edit(found)
    return found
