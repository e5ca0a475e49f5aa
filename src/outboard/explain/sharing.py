"""Devices with a ballast made one device with a gain of its own, so that a result keeps the form of a single device.

A resistor R beside a junction and its ballast R_E carries I_h + k·I_B, with the hand-over current I_h = V_BE/R and
k = (1 + h_FE)·R_E/R.  What drives n such devices beyond I_h comes out of their collectors h_E times, with
h_E = n·h_FE/(n + k).  Both are exact.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from outboard.explain.definitions import Definition
from outboard.explain.expression import Expression, Sign, divided, multiplied
from outboard.explain.letters import index_of
from outboard.explain.rows import ONE
from outboard.explain.system import Equation, Laws, PolyRow, System
from outboard.explain.tidying import Poly


@dataclass(frozen=True, slots=True)
class Drive:
    """The current that drives a group beyond its hand-over current, in the place of its base current.

    beside   what stands before the base current where the drive is made: base = drive/beside
    all      collectors of all devices per base current; `gain` is what becomes of them per drive
    """

    device: str
    unknown: str
    beside: Poly
    all: Poly
    gain: Poly
    collectors: Expression


class Sharing:
    """What has been put in ahead of all results; `reduced` does the same to another row."""

    def __init__(self, system: System) -> None:
        self.system = system
        self.equations = list(system.equations)
        self.instead: list[tuple[str, PolyRow]] = []
        self.drives: list[Drive] = []
        for device, resistor in _ballasted(system):
            self._share(device, resistor)

    def reduced(self, row: PolyRow) -> PolyRow:
        """A row with everything put in that has been put in here."""
        for unknown, terms in self.instead:
            row = put(row, unknown, terms)
        for drive in self.drives:
            row = _driven(row, drive)
        return row

    def _share(self, device: str, resistor: str) -> None:
        """Takes out emitter net and ballast, names what a resistor beside them carries, then the drive."""
        pins = _pins(self.system, device)
        bipolar = "emitter" in pins
        base, own = f"b:{device}" if bipolar else f"d:{device}", f"i:{resistor}"
        net = pins["emitter" if bipolar else "source"]
        emitter = self._of_two(f"net {net}", own, base)
        law = next((e for e in self.equations if e.about == resistor), None)
        if emitter is None or law is None:
            return
        place = self.system.potentials.get(f"v:{net}", (f"v:{net}", None))[0]
        if law.row.get(place) not in (1, -1):
            return
        self._take(emitter, emitter.row, own)
        law = next(e for e in self.equations if e.about == resistor)
        self._take(law, law.row, place)
        beside = next((e for e in self.equations if e.about in self.system.named and _is_beside(e, base)), None)
        if beside is not None:
            self._name_share(beside, base, device)
        if bipolar:
            self._name_drive(device, base)

    def _of_two(self, about: str, first: str, second: str) -> Equation | None:
        for equation in self.equations:
            if equation.about == about and set(equation.row) == {first, second} and equation.row[first] in (1, -1):
                return equation
        return None

    def _take(self, equation: Equation, row: PolyRow, unknown: str) -> None:
        """Uses an equation to put an unknown with coefficient ±1 into all others; its laws go with it."""
        left = dict(row)
        sign = left.pop(unknown)
        instead = {u: -factor * sign for u, factor in left.items()}
        self.instead.append((unknown, instead))
        self.equations = [
            Equation(e.about, put(e.row, unknown, instead), joined(equation.laws, e.laws)) if unknown in e.row else e
            for e in self.equations if e.about != equation.about
        ]  # fmt: skip

    def _name_share(self, equation: Equation, base: str, device: str) -> None:
        """R·I = V + c·I_B becomes I = I_h + k·I_B."""
        system, own, index = self.system, f"i:{equation.about}", index_of(device)
        resistance = equation.row[own]
        sign = -1 if resistance.coeffs()[0] < 0 else 1
        drop, factor = -equation.row[ONE] * sign, -equation.row[base] * sign
        if not (_positive(drop) and _positive(factor)):
            return
        letter = system.tidy.written(resistance * sign)
        held = system.current(equation.about, system.tidy.written(drop))
        words = f"ballast against {equation.about}"
        name = f"k_{index}"
        value = divided(system.tidy.written(factor), letter)
        share = system.name(f"share of {device}", name, Definition(name, "", device, value, "", words, "1"))
        row = {own: system.ring.one, ONE: -held, base: -share}
        together = ("so", row)
        self._take(replace(equation, laws=(*equation.laws, together)), row, own)

    def _name_drive(self, device: str, base: str) -> None:
        """c·I_B at the base net becomes the drive; what the collectors carry becomes h_E times the drive."""
        system, index = self.system, index_of(device)
        at = next((e for e in self.equations if e.about == f"net {_pins(system, device).get('base')}"), None)
        if at is None or base not in at.row:
            return
        beside = at.row[base]
        beside = -beside if beside.coeffs()[0] < 0 else beside
        carried = (q for q in system.ideal.quantities.values() if (q.part, q.pin) == (device, "collector"))
        ((_, (letter,)),) = next((q.row[base] for q in carried), ((1.0, ("",)),))
        if not letter or not _positive(beside) or beside == 1:
            return
        gain, count = system.letters[letter], self._count(base)
        everything = count * gain
        own, under = everything.cancel(beside)
        collectors = multiplied(system.tidy.written(count), Sign(letter), Sign(f"I_B{index}"))
        if under == 1:
            effective = own
        else:
            name = f"h_E{index}"
            words = f"gain of {device} with ballast" if count == 1 else f"gain of all like {device}"
            value = divided(system.tidy.written(own), system.tidy.written(under))
            effective = system.name(f"gain of {device}", name, Definition(name, "", device, value, "", words, "1"))
        drive = Drive(device, f"drive:{device}", beside, everything, effective, collectors)
        self.drives.append(drive)
        self.equations = [replace(e, row=_driven(e.row, drive)) for e in self.equations]

    def _count(self, base: str) -> Poly:
        letter = self.system.twins.counts.get(base)
        return self.system.letters[letter] if letter else self.system.ring.one


def _ballasted(system: System) -> Iterator[tuple[str, str]]:
    """Transistors whose emitter net holds nothing but a resistor, and that resistor."""
    for at, flows in system.ideal.flows.items():
        if len(flows) == 2 and at not in system.twins.nets:
            for (device, pin, _), (other, _, _) in (flows, flows[::-1]):
                if pin in ("emitter", "source") and other in system.named:
                    yield device, other


def _pins(system: System, device: str) -> dict[str, str]:
    """Pins of a device, each with its net; what stands at ground is not among them."""
    return {pin: at for at, flows in system.ideal.flows.items() for part, pin, _ in flows if part == device}


def _is_beside(equation: Equation, base: str) -> bool:
    own = f"i:{equation.about}"
    return set(equation.row) == {own, base, ONE} and len(equation.row[own]) == 1


def joined(*all_laws: Laws) -> Laws:
    """Laws of several equations, each once."""
    return tuple({id(law): law for laws in all_laws for law in laws}.values())


def _positive(poly: Poly) -> bool:
    return bool(poly) and all(number > 0 for number in poly.coeffs())


def put(row: PolyRow, unknown: str, instead: PolyRow) -> PolyRow:
    """A row with an unknown replaced."""
    if unknown not in row:
        return row
    found = dict(row)
    factor = found.pop(unknown)
    for other, piece in instead.items():
        joined = factor * piece + found[other] if other in found else factor * piece
        if joined:
            found[other] = joined
        else:
            found.pop(other, None)
    return found


def _driven(row: PolyRow, drive: Drive) -> PolyRow:
    """A row with the base current replaced by drive/beside, brought to a form without a fraction."""
    base = f"b:{drive.device}"
    if base not in row:
        return row
    found = dict(row)
    factor = found.pop(base)
    for whole in (0, 1, -1):
        rest = factor - whole * drive.beside
        over, under = rest.cancel(drive.all) if rest else (rest, factor.ring.one)
        if len(over) <= 1 and len(under) == 1:
            return _scaled(found, under) | {drive.unknown: whole * under + over * drive.gain}
    return _scaled(found, drive.beside) | {drive.unknown: factor}


def _scaled(row: PolyRow, factor: Poly) -> PolyRow:
    return row if factor == 1 else {unknown: piece * factor for unknown, piece in row.items()}
