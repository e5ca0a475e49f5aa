"""The short form of a part's figures to a type: shorter than a table of the catalogue, held to the same rules."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from outboard.brief.file import file_text
from outboard.brief.syntax import Source, parsed
from outboard.errors import Mistake, WrongInput
from outboard.identify import identified
from outboard.parts import PartType
from outboard.parts.consistency import consistency
from outboard.parts.dimensions import FIGURES
from outboard.parts.library import KINDS, Reader
from outboard.quantity import quoted
from outboard.sources import RECALLED, is_citation, sources

Raw = Mapping[str, object]
Place = tuple[str | int, ...]

NAME = re.compile(r"[A-Za-z0-9][\w.+-]{0,59}", re.ASCII)
"""What may be a part's name, and with .toml behind it the name of its file."""

KEYS = ("name", "kind", "polarity", "packages", "aliases", "description", "inside", "sheet", "figures")
TEXTS = ("name", "kind", "polarity", "description", "inside", "sheet")
LISTS = ("packages", "aliases")

PLAIN = frozenset({
    *("VCEO", "VCER", "VCES", "VCEX", "VCBO", "VEBO", "IC_cont", "IC_peak", "IE_cont", "IB_max", "Ptot", "Ptot_TA"),
    *("TJ_max", "RthJC", "RthJA", "RthJL", "RthCS", "derating", "VI_max", "VRRM", "IF_AV", "IFSM", "VF", "IR"),
    *("ICEO", "ICER", "ICEX", "ICES", "ICBO", "IEBO", "ID_cont", "ID_peak", "VGS_max"),
    *("VDRM", "IT_RMS", "ITSM", "I2t", "VTM", "IDRM"),
})  # fmt: skip
"""Figures of which a plain value can only be the most that the sheet allows or warrants."""

WANTED = "a form filled in, such as `outboard parts add --form bipolar` prints"
DOCUMENT = 'sheet = "publisher, title, revision, page"'
IN_ROW = re.compile(r"figures\.(\w+)(?: row (\d+))?(?: (\w+))?")


class OwnReader(Reader):
    """Reads a table as the catalogue's are read; a document of a person's own is named in words."""

    def is_source(self, key: str) -> bool:
        """Whether a source is a key of the house, or names publisher and title."""
        return key in sources() or is_citation(key)


def read_own(path: Path | str) -> PartType:
    """The type in a file of a person, which makes a device; WrongInput with every mistake at its place."""
    try:
        text = file_text(Path(path))
        source = parsed(text, str(path))
    except WrongInput as wrong:
        raise WrongInput([replace(one, expected=_expected(one), write="") for one in wrong.mistakes]) from None
    mistakes = list(_structure(source))
    if mistakes:
        raise WrongInput(_in_order(mistakes))
    reader = OwnReader(str(path))
    figures = tuple(reader.figures(_rows(source.table), "figures"))
    plain = {key: value for key, value in source.table.items() if key != "sheet"}
    part_type = replace(reader.part_type(plain, figures, ()), own_file=str(path))
    mistakes = [_located(one, source) for one in reader.mistakes]
    if not mistakes:
        errors = (one for one in consistency(part_type) if one.severity == "error")
        mistakes = [_mistake(source, ("figures",), one.words, "figures that can be true together") for one in errors]
    if mistakes:
        raise WrongInput(_in_order(mistakes))
    try:
        identified(part_type)
    except ValueError as refused:  # a transistor without gain, a rectifier without V_F
        raise WrongInput([_mistake(source, ("figures",), str(refused), "the figure that makes the device")]) from None
    return part_type


def name_in(text: str, stem: str) -> str:
    """The name that a file stands for, even when it cannot be read: the one that it gives, else its own."""
    given = re.search(r"""^\s*name\s*=\s*["']([^"'\n]{1,60})["']""", text, re.MULTILINE)
    return given[1].strip() if given else stem


def _expected(mistake: Mistake) -> str:
    at_file = mistake.line is None or mistake.what == "nothing in it"
    return WANTED if at_file or "design" in mistake.expected or "[[parts]]" in mistake.expected else mistake.expected


def _structure(source: Source) -> Iterator[Mistake]:
    """What is not there, or is no text, list or table where one must be."""
    table = source.table
    kind = table.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:  # which figures there are depends on it
        what = f"kind: {quoted(kind or '')} is no kind of part that there are types of"
        yield _mistake(source, ("kind",), what, " or ".join(KINDS), 'kind = "bipolar"')
        return
    for key in table:
        if key not in KEYS:
            yield _mistake(source, (key,), f"there is no such key as {quoted(key)}", ", ".join(KEYS))
    for key in TEXTS:
        value = table.get(key, "")
        if not isinstance(value, str) or value != value.strip() or not value.isprintable():
            yield _mistake(source, (key,), f"{key}: {quoted(value)} is no plain text", f'{key} = "…"')
    for key in LISTS:
        value = table.get(key, [])
        if not isinstance(value, list) or not all(isinstance(one, str) and one.strip() for one in value):
            yield _mistake(source, (key,), f"{key}: this is no list of texts", f'{key} = ["TO-220"]')
    name = table.get("name")
    if not isinstance(name, str) or not NAME.fullmatch(name):
        expected = "letters, figures, - + . and _, beginning with a letter or figure"
        yield _mistake(source, ("name",), f"name: {quoted(name or '')} is no name for a type", expected,
                       'name = "MJ15003"')  # fmt: skip
    sheet = table.get("sheet")
    if isinstance(sheet, str) and not (sheet in sources() or is_citation(sheet)):
        what = f"sheet: {quoted(sheet)} names no document" if sheet else "sheet: the document is not named"
        expected = f'publisher and title at least, or "{RECALLED}"'
        yield _mistake(source, ("sheet",), what, expected, DOCUMENT)
    figures = table.get("figures")
    if not isinstance(figures, dict) or not figures:
        yield _mistake(source, ("figures",), "there are no figures", WANTED, "[figures]")
    else:
        for name, value in figures.items():
            yield from _row_structure(source, name, value)


def _row_structure(source: Source, name: str, value: object) -> Iterator[Mistake]:
    """A figure is a plain value, one row in braces, or a list of such rows."""
    path: Place = ("figures", name)
    listed = isinstance(value, list)
    if name not in FIGURES:
        what = f"there is no such figure as {quoted(name)}"
        yield _mistake(source, path, what, "a figure of the form: V_CEO is VCEO, h_FE is hFE")
        return
    rows = value if isinstance(value, list) else [value]
    if not rows:
        yield _mistake(source, path, f"{name}: the list is empty", f"{name} = {{ most = … }}")
    for index, row in enumerate(rows):
        place = (*path, index) if listed else path
        if isinstance(row, dict):
            if not row.get("source", "sheet" in source.table):
                yield _mistake(source, place, f"{name} has no source", f'a sheet, or source = "{RECALLED}"', DOCUMENT)
            if "derived" in row and not isinstance(row["derived"], bool):
                yield _mistake(source, (*place, "derived"), f"{name}: derived is yes or no", "true or false")
        elif listed or name not in PLAIN:
            what = f"{name}: a plain value does not say what it is"
            yield _mistake(source, place, what, "least, typical or most", f"{name} = {{ least = …, most = … }}")
        elif "sheet" not in source.table:
            yield _mistake(source, place, f"{name} has no source", f'a sheet, or source = "{RECALLED}"', DOCUMENT)


def _rows(table: Raw) -> dict[str, list[Raw]]:
    """The figures as the catalogue writes them: lists of rows, each with its source."""
    sheet, figures = table.get("sheet"), table["figures"]
    assert isinstance(figures, dict)
    found: dict[str, list[Raw]] = {}
    for name, value in figures.items():
        rows = value if isinstance(value, list) else [value]
        whole = [row if isinstance(row, dict) else {"most": row} for row in rows]
        found[name] = [({"source": sheet} | row) if sheet else row for row in whole]
    return found


def _located(mistake: Mistake, source: Source) -> Mistake:
    """A mistake of the catalogue's reader at its place in the file, with its subject in words."""
    found = IN_ROW.match(mistake.where)
    if found is None:
        path: Place = (mistake.where,)
        subject = mistake.where
    else:
        name, row, key = found.groups()
        listed = isinstance(source.table["figures"].get(name), list)
        path = ("figures", name, *((int(row) - 1,) if row and listed else ()), *((key,) if key else ()))
        subject = f"{key} of {name}" if key else name
    line, column = source.places.value(path)
    return replace(mistake, what=f"{subject}: {mistake.what}", line=line, column=column)


def _mistake(source: Source, path: Place, what: str, expected: str, write: str = "") -> Mistake:
    line, column = source.places.value(path)
    return Mistake(what, expected, write, ".".join(map(str, path)), source.name, line, column)


def _in_order(mistakes: list[Mistake]) -> list[Mistake]:
    return sorted(mistakes, key=lambda one: (one.line or 0, one.column or 0))
