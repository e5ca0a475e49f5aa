"""The look of the terminal: ink on paper, hairlines instead of boxes, groups made by space.

Nets are italic, parts bold, as rivers and towns on a map; a mark's shape and word say all that its colour says.
"""

from collections.abc import Sequence
from typing import TextIO

from rich.console import Console
from rich.table import Table
from rich.text import Text

NARROWEST = 80
"""Columns that are always used, whatever the window says."""

MARKS = {"PASS": "●", "FAIL": "■", "UNDECIDED": "◌"}
TINTS = {"PASS": "cyan", "FAIL": "bold red", "UNDECIDED": "magenta"}
QUIET = "dim"

Cell = str | Text


class _Paper(Console):
    """A console that leaves it to the program to say how it ends when nobody reads on."""

    def on_broken_pipe(self) -> None:
        raise BrokenPipeError


class Plate:
    """Writes to one stream."""

    def __init__(self, stream: TextIO) -> None:
        self._console = _Paper(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=False)
        self._console.width = max(NARROWEST, self._console.width)

    @property
    def width(self) -> int:
        """Columns that may be used."""
        return self._console.width

    def say(self, text: Cell = "", indent: int = 0) -> None:
        """A line, folded at the width."""
        line = Text(text) if isinstance(text, str) else text
        for piece in line.wrap(self._console, self.width - indent) if line.plain else [line]:
            piece.rstrip()
            self._console.print(Text(" " * indent) + piece)

    def title(self, text: str) -> None:
        """What the page is about."""
        self._console.print(Text(text, style="bold"))

    def quietly(self, text: str, indent: int = 0) -> None:
        """A marginal remark."""
        self.say(Text(text, style=QUIET), indent)

    def hairline(self) -> None:
        """A thin rule across the page."""
        self._console.print(Text("─" * self.width, style=QUIET))

    def table(self, columns: Sequence[str], rows: Sequence[Sequence[Cell]], figures: Sequence[int] = ()) -> None:
        """Rows under quiet headings; the columns whose numbers are `figures` stand to the right."""
        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=QUIET, show_header=any(columns))
        for number, heading in enumerate(columns):
            justify = "right" if number in figures else "left"
            table.add_column(heading, justify=justify, overflow="fold", no_wrap=number in figures)  # type: ignore[arg-type]
        for row in rows:
            table.add_row(*row)
        self._console.print(table)

    def words(self, items: Sequence[tuple[str, Cell]]) -> None:
        """Terms with what belongs to them."""
        self.table(("", ""), [(Text(term, style=QUIET), content) for term, content in items])


def part(name: str) -> Text:
    """The name of a part."""
    return Text(name, style="bold")


def net(name: str) -> Text:
    """The name of a net."""
    return Text(name, style="italic")


def mark(verdict: str) -> Text:
    """Shape and word of a verdict, in its colour."""
    return Text(f"{MARKS[verdict]} {verdict}", style=TINTS[verdict])
