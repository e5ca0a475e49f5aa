"""The errors a person may meet, as one tree.

    OutboardError
    ├── WrongInput          a mistake in a file or on the command line; every mistake is located
    ├── RefusedNetwork      the parts do not make a solvable network; names the net or part
    ├── NoSolution          a formula has no value for these numbers (formulas); says why and what would help
    └── UnknownType         the catalogue has no such type (parts); names those that come near

A lane that does not solve is data, not an error.  A programmer's mistake is an ordinary exception.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mistake:
    """One mistake, located: what is wrong, what was expected, what to write instead."""

    what: str
    expected: str = ""
    write: str = ""
    where: str = ""
    file: str = ""
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        place = ":".join(str(piece) for piece in (self.file, self.line, self.column) if piece not in ("", None))
        sentence = self.what
        if self.expected:
            sentence += f"; expected {self.expected}"
        if self.write:
            sentence += f"; write {self.write}"
        return f"{place}: {sentence}" if place else sentence


class OutboardError(Exception):
    """Root of every error that is meant for a person."""


class WrongInput(OutboardError):
    """The input is wrong: all mistakes that were found, not only the first."""

    def __init__(self, mistakes: "tuple[Mistake, ...] | list[Mistake]") -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))


class RefusedNetwork(OutboardError):
    """The parts make no solvable network; `subject` names the net, part or node at fault."""

    def __init__(self, subject: str, what: str, expected: str = "", write: str = "") -> None:
        self.subject = subject
        self.what = what
        self.expected = expected
        self.write = write
        super().__init__(what)
