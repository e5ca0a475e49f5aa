"""The schematic tells the truth and keeps its laws: nets read back from the picture, no words on anything, all named.

The circuits are made by hand, among them kinds and purposes that no stage makes; nothing here is solved. What is
measured is measured in the SVG itself, words with the faces that the drawing is lettered in.
"""

import re
from collections.abc import Callable, Iterator
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from drawn_stages import DrawnStage, longest_figures, some_stages
from schematic_reading import FACES, SVG, Picture, Spot, joined_by, measured

from outboard.arrangements.design import Design, DesignPart
from outboard.brief import read_text
from outboard.dossier import opened
from outboard.draw.schematic import Drawing, drawing
from outboard.draw.schematic.labels import slug
from outboard.draw.schematic.letters import width
from outboard.draw.schematic.order import Joints, role_of
from outboard.draw.schematic.symbols import Style, symbol
from outboard.network.part import Part
from outboard.parts import find

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
Parts = list[DesignPart]


def part(name: str, kind: str, pins: str, nets: str, role: str = "", polarity: str | None = None,
         type_name: str | None = None, **values: float) -> DesignPart:  # fmt: skip
    """A part with its pins on nets, both in one order."""
    joined = dict(zip(pins.split(), nets.split(), strict=True))
    known = find(type_name) if type_name else None
    return DesignPart(Part(name, kind, joined, values, polarity), role or kind, known)


def resistor(name: str, nets: str, role: str = "", value: float = 100.0) -> DesignPart:
    return part(name, "resistor", "a b", nets, role, resistance=value)


def capacitor(name: str, nets: str, role: str = "") -> DesignPart:
    return part(name, "capacitor", "a b", nets, role, capacitance=1e-5)


def diode(name: str, nets: str, role: str = "", **values: float) -> DesignPart:
    return part(name, "diode", "anode cathode", nets, role, **values)


def transistor(name: str, nets: str, polarity: str, role: str = "") -> DesignPart:
    known = "TIP2955" if polarity == "pnp" else "2N3055"
    return part(name, "bipolar", "collector base emitter", nets, role, polarity, known)


def regulator(name: str, nets: str) -> DesignPart:
    return part(name, "regulator", "in out ref", nets, type_name="7812")


SOURCE = part("input", "source", "plus minus", "in ground", voltage=18.0, resistance=0.06)
LOAD = part("load", "load", "plus minus", "out ground", draws=5.0)


def passing(count: int, nets: str, polarity: str, rail: str, ballast: bool, first: int = 1) -> Iterator[DesignPart]:
    """Pass devices side by side; `nets` are collector and base, emitters are on the rail or behind ballast."""
    for number in range(1, count + 1):
        emitter = f"e{number}" if ballast else rail
        yield transistor(f"Q{number + first - 1}", f"{nets} {emitter}", polarity, "pass device")
        if ballast:
            yield resistor(f"R{number + 2}", f"{rail} {emitter}", "ballast", 0.1)


def limiter(nets: str, sensed: str, foot: str, polarity: str, folds: bool) -> Iterator[DesignPart]:
    """Sense resistor from supply to rail, its transistor, and the divider of a foldback."""
    collector, emitter = nets.split()
    yield resistor("RS", sensed, "sense resistor", 0.1)
    rail = sensed.split()[1] if emitter == sensed.split()[0] else sensed.split()[0]
    yield transistor("QS", f"{collector} {'f' if folds else rail} {emitter}", polarity, "sense transistor")
    if folds:
        yield resistor("RF1", f"{rail} f", "foldback divider")
        yield resistor("RF2", f"f {foot}", "foldback divider")


def around() -> Parts:
    """Capacitors, protection diodes, standing load."""
    return [
        capacitor("C1", "in ground", "input capacitor"), capacitor("C2", "out ground", "output capacitor"),
        diode("D1", "out in", "reverse diode"), diode("D2", "ground out", "protection diode"),
        resistor("R90", "out ground", "standing load"),
    ]  # fmt: skip


def bypass(count: int = 1, ballast: bool = False, sense: str = "", lead: str = "in") -> Parts:
    rail = "s" if sense else "in"
    stage = [regulator("U1", "x out ground"), resistor("R1", f"{lead} x", "base resistor")]
    stage += [] if lead == "in" else [diode("D3", f"in {lead}", "sharing diode")]
    stage += passing(count, "out x", "pnp", rail, ballast)
    stage += limiter("x in", "in s", "ground", "pnp", sense == "foldback") if sense else ()
    return [SOURCE, *stage, *around(), LOAD]


def compound(count: int = 1, ballast: bool = False, sense: str = "", bare: bool = False) -> Parts:
    stage = [regulator("U1", "x out ground"), resistor("R1", "in x", "base resistor"),
             transistor("Q1", "y x in", "pnp", "driver")]  # fmt: skip
    stage += [] if bare else [resistor("R2", "y out", "bleed")]
    stage += passing(count, f"{'s' if sense else 'in'} y", "npn", "out", ballast, 2)
    stage += limiter("x in", "in s", "ground", "pnp", sense == "foldback") if sense else ()
    return [SOURCE, *stage, *([] if bare else around()), LOAD]


def darlington(count: int = 1, ballast: bool = False) -> Parts:
    stage = [regulator("U1", "x out ground"), resistor("R1", "in x", "base resistor"),
             transistor("Q1", "out x y", "pnp", "driver"), resistor("R2", "in y", "bleed")]  # fmt: skip
    return [SOURCE, *stage, *passing(count, "out y", "pnp", "in", ballast, 2), *around(), LOAD]


def mosfets(count: int = 1) -> Parts:
    stage = [regulator("U1", "x out ground"), resistor("R1", "in x", "base resistor")]
    for number in range(1, count + 1):
        stage += [
            resistor(f"RG{number}", f"x g{number}", "gate resistor"),
            diode(f"DG{number}", f"g{number} in", "gate Zener", breakdown_voltage=15.0),
            part(f"Q{number}", "mosfet", "drain gate source", f"out g{number} in", "pass device", "p-channel"),
        ]  # fmt: skip
    return [SOURCE, *stage, *around(), LOAD]


def follower(count: int = 1, ballast: bool = False, sense: bool = False, lifted: str = "diode") -> Parts:
    rail = "s" if sense else "out"
    stage = [regulator("U1", "in b ref"), resistor("R2", "b out", "bleed")]
    stage += [diode("D5", "ref ground", "reference diode")] if lifted == "diode" else [
        resistor("R11", "b ref", "divider"), resistor("R12", "ref ground", "divider")]  # fmt: skip
    stage += passing(count, "in b", "npn", rail, ballast)
    stage += limiter("b out", "s out", "ground", "npn", False) if sense else ()
    return [SOURCE, *stage, *around(), LOAD]


def source_follower(count: int = 1) -> Parts:
    """N-channel devices behind a regulator that stands on a diode."""
    stage = [regulator("U1", "in b ref"), diode("D5", "ref ground", "reference diode")]
    for number in range(1, count + 1):
        stage += [
            resistor(f"RG{number}", f"b g{number}", "gate resistor"),
            part(f"Q{number}", "mosfet", "drain gate source", f"in g{number} out", "pass device", "n-channel"),
        ]
    return [SOURCE, *stage, *around(), LOAD]


def adjustable(beside: bool) -> Parts:
    stage = [regulator("U1", f"{'x' if beside else 'in'} out ref"), resistor("R11", "out ref", "divider"),
             resistor("R12", "ref ground", "divider"), capacitor("C3", "ref ground")]  # fmt: skip
    stage += [resistor("R1", "in x"), *passing(1, "out x", "pnp", "in", False)] if beside else []
    return [SOURCE, *stage, *around(), LOAD]


def regulators(count: int, ballast: bool) -> Parts:
    stage = []
    for number in range(1, count + 1):
        stage.append(regulator(f"U{number}", f"in {f'o{number}' if ballast else 'out'} ground"))
        stage += [resistor(f"R{number + 2}", f"o{number} out", "ballast", 0.1)] if ballast else []
    return [SOURCE, *stage, *around(), LOAD]


def crowbar() -> Parts:
    thyristor = part("T1", "thyristor", "anode cathode gate", "out ground k", "crowbar")
    trigger = [diode("D9", "k out", breakdown_voltage=13.0), resistor("R20", "k ground")]
    return [*compound(2, True)[:-1], thyristor, *trigger, LOAD]


def fed() -> Parts:
    mains = part("winding", "source", "plus minus", "l n", "feed", voltage=18.0)
    bridge = [diode(f"D{n}", nets, "rectifier") for n, nets in enumerate(("l in", "n in", "ground l", "ground n"), 5)]
    return [mains, *bridge, capacitor("C4", "in ground", "reservoir"), *bypass()[1:]]


TURNED = {"pnp": "npn", "npn": "pnp", "p-channel": "n-channel"}
SWAPPED = {"plus": "minus", "minus": "plus", "anode": "cathode", "cathode": "anode"}


def negative(parts: Parts) -> Parts:
    """The mirror image: every polarity and every two-way part turned."""
    found = []
    for one in parts:
        turns = one.part.kind in ("source", "load", "diode")
        pins = {SWAPPED[pin] if turns else pin: net for pin, net in one.part.pins.items()}
        polarity = "negative" if one.part.kind == "regulator" else TURNED.get(one.part.polarity or "")
        turned = Part(one.part.name, one.part.kind, pins, one.part.values, polarity)
        found.append(DesignPart(turned, one.role, None if one.part.kind == "bipolar" else one.type))
    return found


def odd() -> Parts:
    """No stage at all: a part on one net, a transistor as a diode, chains of any sort, a name with signs in it."""
    return [
        SOURCE, resistor("RA", "in p"), resistor("RB", "p q"), resistor("RC", "q ground"), resistor("RD", "p ground"),
        resistor("R é&<1>", "in q"), capacitor("CX", "p q"), resistor("RZ", "q q"), transistor("QA", "in q w", "npn"),
        transistor("QB", "w w ground", "npn"), resistor("Rw", "in w"), diode("DD", "w p"),
        part("L1", "inductor", "a b", "in z", inductance=1e-3), capacitor("CZ", "z ground"),
        part("X1", "relay", "a b coil", "in p q"),
    ]  # fmt: skip


def nameless(parts: Parts) -> Parts:
    """As a file of explicit parts has it: the role is the kind."""
    return [DesignPart(one.part, one.part.kind, one.type) for one in parts]


COUNTS = range(1, 9)
CIRCUITS: dict[str, Parts] = {
    **{f"{make.__name__} {n}{' ballast' * b}": make(n, bool(b))
       for make in (bypass, compound, darlington, follower) for n in COUNTS for b in (0, 1)},
    **{f"mosfets {n}": mosfets(n) for n in COUNTS},
    **{f"source follower {n}": source_follower(n) for n in (1, 2, 6)}, "negative mosfets 2": negative(mosfets(2)),
    "negative source follower": negative(source_follower(2)),
    **{f"{make.__name__} {n} {sense}": make(n, n > 1, sense)
       for make in (bypass, compound) for n in (1, 3, 6) for sense in ("limited", "foldback")},
    **{f"follower {n} limited": follower(n, n > 1, True) for n in (1, 3, 6)},
    "bare compound": compound(bare=True), "sharing diode": bypass(2, True, lead="d"),
    "follower on a divider": follower(lifted="divider"), "adjustable": adjustable(False),
    "adjustable with bypass": adjustable(True), "crowbar": crowbar(), "fed": fed(), "odd": odd(),
    **{f"regulators {n}{' ballast' * b}": regulators(n, bool(b)) for n in (1, 2, 4) for b in (0, 1)},
    "negative bypass": negative(bypass(2, True)), "negative compound": negative(compound(3, True, "foldback")),
    "negative follower": negative(follower(2, True)),
}  # fmt: skip
CIRCUITS |= {f"{name}, no roles": nameless(CIRCUITS[name]) for name in (
    "bypass 1", "bypass 3 ballast", "compound 1", "compound 6 ballast", "darlington 2 ballast", "mosfets 3",
    "bypass 3 foldback", "follower 3 limited", "adjustable with bypass", "regulators 4 ballast", "crowbar",
    "negative compound",
)}  # fmt: skip
CIRCUITS |= {
    f"example {path.stem}": [one for one in opened(path).design.parts if one.part.kind != "thermal_resistance"]
    for path in EXAMPLES
}
MODES = ("plain", "values", "ribbons")

FILE = """title = "By hand"
[surroundings]
ambient = "25 °C"
[[parts]]
name = "R1"
kind = "resistor"
pins = { a = "in", b = "ground" }
resistance = "1 Ω"
"""


@cache
def drawn(name: str, mode: str) -> Drawing:
    parts = CIRCUITS[name]
    design = Design(read_text(FILE, "hand.toml", frozenset()), tuple(parts))
    return drawing(design, None if mode == "plain" else longest_figures(parts), ribbons=mode == "ribbons")


every = pytest.mark.parametrize(("name", "mode"), [(name, mode) for name in CIRCUITS for mode in MODES])
each = pytest.mark.parametrize("name", CIRCUITS)


@cache
def picture(name: str, mode: str) -> Picture:
    return Picture(drawn(name, mode))


@every
def test_the_picture_tells_the_truth(name: str, mode: str) -> None:
    """Nets read back from ink, dots and pins are those of the parts: nothing is missing, nothing joined by mistake."""
    assert picture(name, mode).nets() == joined_by(CIRCUITS[name])


@every
def test_nothing_meets_anything(name: str, mode: str) -> None:
    """No words on words, symbols or conductors, no conductor through a symbol, nothing off the sheet."""
    assert picture(name, mode).clashes() == []


@pytest.mark.parametrize("stage", some_stages(), ids=lambda stage: stage.name)
def test_stages_of_every_pair_of_choices_are_drawn_without_a_clash(stage: DrawnStage) -> None:
    """Core, sign, reference, count and options, two by two; benchmarks/drawing_all.py draws the whole product."""
    design = stage.design()
    parts = [one for one in design.parts if one.part.kind != "thermal_resistance"]
    for at, ribbons in ((None, False), (longest_figures(parts), True)):
        seen = Picture(drawing(design, at, ribbons=ribbons))
        assert seen.clashes() == []
        assert seen.nets() == joined_by(parts)


@every
def test_conductors_are_upright_or_level(name: str, mode: str) -> None:
    for (x1, y1), (x2, y2) in picture(name, mode).lines:
        assert (x1 == x2) != (y1 == y2), "slanted, or of no length"


@each
def test_every_part_and_net_has_an_id_a_title_and_a_role(name: str) -> None:
    root = picture(name, "values").root
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    known = {element.get("id"): element for element in root.iter(f"{SVG}g")}
    nets = {net for one in CIRCUITS[name] for net in one.part.pins.values()}
    for wanted in [f"part-{slug(one.name)}" for one in CIRCUITS[name]] + [f"net-{slug(net)}" for net in nets]:
        assert known[wanted].findtext(f"{SVG}title") and known[wanted].get("data-role")
    for one in CIRCUITS[name]:
        slots = {"capacitor": ("state",), "inductor": ("state",), "source": ("state", "current"),
                 "load": ("current", "power"), "bipolar": ("power", "state", "current")}  # fmt: skip
        for slot in slots.get(one.part.kind, ("power", "state")):
            assert f"{slot}-{slug(one.name)}" in ids


def places(name: str, *pins: str) -> dict[str, list[Spot]]:
    """Where the pins of each net are."""
    at = picture(name, "plain").pins
    found: dict[str, list[Spot]] = {}
    for one in CIRCUITS[name]:
        for pin, net in one.part.pins.items():
            found.setdefault(net, []).append(at[f"part-{slug(one.name)}", pin])
    return found


@pytest.mark.parametrize("name", [name for name in CIRCUITS if "odd" not in name])
def test_supply_on_top_ground_below_source_left_load_right(name: str) -> None:
    at = places(name)
    xs = sorted((x, net) for net, spots in at.items() for x, _ in spots)
    assert min(y for _, y in at["in"]) == min(y for spots in at.values() for _, y in spots)
    assert max(y for _, y in at["ground"]) == max(y for spots in at.values() for _, y in spots)
    assert xs[0][1] in ("in", "ground", "l", "n")
    assert xs[-1][1] in ("out", "ground") or name.startswith("mosfets")


@each
def test_a_gate_is_level_with_the_end_of_its_source(name: str) -> None:
    """As IEC 60617 draws a field-effect transistor, so that the source is known without its arrow; from memory."""
    at = picture(name, "plain").pins
    for one in CIRCUITS[name]:
        if one.part.kind == "mosfet":
            ends = {pin: at[f"part-{slug(one.name)}", pin][1] for pin in ("drain", "gate", "source")}
            assert abs(ends["gate"] - ends["source"]) < abs(ends["gate"] - ends["drain"])


@pytest.mark.parametrize("style", ["iec", "ieee"])
@pytest.mark.parametrize(("polarity", "top"), list(product(("n-channel", "p-channel"), ("drain", "source"))))
def test_the_gate_of_a_symbol_is_an_l(polarity: str, top: str, style: Style) -> None:
    """Its lead ends on the foot of the bar beside the channel, and starts at the pin; nothing leaves its middle."""
    shape = symbol("mosfet", polarity, top, style)
    assert shape.side is not None
    lines = [piece for path in re.findall(r'd="([^"]+)"', shape.drawing) for piece in strokes(path)]
    x, level = shape.side
    assert level == (-14.0 if top == "source" else 14.0)
    lead = [line for line in lines if line[0][1] == line[1][1] == level and min(line[0][0], line[1][0]) < -28.0]
    assert {x, -28.0} < {spot[0] for line in lead for spot in line}
    assert ((-28.0, -14.0), (-28.0, 14.0)) in lines
    assert not [line for line in lines if line[0][1] == line[1][1] == 0.0 and min(line[0][0], line[1][0]) < -28.0]


def strokes(path: str) -> Iterator[tuple[Spot, Spot]]:
    """The straight pieces of a path of M, L, H and V."""
    x = y = 0.0
    for command, numbers in re.findall(r"([MLHV])([-\d. ]+)", path):
        found = [float(word) for word in re.findall(r"-?[\d.]+", numbers)]
        new = {"H": (found[0], y), "V": (x, found[0])}.get(command, (found[0], found[-1]))
        if command != "M":
            yield (x, y), new
        x, y = new


@pytest.mark.parametrize("make", [bypass, compound, darlington, follower])
def test_roles_are_seen_from_the_joints_alone(make: Callable[[int, bool], Parts]) -> None:
    """A stage that is spelt out without roles is drawn in the same order as the stage itself."""
    said, seen = make(3, True), nameless(make(3, True))
    joints = Joints(seen)
    found = {one.name: role_of(one, joints) for one in seen}
    for one in said:
        if one.role in ("regulator", "driver", "pass device", "base resistor", "input capacitor", "output capacitor",
                        "reverse diode", "protection diode", "standing load"):  # fmt: skip
            assert found[one.name] == one.role, one.name


@pytest.mark.parametrize("file", sorted({face.file for face in FACES.values()}))
def test_letters_are_as_wide_as_in_the_font(file: str) -> None:
    """Against the font library's own measure; kerning, which draws letters together, is left out."""
    face = next(face for face in FACES.values() if face.file == file)
    for words in ("R1 2.2 Ω", "17.70 V", "100 mΩ · ▲ 153 %", "ground", "−18.0 °C", "2N3055", "µF"):
        ours, its = width(words, face), measured(words, file, face.size)
        assert its - 0.5 <= ours <= 1.06 * its + 1.0


@each
def test_a_dot_stands_wherever_three_pieces_meet_and_nowhere_else(name: str) -> None:
    """Pieces that go on straight through a spot count as two."""
    seen = picture(name, "plain")
    assert seen.dots == {spot for spot, count in seen.arms().items() if count > 2}
