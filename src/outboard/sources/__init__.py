"""The documents that figures and equations are cited from.

Every `*.toml` file in this folder is a table of documents, one table per key:

    [S57]
    publisher = "…"                  required
    title = "…"                      required
    revision = "…"                   left out: not known
    page = "…"                       left out: the whole document
    text_quality = "clean"           "clean" | "weak" (cells of the stored text ran together: read with care)
    kind = "data sheet"              "data sheet" | "textbook" | "standard" | "paper" | "manual" | …

The key `recalled` stands for what is remembered without a document.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

RECALLED = "recalled"
"""Key of figures that are remembered without a document at hand."""

_REQUIRED = ("publisher", "title")
_OPTIONAL = {"revision": "", "page": "", "text_quality": "clean", "kind": "document"}


@dataclass(frozen=True, slots=True)
class Source:
    """One document: who published it, what it is called, which revision, where in it."""

    key: str
    publisher: str
    title: str
    revision: str = ""
    page: str = ""
    text_quality: str = "clean"
    kind: str = "document"

    @property
    def weak(self) -> bool:
        """Whether the text at hand was damaged, so that its figures want a second look."""
        return self.text_quality != "clean"

    @property
    def citation(self) -> str:
        """The document in one line: publisher, title, revision, page."""
        return ", ".join(piece for piece in (self.publisher, self.title, self.revision, self.page) if piece)


def source(key: str) -> Source:
    """The document behind a key; KeyError when no table has it."""
    return sources()[key]


def cited(key: str) -> Source:
    """The document that a figure names: behind its key, or a person's own document in its own words."""
    known = sources().get(key)
    return Source(key, "", key, kind="own") if known is None else known


def is_citation(words: str) -> bool:
    """Whether words name a document of a person's own: publisher, title and whatever else finds the page."""
    return len([piece for piece in words.split(",") if piece.strip()]) >= 2 and words.isprintable()


@cache
def sources() -> Mapping[str, Source]:
    """All documents, read once from the tables in this folder."""
    found = {RECALLED: Source(RECALLED, "", "recalled, no document", kind="recalled")}
    for entry in sorted(files(__name__).iterdir(), key=lambda place: place.name):
        if not entry.name.endswith(".toml"):
            continue
        for key, fields in tomllib.loads(entry.read_text(encoding="utf-8")).items():
            if key in found:
                raise ValueError(f"{entry.name}: the key {key!r} is there already")
            found[key] = _document(key, fields, entry.name)
    return MappingProxyType(found)


def _document(key: str, fields: Mapping[str, object], file: str) -> Source:
    """One table row as a document; ValueError names file and key when a field is missing or strange."""
    unknown = sorted(set(fields) - set(_REQUIRED) - set(_OPTIONAL))
    missing = [name for name in _REQUIRED if not fields.get(name)]
    if unknown or missing:
        raise ValueError(f"{file}: [{key}] unknown fields {unknown}, missing fields {missing}")
    texts = {name: str(fields.get(name, _OPTIONAL.get(name, ""))) for name in (*_REQUIRED, *_OPTIONAL)}
    return Source(key=key, **texts)
