"""The page of all hand formulas, written from the formulas themselves and the documents that they name."""

from collections.abc import Iterator
from importlib import import_module

TITLE = "# Every hand formula"
LEAD = (
    "Made by `tools/manual.py --renew` from the formulas that the program computes with; the tests compare it. “seen”\n"
    "means that the document was read, “memory” that it is recalled and to be confirmed before much rests on it."
)


def page() -> str:
    """All formulas subject by subject, each with where it holds and where it is from."""
    return "\n\n".join((TITLE, LEAD, *_subjects())) + "\n"


def _subjects() -> Iterator[str]:
    from outboard.formulas import SUBJECTS, formulas
    from outboard.sources import source

    known, told = formulas(), set()
    for subject in SUBJECTS:
        module = import_module(f"outboard.formulas.{subject}")
        own = [entry for entry in vars(module).values() if entry in known.values() and entry.key not in told]
        if own:
            yield f"## {subject.replace('_', ' ').capitalize()}"
        for entry in own:
            told.add(entry.key)
            document = source(entry.source)
            where = ", ".join(filter(None, (document.publisher, document.title, document.page)))
            holds = entry.validity[:1].upper() + entry.validity[1:].rstrip(".")
            yield f"### {entry.title.rstrip('.')}\n\n```text\n{entry.text}\n```\n\n{holds}. *{entry.source}*: {where}."
