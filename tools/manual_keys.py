"""The page of everything that may stand in a design file, written from the tables by which it is read."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from outboard.brief.entries import Entry

TITLE = "# The design file, key by key"
LEAD = """Made by `tools/manual.py --renew` from the tables by which a file is read; the tests compare it. A design file
is TOML. Quantities are text as people write them – `"4.7 kΩ"`, `"4k7"`, `"0R22"`, `"85 °C"`, `"2 K/W"`, `"10 %"` – or
bare numbers in SI; temperatures always have their unit. Where a span may stand, write one value or three: least, usual
and most. A mistake is told by line and column, with what to write."""
ABOUT = {
    "input": "What feeds the stage.",
    "output": "What is promised at the output.",
    "surroundings": "May be left out.",
    "requirements": "What else is asked, and how strictly. May be left out.",
    "tolerances": "How units differ that are drawn at random, with `verify --draws`. May be left out. {bell}.",
    "derating": 'Only with `derating = "own"` in `[requirements]`.',
    "stage": "What is to be built; what it leaves out is sized. A file of explicit parts alone has no stage.",
}
HEAT = """Sinks by name under `[heat.sinks]`: {sink}, such as `main = {example}`. Then what is mounted on which, under
`[heat]`: `{roles}`. A device that is not named there has its package's own way to the air."""
WIRING = """How long and how thick the leads are, for the report.

- `supply`: {supply}
- `pass`: {pass}
- `load`: {load}"""
PARTS = """A part by itself, in a table `[[parts]]` of its own: `name`, `kind`, `pins` with the net at each, what its
kind asks for, and what it may have. `type` names a type of the catalogue in place of a device's own fields, which are
many: [schema](verb-schema.md) has them all. A part with the name of one of the stage takes its place. The net `ground`
is the reference. [expand](verb-expand.md) writes a stage in this form, so that there is something to begin with."""


def page() -> str:
    """All tables of the design file, each key with what it means, what it looks like and what it is when left out."""
    return "\n\n".join((TITLE, LEAD, *_sections(), *_heat(), *_wiring(), *_parts())) + "\n"


def _sections() -> Iterator[str]:
    from outboard.brief.entries import BELL, SECTIONS
    from outboard.brief.entries import TITLE as FIRST

    yield f"## At the top\n\n{_table({'title': FIRST})}"
    for section, entries in SECTIONS.items():
        about = f"{ABOUT[section].format(bell=BELL[:1].upper() + BELL[1:])}\n\n" if section in ABOUT else ""
        yield f"## [{section}]\n\n{about}{_table(entries)}"


def _heat() -> Iterator[str]:
    from outboard.brief.entries import MOUNT, ROLES, SINK

    words = HEAT.format(sink=SINK.meaning, example=SINK.example, roles="`, `".join(ROLES))
    yield f"## [heat]\n\n{words}\n\n{_table(MOUNT)}"


def _wiring() -> Iterator[str]:
    from outboard.brief.entries import LEADS, WIRE

    yield f"## [wiring]\n\n{WIRING.format(**LEADS)}\n\n{_table(WIRE)}"


def _parts() -> Iterator[str]:
    from outboard.brief.explicit import HEATED, TYPED
    from outboard.network.fields import KINDS, PINS, POLARITIES, POLARITY_SAID, fields

    rows = ["| kind | pins | asks for | may have |", "| --- | --- | --- | --- |"]
    for kind in KINDS:
        known = fields(kind)
        needed = [name for name, field in known.items() if field.required]
        said = [f"{_names(['polarity'])} ({' or '.join(POLARITIES[kind])})"] if kind in POLARITY_SAID else []
        asked = [f"`type`, or {_names(needed)}" if kind in TYPED else _names(needed), *said]
        may = [name for name in known if name not in needed and kind not in TYPED]
        may += ["heat"] if kind in HEATED else []
        rows.append(f"| `{kind}` | {_names(PINS[kind])} | {'; '.join(filter(None, asked))} | {_names(may)} |")
    yield f"## [[parts]]\n\n{PARTS}\n\n" + "\n".join(rows)


def _names(names: Iterable[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


def _table(entries: Mapping[str, "Entry"]) -> str:
    rows = ["| key | what it means | such as | left out |", "| --- | --- | --- | --- |"]
    for keys in _alike(entries):
        entry = entries[keys[0]]
        meaning = entry.meaning if len(keys) == 1 else entry.meaning.replace(keys[0], "this rating")
        rows.append(f"| {_names(keys)} | {_own(meaning)} | {_such_as(entry)} | {_left_out(entry)} |")
    return "\n".join(rows)


def _alike(entries: Mapping[str, "Entry"]) -> Iterator[list[str]]:
    """Ratings that are named one by one share a row."""
    from outboard.brief.entries import RATED

    for _, keys in groupby(entries, key=lambda key: "" if key in RATED else key):
        yield list(keys)


def _own(meaning: str) -> str:
    """What a key means by itself; what several share stands above their table."""
    from outboard.brief.entries import BELL

    return meaning.replace(f". {BELL}", "")


def _such_as(entry: "Entry") -> str:
    choices = [f'"{choice}"' for choice in (*entry.choices, *entry.words)]
    return _names(choices if entry.choices else [entry.example, *choices])


def _left_out(entry: "Entry") -> str:
    from outboard.quantity import shown
    from outboard.span import Span

    if entry.required:
        return "must be there"
    default = entry.default.usual if isinstance(entry.default, Span) else entry.default
    if default is None or isinstance(default, str) or entry.dimension is None:
        return str(default or "")
    return shown(default, entry.dimension, zeros=False)
