"""A person's own types beside the catalogue's, and which of them stand in front of it now."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from types import MappingProxyType

from outboard.errors import Mistake
from outboard.parts.records import PartType

NO_TYPES: Mapping[str, PartType] = MappingProxyType({})
NO_MISTAKES: Mapping[str, tuple[Mistake, ...]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Shelf:
    """Own types by name, and the mistakes of files that could not be read, by the name that each stands for.

    A broken file hides the catalogue's type of its name as well: a person who wrote one meant their own figures.
    """

    types: Mapping[str, PartType] = field(default_factory=lambda: NO_TYPES)
    broken: Mapping[str, tuple[Mistake, ...]] = field(default_factory=lambda: NO_MISTAKES)

    def found(self, name: str) -> PartType | None:
        """The own type that answers to a name or an alias."""
        folded = name.strip().casefold()
        for part_type in self.types.values():
            if folded in {spelling.casefold() for spelling in (part_type.name, *part_type.aliases)}:
                return part_type
        return None

    def mistakes(self, name: str) -> tuple[Mistake, ...]:
        """What keeps an own type from being read; nothing when no broken file stands for the name."""
        folded = name.strip().casefold()
        return next((found for own, found in self.broken.items() if own.casefold() == folded), ())


EMPTY = Shelf()

_shelf: ContextVar[Shelf] = ContextVar("shelf", default=EMPTY)


def shelf() -> Shelf:
    """The own types that stand in front of the catalogue now."""
    return _shelf.get()


@contextmanager
def beside(own: Shelf) -> Iterator[None]:
    """Puts own types in front of the catalogue for as long as the block runs, in this thread alone."""
    token = _shelf.set(own)
    try:
        yield
    finally:
        _shelf.reset(token)
