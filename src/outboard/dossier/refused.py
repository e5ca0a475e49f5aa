"""Where in the design file a refused network comes from."""

from collections.abc import Iterator
from contextlib import contextmanager

from outboard.brief import Brief, PartEntry
from outboard.errors import Mistake, RefusedNetwork, WrongInput


@contextmanager
def located(brief: Brief) -> Iterator[None]:
    """Turns a RefusedNetwork of the brief's design into a mistake at its place in the file."""
    try:
        yield
    except RefusedNetwork as refused:
        raise WrongInput([mistake(refused, brief)]) from refused


def mistake(refused: RefusedNetwork, brief: Brief) -> Mistake:
    """The mistake behind a refused network, at the part or the stage that names its subject."""
    where, line, column = _place(refused.subject, brief)
    return Mistake(refused.what, refused.expected, refused.write, where, str(brief.file), line, column)


def _place(subject: str, brief: Brief) -> tuple[str, int | None, int | None]:
    named = [entry for entry in brief.parts if entry.name == subject]
    joined = [entry for entry in brief.parts if _touches(entry, subject)]
    # of two parts with one name the later is the mistake
    for entry in (*named[-1:], *joined):
        return f"parts.{entry.name}", *entry.location
    if brief.stage is not None and brief.stage.places:
        return "stage", *min(brief.stage.places.values())
    if brief.parts:  # nothing in particular, such as a net that no part touches: where the parts begin
        return "parts", *brief.parts[0].location
    return "", None, None


def _touches(entry: PartEntry, subject: str) -> bool:
    return subject in entry.pins.values() or (entry.heat is not None and entry.heat.to == subject)
