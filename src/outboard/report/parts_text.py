"""The catalogue in words."""

from collections.abc import Collection, Iterable, Mapping, Sequence

from rich.text import Text

from outboard.errors import Mistake
from outboard.own_parts import own_types_said
from outboard.parts import PartType
from outboard.parts.consistency import Finding
from outboard.parts.listing import figure_rows, list_rows
from outboard.parts.safe_area import area_in_words, safe_area
from outboard.report.plate import QUIET, Plate, part
from outboard.report.words import listed
from outboard.sources import RECALLED, sources

KINDS = {"regulator": "regulators", "bipolar": "bipolar transistors", "mosfet": "field-effect transistors",
         "diode": "diodes", "thyristor": "thyristors"}  # fmt: skip
"""The kinds in the order in which they are listed, with their titles."""

MAGNITUDES = ("pnp", "p-channel", "negative")
WEAK = {"typical": "†", "recalled": "‡"}
SEVERITY = {"error": "bold red", "warning": "bold", "note": ""}


def write_list(
    plate: Plate, types: Collection[PartType], stock: Collection[PartType], broken: Mapping[str, Sequence[Mistake]]
) -> None:
    """One row a type, kind by kind, then what is chosen without a type number.

    Ratings stand below each other, so that no unit leaves its number.
    """
    rows = list_rows(types)
    for kind, title in KINDS.items():
        plate.title(title)
        plate.table(
            ("type", "", "package", "ratings", "also"),
            [(part(row.name), " ".join(filter(None, (row.polarity, row.inside.capitalize()))) or row.description,
              row.packages, row.ratings.replace(", ", "\n"), row.also) for row in rows if row.kind == kind],
        )  # fmt: skip
        plate.say()
    plate.title("packages, resistors, capacitors, heat sinks")
    plate.table(
        ("", "", "", ""), [(part(row.name), row.kind, row.ratings, row.description) for row in list_rows(stock)]
    )
    plate.hairline()
    for sentence in own_types_said(types):
        plate.say(sentence)
    for mistake in (one for mistakes in broken.values() for one in mistakes):
        plate.say(f"not read: {mistake}")
    plate.quietly("`outboard parts show TYPE` says more, with sources; `outboard parts add` takes a part of your own")


def write_sheet(plate: Plate, found: PartType) -> None:
    """Every figure with its conditions; daggers mark what is no limit; documents at the end."""
    plate.title(found.name)
    polarity = (found.polarity or "").upper() if found.kind == "bipolar" else found.polarity
    plate.quietly(" · ".join(filter(None, (found.description or found.kind, polarity, listed(found.packages)))))
    if found.aliases or found.members:
        plate.quietly(f"also {listed((*found.aliases, *found.members))}")
    if found.polarity in MAGNITUDES:
        plate.quietly("voltages and currents as magnitudes")
    for sentence in own_types_said([found]):
        plate.say(sentence)
    plate.hairline()
    rows = figure_rows(found)
    short = _short(row.source for row in rows)
    table = []
    for row in rows:
        conditions = Text(row.conditions, style=QUIET)
        if row.note:
            conditions.append(f"; {row.note}" if row.conditions else row.note)
        weak = "".join(sign for kind, sign in WEAK.items() if kind in row.kind)
        table.append((row.symbol, row.least, row.typical, row.most, weak, conditions, short[row.source]))
    plate.table(("", "least", "typical", "most", "", "conditions", "source"), table, figures=(1, 2, 3))
    plate.hairline()
    area = safe_area(found)
    for sentence in () if area is None else area_in_words(area):
        plate.say(f"safe area, {sentence}")
    if area is not None:
        plate.hairline()
    for key, citation in dict.fromkeys((row.source, row.citation) for row in rows if row.source != RECALLED):
        plate.quietly(f"{short[key]}  {citation}")
    marks = {sign: kind for kind, sign in WEAK.items() if any(kind in row.kind for row in rows)}
    words = {"†": "† typical, no limit", "‡": "‡ from memory: the figure itself, or a condition of it"}
    for sign in marks:
        plate.quietly(words[sign])


def _short(keys: Iterable[str]) -> dict[str, str]:
    """What stands for each document in the table: its key, or a number for one that is named in words."""
    own = [key for key in dict.fromkeys(keys) if key not in sources()]
    numbered = {key: f"sheet {number}" if len(own) > 1 else "sheet" for number, key in enumerate(own, 1)}
    return {key: key for key in sources()} | numbered


def write_remarks(plate: Plate, types: Mapping[str, PartType], found: Sequence[Finding]) -> None:
    """What is wrong or wants a second look."""
    rows = [(Text(finding.severity, style=SEVERITY[finding.severity]), part(finding.part), finding.words)
            for finding in found]  # fmt: skip
    if rows:
        plate.table(("", "type", "remark"), rows)
        plate.hairline()
    counts = {severity: sum(finding.severity == severity for finding in found) for severity in SEVERITY}
    words = listed(f"{number} {severity}s" for severity, number in counts.items())
    plate.quietly(f"{len(types)} types: {words}")
