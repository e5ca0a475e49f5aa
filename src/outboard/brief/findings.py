"""All mistakes of one design file, each at its place and named by what it concerns."""

from outboard.brief.near_miss import nearest
from outboard.brief.places import Path
from outboard.brief.syntax import Source
from outboard.errors import Mistake, WrongInput

MOST = 200
"""More mistakes than this are not worth a person's reading."""

SPAN = ("least", "usual", "most")
"""What the elements of a list stand for."""


class Findings:
    """Collects mistakes while a file is read, so that all are told at once."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._mistakes: list[Mistake] = []

    def add(self, path: Path, what: str, expected: str = "", write: str = "", at_key: bool = False) -> None:
        """Note a mistake; `what` goes on from the words for what the path leads to."""
        places = self._source.places
        line, column = places.key(path) if at_key else places.value(path)
        subject = self.subject(path)
        said = f"{subject}: {what}" if subject else what
        self._mistakes.append(
            Mistake(said, expected, write, self.where(path), self._source.name, line, column),
        )
        if len(self._mistakes) >= MOST:
            self.tell()

    def unknown(self, path: Path, known: tuple[str, ...], sort: str) -> str | None:
        """Note a word that is none of the known; gives the one that was meant, if that can be told."""
        word = str(path[-1])
        meant = nearest(word, known)
        self.add(path, f"there is no such {sort}", " ".join(known) if len(known) < 12 else f"a known {sort}",
                 meant or "", at_key=True)  # fmt: skip
        return meant

    def tell(self) -> None:
        """Raise what was found, in the order of the file; nothing when all is well."""
        if self._mistakes:
            raise WrongInput(sorted(self._mistakes, key=lambda mistake: (mistake.line or 0, mistake.column or 0)))

    def where(self, path: Path) -> str:
        """A path as text: stage.bleed, parts.Q2.pins.base."""
        return ".".join(self._names(path))

    def subject(self, path: Path) -> str:
        """What a path leads to, in words: “bleed in [stage]”, “resistance of R1”."""
        names = self._names(path)
        if len(path) > 2 and isinstance(path[-1], int):
            names[-2:] = [f"{SPAN[path[-1]]} {names[-2]}"]
        if len(names) < 2:
            return names[0] if names else ""
        if names[0] == "parts":
            if names[2:3] == ["pins"] and len(names) == 4:
                return f"pin {names[3]} of {names[1]}"
            return " of ".join(reversed(names[1:]))
        return f"{names[-1]} in [{'.'.join(names[:-1])}]"

    def _names(self, path: Path) -> list[str]:
        names = [str(step) for step in path]
        if len(path) > 1 and path[0] == "parts" and isinstance(path[1], int):
            part = self._source.table["parts"][path[1]]
            name = part.get("name") if isinstance(part, dict) else None
            names[1] = name if isinstance(name, str) and name.strip() else f"part {path[1] + 1}"
        return names
