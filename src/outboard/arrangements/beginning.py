"""A first design from a few wishes: which arrangement, which types, how many devices, which sink, and why.

Every candidate is put down as a design file and sized; the one for which the fewest types have to be bought is taken,
then the one that uses most of the drawer, then the one with the fewest devices in parallel.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import ceil

from outboard.arrangements.beginning_text import Choice, Wishes, text_of
from outboard.arrangements.layout import ARRANGEMENTS, sized
from outboard.arrangements.mirror import mirrored_polarity
from outboard.arrangements.sizing import DeviceCount
from outboard.arrangements.stage_types import is_adjustable
from outboard.brief import read_text
from outboard.errors import Mistake, OutboardError, WrongInput
from outboard.formulas.leakage import least_load_current
from outboard.parts import PartType, UnknownType, catalogue, find, preferred, ratings
from outboard.span import Span

MOST_DEVICES = 8
SPARE_LOAD = 1.25
"""With how much more than the greatest load the first choice is tried, so that a fifth of every rating is left (common
practice, no source)."""

SINKS = (0.2, 0.3, 0.5, 0.7, 1.0, 1.5, 2.2, 3.3, 5.0, 8.0)
"""Sinks that are tried [K/W]: large ones first; the smallest that does is taken."""

SPARE_CURRENT = 1.25
"""How far above its share the rated current of a device from the catalogue lies (common practice, no source)."""

LEAKAGE = "I_CBO"
"""How sizing names the leakage of a device among its figures."""

SPARE_LEAKAGE = 1.3
"""How much more than the leakage is drawn away (common practice, no source)."""

TRIED = 2
"""Types of the catalogue that are tried where the drawer has none."""

DRIVER_SHARE = 0.1
"""Share of the load current that a driver from the catalogue is rated for at least (common practice, no source)."""

Types = Mapping[str, PartType]

Rank = tuple[int, int, int, int]
"""Types to be bought, less those from the drawer that are used, devices in parallel, place in the list."""


@dataclass(frozen=True, slots=True)
class Beginning:
    """The text of a design file, and why it is as it is."""

    text: str
    reasons: tuple[str, ...]


def begun(wishes: Wishes, name: str) -> Beginning:
    """A first design for wishes; `name` stands for the file in messages.

    WrongInput when a type of the drawer is not known, when there is no regulator for the voltage, or when no
    arrangement with the known types carries the load.
    """
    drawer = _drawer(wishes.have)
    regulator = _regulator(wishes, drawer)
    found: list[tuple[Rank, Choice]] = []
    for number, arrangement in enumerate(ARRANGEMENTS.values()):
        wanted = arrangement.needs
        for types in _combinations(wanted, drawer, wishes):
            choice = _fitting(Choice(arrangement.name, {"regulator": regulator, **types}), wishes, name)
            if choice is not None:
                bought = sum(found_type not in drawer for found_type in types.values())
                found.append(((bought, bought - len(types), choice.count, number), choice))
    if not found:
        what = f"no arrangement of known types carries {wishes.load.most:g} A from {wishes.input.most:g} V"
        raise WrongInput([Mistake(what, "less current, less voltage across it, or other types", "--have TYPE")])
    best = min(found, key=lambda one: one[0])[1]
    chosen = replace(best, reasons=tuple(_reasons(best, found, drawer)), standing=_standing(best, wishes, name))
    return Beginning(text_of(wishes, chosen), chosen.reasons)


def _drawer(names: Sequence[str]) -> tuple[PartType, ...]:
    mistakes, types = [], []
    for name in names:
        try:
            types.append(find(name))
        except UnknownType as unknown:
            write = " or ".join(f"--have {near}" for near in unknown.near) or "outboard parts list"
            mistakes.append(Mistake(f"the catalogue has no “{name}”", "a type of the catalogue", write, "--have"))
    if mistakes:
        raise WrongInput(mistakes)
    return tuple(types)


def _regulator(wishes: Wishes, drawer: Sequence[PartType]) -> PartType:
    """A fixed regulator of the wanted voltage, or else an adjustable one: from the drawer, else from the catalogue.

    Of fixed ones the catalogue gives the one with most current, of adjustable ones one that bears most voltage.
    """
    side = "negative" if wishes.negative else "positive"
    known = [one for one in catalogue().values() if one.kind == "regulator" and one.polarity == side]
    strongest = sorted(known, key=_guaranteed, reverse=True)
    toughest = sorted(known, key=lambda one: (-_borne(one), _guaranteed(one)))
    for source, fits in ((drawer, _holds), (drawer, _reaches), (strongest, _holds), (toughest, _reaches)):
        for one in source:
            if one.kind == "regulator" and one.polarity == side and fits(one, wishes):
                return one
    what = f"no {side} regulator is known that holds {wishes.output:g} V from {wishes.input.most:g} V"
    least = min((_reference(one) for one in known if is_adjustable(one)), default=0.0)
    raise WrongInput([Mistake(what, f"an output of {least:g} V and more, or a type of your own: outboard parts add",
                              f"--output {'-' if wishes.negative else ''}5V", "--output")])  # fmt: skip


def _holds(part_type: PartType, wishes: Wishes) -> bool:
    """Whether a fixed regulator is made for the wanted output."""
    held = next((abs(row.typical) for row in part_type.rows("VO") if row.typical is not None), 0.0)
    return abs(held - wishes.output) <= 0.01 * wishes.output and not is_adjustable(part_type)


def _reaches(part_type: PartType, wishes: Wishes) -> bool:
    """Whether an adjustable regulator can be set to the wanted output and bears the input, also while starting."""
    reaches = is_adjustable(part_type) and _reference(part_type) <= wishes.output
    return reaches and _borne(part_type) >= wishes.input.most


def _reference(part_type: PartType) -> float:
    """Reference voltage of an adjustable regulator, its output's least [V]."""
    return max((abs(row.typical or row.most or 0.0) for row in part_type.rows("VREF")), default=0.0)


def _borne(part_type: PartType) -> float:
    """What a regulator bears between its input and ground or output [V]."""
    found = ratings(part_type)
    return next((found[symbol].value for symbol in ("V_I", "V_diff") if symbol in found), 0.0)


def _guaranteed(part_type: PartType) -> float:
    found = ratings(part_type).get("I_O")
    return found.value if found is not None else 0.0


def _combinations(
    wanted: Mapping[str, str], drawer: Sequence[PartType], wishes: Wishes
) -> Iterator[Types]:
    """Types for every key that an arrangement wants: from the drawer where it has some, else from the catalogue."""
    keys = [_candidates(key, polarity, drawer, wishes) for key, polarity in wanted.items()]
    for types in product(*keys):
        if len({one.name for one in types}) == len(types):
            yield dict(zip(wanted, types, strict=True))


def _candidates(
    key: str, polarity: str, drawer: Sequence[PartType], wishes: Wishes
) -> list[PartType]:
    polarity = (mirrored_polarity(polarity) if wishes.negative else None) or polarity
    mine = [one for one in drawer if one.polarity == polarity]
    if mine:
        return mine
    share = DRIVER_SHARE if key == "driver" else SPARE_CURRENT
    rated = [(ratings(one)["I_C"].value, one) for one in catalogue().values()
             if one.polarity == polarity and "I_C" in ratings(one) and "R_thJC" in ratings(one)]  # fmt: skip
    rated.sort(key=lambda pair: pair[0])
    enough = [one for current, one in rated if current >= share * wishes.load.most]
    return (enough or [one for _, one in rated[-1:]])[:TRIED]


def _fitting(choice: Choice, wishes: Wishes, name: str) -> Choice | None:
    """The choice with the fewest devices, and the smallest sink with which they do; None when eight do not."""
    count = 1
    while count <= MOST_DEVICES:
        tried = replace(choice, count=count, sink=SINKS[0])
        needed = _needed(tried, wishes, name)
        if needed is None:
            return None
        if needed <= count:
            for sink in SINKS[1:]:
                smaller = replace(tried, sink=sink)
                if (_needed(smaller, wishes, name) or MOST_DEVICES + 1) > count:
                    break
                tried = smaller
            return tried
        count = max(count + 1, min(needed, MOST_DEVICES + 1))
    return None


def _needed(choice: Choice, wishes: Wishes, name: str) -> int | None:
    """How many pass devices a choice needs for heat and current; None when it cannot be told, or not be built."""
    least, usual, most = wishes.load
    more = replace(wishes, load=Span(least, usual, SPARE_LOAD * most))
    try:
        count: DeviceCount = sized(read_text(text_of(more, choice), name)).count
    except (OutboardError, ValueError):
        return None
    if count.by_current.value is None:
        return None
    return ceil(max(count.by_current.value, count.by_power.value or MOST_DEVICES + 1.0))


def _standing(choice: Choice, wishes: Wishes, name: str) -> float | None:
    """A resistor [Ω] that draws what the hot transistors leak when the load draws less; None where none is needed."""
    figures = sized(read_text(text_of(wishes, choice), name)).figures
    leaking = {figure.words: figure.value for figure in figures if figure.words.startswith(LEAKAGE)}
    passing = choice.types["pass"].name
    leakage = sum(value * (choice.count if passing in words else 1) for words, value in leaking.items())
    beyond = least_load_current(leakage_current=SPARE_LEAKAGE * leakage, standing_current=wishes.load.least)
    return preferred((1.0 - choice.tolerance) * wishes.output / beyond, "E12", "down") if beyond > 0.0 else None


def _reasons(
    best: Choice, found: Sequence[tuple[Rank, Choice]], drawer: Sequence[PartType]
) -> Iterator[str]:
    """Why this one: what is in the drawer, how many devices, what the others would need."""
    mine = [one.name for one in best.types.values() if one in drawer]
    bought = [one.name for one in best.types.values() if one not in drawer]
    if mine:
        yield f"in the drawer: {', '.join(mine)}"
    if bought:
        yield f"to be bought: {', '.join(bought)}"
    bear = "bear" if best.count > 1 else "bears"
    devices = f"{best.count} × {best.types['pass'].name}" if best.count > 1 else f"one {best.types['pass'].name}"
    yield f"{best.arrangement}: {devices} on a sink of {best.sink:g} K/W {bear} the heat with a fifth to spare"
    for arrangement in dict.fromkeys(choice.arrangement for _, choice in found):
        if arrangement == best.arrangement:
            continue
        other = min((one for one in found if one[1].arrangement == arrangement), key=lambda one: one[0])[1]
        missing = [one.name for one in other.types.values() if one not in drawer]
        buying = f", to be bought: {', '.join(missing)}" if missing else ""
        yield f"{arrangement} would do too, with {other.count} × {other.types['pass'].name}{buying}"
