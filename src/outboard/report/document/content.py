"""What a report is made of: sections of paragraphs, lists, tables, formulas and figures; nothing of how they look."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Place = Literal["here", "afloat", "on its side"]
Style = Literal["part", "net", "bold", "quiet", "code", "figure", "PASS", "FAIL", "UNDECIDED"]


@dataclass(frozen=True, slots=True)
class Styled:
    """Words in a style: names of parts and nets, remarks, words of a verdict; of a figure its key: "Figure 2"."""

    words: str
    style: Style


Words = str | Styled | tuple[str | Styled, ...]
"""Plain words, words in a style, or a row of both."""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; a quiet one is a marginal remark."""

    words: Words
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Headline:
    """The verdict, and what it means in sentences."""

    verdict: Style
    words: str
    rest: str


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a section."""

    words: str


@dataclass(frozen=True, slots=True)
class Items:
    """A list; a numbered one is done in its order."""

    items: tuple[Words, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Terms:
    """Terms with what belongs to them."""

    items: tuple[tuple[str, Words], ...]


FIGURES, NAMES = 0.0, -1.0
"""In the place of a share: a column of figures, which stand to the right, or of names, which never wrap."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its head, and its share of the width; FIGURES and NAMES are as wide as what they hold."""

    head: str
    share: float = 0.0


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads, with a caption."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Words, ...], ...]


@dataclass(frozen=True, slots=True)
class Formula:
    """A line of algebra: typst mathematics, the same in plain letters for who cannot see it, what it is about.

    leads   whether it stays with the line that comes next
    """

    mathematics: str
    plain: str
    about: str = ""
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing: for paper, and for a screen that may be dark; `words` say what it shows to who cannot see it.

    wide    its width on paper [pt], where that is less than the page
    place   "here" in the text; "afloat" where a page has room for it; "on its side" on a page of its own
    """

    key: str
    caption: str
    words: str
    paper: str
    screen: str
    wide: float = 0.0
    place: Place = "here"


@dataclass(frozen=True, slots=True)
class Listing:
    """A text as it stands in a file."""

    text: str


Block = Paragraph | Headline | Heading | Items | Terms | Table | Formula | Figure | Listing


@dataclass(frozen=True, slots=True)
class Section:
    """A numbered section."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """The whole report.

    lead      the design in one line
    verdict   its word; `opening` is what stands before the first section
    name      of the design file, and `inputs`, the first figures of its fingerprint, for every page
    """

    title: str
    lead: str
    verdict: str
    opening: tuple[Block, ...]
    sections: tuple[Section, ...]
    name: str
    inputs: str


def table(caption: str, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[Words]]) -> Table:
    """A table from plain sequences; every row must fill its columns."""
    heads = tuple(Column(head, share) for head, share in columns)
    for row in rows:
        if len(row) != len(heads):
            raise ValueError(f"{caption}: {len(row)} cells under {len(heads)} heads")
    return Table(caption, heads, tuple(tuple(row) for row in rows))


def plain_words(words: Words) -> str:
    """Words without their styles."""
    if isinstance(words, str):
        return words
    if isinstance(words, Styled):
        return words.words
    return "".join(piece if isinstance(piece, str) else piece.words for piece in words)
