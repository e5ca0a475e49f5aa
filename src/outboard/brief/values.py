"""One value of a design file, read as its entry wants it; None and a noted mistake when it is not that."""

from collections.abc import Collection, Mapping
from typing import Any

from outboard.brief.entry import Entry
from outboard.brief.findings import Findings
from outboard.brief.near_miss import nearest
from outboard.brief.places import Path
from outboard.quantity import Dimension, QuantityMistake, parse, quoted, shown
from outboard.span import Span

Values = dict[str, Any]
"""What was read well, by key; what is missing or wrong is not in it."""

LEAST_SIZE, GREATEST_SIZE = 1e-30, 1e30
"""In SI; no current, resistance or time that is worth a thought lies outside, and arithmetic overflows beyond."""


def read_values(
    table: Mapping[str, object], path: Path, entries: Mapping[str, Entry], findings: Findings, sort: str = "key"
) -> Values:
    """Every key of a table; notes unknown, missing and wrong ones. A misspelt key is not missed a second time."""
    return known_values(table, path, entries, findings, misspelt(table, path, tuple(entries), findings, sort))


def misspelt(
    table: Mapping[str, object], path: Path, known: tuple[str, ...], findings: Findings, sort: str
) -> Collection[str | None]:
    """Note the keys of a table that are not known; gives those that were meant by them."""
    return {findings.unknown((*path, key), known, sort) for key in table if key not in known}


def known_values(
    table: Mapping[str, object], path: Path, entries: Mapping[str, Entry], findings: Findings,
    meant: Collection[str | None],
) -> Values:  # fmt: skip
    """The keys of a table that have an entry; one that is missing is not noted when another was meant to be it."""
    values: Values = {}
    for key, entry in entries.items():
        if key in table:
            value = read_value(table[key], (*path, key), entry, findings)
            if value is not None:
                values[key] = value
        elif entry.required and key not in meant:
            findings.add((*path, key), "this is missing", entry.meaning, f"{key} = {entry.example}", at_key=True)
    return values


def read_value(value: object, path: Path, entry: Entry, findings: Findings) -> Any:
    """A text, a quantity in SI, or a Span, as the entry says."""
    if entry.dimension is None:
        return read_text(value, path, entry, findings)
    if entry.span:
        return _span(value, path, entry, findings)
    if isinstance(value, str) and value.strip() in entry.words:
        return value.strip()
    number = _quantity(value, path, entry, findings)
    if number is not None and entry.whole:
        if number != int(number):
            findings.add(path, f"{quoted(value)} is not a whole number", _bounds(entry), _assignment(path, entry))
            return None
        return int(number)
    return number


def read_text(value: object, path: Path, entry: Entry, findings: Findings) -> str | None:
    """A text that says something; one of the choices, when there are any."""
    write = _assignment(path, entry)
    if not isinstance(value, str):
        findings.add(path, f"{described(value)} where text is wanted", entry.meaning or "text", write)
    elif not value.strip():
        findings.add(path, "the text is empty", entry.meaning or "text", write)
    elif value != value.strip() or not value.isprintable():
        findings.add(path, f"{quoted(value)} has blanks or unprintable letters around or in it", "plain text", write)
    elif entry.choices and value not in entry.choices:
        meant = nearest(value, entry.choices)
        findings.add(
            path, f"{quoted(value)} is none of the choices", " or ".join(entry.choices),
            f'{path[-1]} = "{meant}"' if meant else write,
        )  # fmt: skip
    else:
        return value
    return None


def as_table(value: object, path: Path, findings: Findings, write: str) -> Mapping[str, object] | None:
    """A table, else None and a noted mistake."""
    if isinstance(value, dict):
        return value
    findings.add(path, f"{described(value)} where a table is wanted", "keys with values", write)
    return None


def described(value: object) -> str:
    """A value of the wrong sort in a few words."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return quoted(value)


def _span(value: object, path: Path, entry: Entry, findings: Findings) -> Span | None:
    write = _assignment(path, entry)
    if not isinstance(value, list):
        number = _quantity(value, path, entry, findings)
        return None if number is None else Span.exactly(number)
    if len(value) != 3:
        findings.add(path, f"a list of {len(value)}", "one value, or the three: least, usual, most", write)
        return None
    numbers = [_quantity(element, (*path, index), entry, findings) for index, element in enumerate(value)]
    known = [number for number in numbers if number is not None]
    if len(known) < 3:
        return None
    if known == sorted(known, reverse=True) and known[0] < 0:
        known.reverse()  # below ground, least, usual and most go by size
    if sorted(known) != known:
        findings.add(path, "the three do not rise", "least, usual, most, in this order", write)
        return None
    return Span(*known)


def _quantity(value: object, path: Path, entry: Entry, findings: Findings) -> float | None:
    dimension = entry.dimension
    assert dimension is not None
    words = f" or {' or '.join(quoted(word) for word in entry.words)}" if entry.words else ""
    if isinstance(value, dict | list):
        expected = f"{dimension.phrase}, such as {dimension.example}{words}"
        findings.add(path, f"{described(value)} where one quantity is wanted", expected, _assignment(path, entry))
        return None
    try:
        number = parse(value, dimension)
    except QuantityMistake as mistake:
        findings.add(path, mistake.what, mistake.expected + words, _instead(value, path, entry, mistake))
        return None
    if number and not LEAST_SIZE <= abs(number) <= GREATEST_SIZE:
        expected = f"{dimension.phrase}, such as {dimension.example}{words}"
        findings.add(path, f"{quoted(value)} is beyond all that occurs", expected, _assignment(path, entry))
        return None
    if not _within(number, entry):
        findings.add(path, f"{quoted(value)} is out of bounds", _bounds(entry), _assignment(path, entry))
        return None
    return number


def _instead(value: object, path: Path, entry: Entry, mistake: QuantityMistake) -> str:
    """What to write for a quantity that could not be read: the text itself put right when that is possible."""
    meant = nearest(value, entry.words) if isinstance(value, str) else None
    if not meant and not mistake.mended:
        return _assignment(path, entry)
    texts = " or ".join(f'"{text}"' for text in (meant or mistake.write).split(" or "))
    return f"{path[-1]} = {texts}" if isinstance(path[-1], str) else texts


def _within(number: float, entry: Entry) -> bool:
    return (
        (entry.above is None or number > entry.above)
        and (entry.least is None or number >= entry.least)
        and (entry.below is None or number < entry.below)
        and (entry.most is None or number <= entry.most)
    )


def _bounds(entry: Entry) -> str:
    """The bounds of an entry in words, in the unit a person writes."""
    dimension = entry.dimension
    assert dimension is not None
    whole = "a whole number, " if entry.whole else ""
    limits = (("more than", entry.above), ("not less than", entry.least), ("less than", entry.below),
              ("not more than", entry.most))  # fmt: skip
    return whole + " and ".join(f"{words} {_plain(limit, dimension)}" for words, limit in limits if limit is not None)


def _plain(limit: float, dimension: Dimension) -> str:
    return shown(limit, dimension, digits=4, zeros=False)


def _assignment(path: Path, entry: Entry) -> str:
    """What to write at a path, from the example of its entry."""
    key = path[-1] if isinstance(path[-1], str) else path[-2]
    return f"{key} = {entry.example}" if entry.example else ""
