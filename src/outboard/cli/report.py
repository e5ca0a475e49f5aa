"""outboard report: the whole design as a document."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.answer import answer, cannot_be_written, write_file
from outboard.cli.draw_options import (
    check_options,
    drawing_options,
    number_of_draws,
    progress,
    stopped_by_hand,
    wished,
)
from outboard.cli.options import design_file, one_of, output_options
from outboard.errors import WrongInput

if TYPE_CHECKING:
    from outboard.dossier import Dossier
    from outboard.report.document.content import Document
    from outboard.report.document.material import Material
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}
INTERRUPTED = 130
PAPERS = {"a4": "a4", "letter": "us-letter"}


@click.command(options_metavar="[options]")
@design_file
@click.option("--pdf", metavar="FILE", help="The report for paper; beside the design, with its name, unless said.")
@click.option("--html", metavar="FILE", help="The report for a screen, one file that needs no other.")
@click.option("--csv", "table", metavar="FILE", help="The parts list as a table.")
@click.option("--draws", callback=number_of_draws, metavar="NUMBER",
              help="Add what so many units say, drawn at random within their tolerances.")  # fmt: skip
@click.option("--extremes", is_flag=True, help="Also look between the ends of the tolerances, each part by itself.")
@drawing_options
@click.option("--paper", callback=one_of(tuple(PAPERS)), default="a4", metavar="SIZE", help="a4 or letter.")
@output_options
def report(
    file: str, pdf: str | None, html: str | None, table: str | None, paper: str, draws: int | None, extremes: bool,
    folder: str | None, as_json: bool, quiet: bool, **options: Any,
) -> int:  # fmt: skip
    """The whole design as a document to sign and hand on: verdict, schematic, sizing, heat, faults, parts, test plan.

    Without --pdf, --html or --csv all three are written beside the design. What was not run is listed at the end. The
    same file gives the same bytes. Exit codes are those of verify.
    """
    from outboard.dossier import NotRun, ran
    from outboard.report.document.build import document
    from outboard.report.document.material import gathered

    check_options(draws, extremes, folder)
    dossier = _begun(file, draws, extremes, folder, quiet, options)
    material = gathered(dossier, _as_written(paper, draws, extremes, options))
    made = document(material)
    if pdf is None and html is None and table is None:
        pdf, html, table = (str(Path(file).with_suffix(ending)) for ending in (".pdf", ".html", ".csv"))
    written = _written(material, made, pdf, html, table, paper)
    verdict = ran(material.dossier.verdict).verdict

    def as_object() -> object:
        sections = [section.title for section in made.sections]
        return {"verdict": verdict, "inputs": material.dossier.inputs, "written": written, "sections": sections}

    def in_words(plate: "Plate") -> None:
        plate.title(made.title)
        plate.say(f"{verdict}: written into {', '.join(written.values())}")

    answer(as_json, quiet, as_object, in_words)
    found = material.dossier.draws
    return INTERRUPTED if not isinstance(found, NotRun) and found.stopped else EXITS[verdict]


def _begun(
    file: str, draws: int | None, extremes: bool, folder: str | None, quiet: bool, options: dict[str, Any]
) -> "Dossier":
    """The dossier with draws or extremes where they were asked for."""
    from outboard.dossier import opened

    if draws is None and not extremes:
        return opened(file)
    from outboard.dossier.draws import with_draws, with_extremes

    if draws is None:
        return with_extremes(opened(file))
    with stopped_by_hand() as stop, progress(quiet) as watch:
        kept = Path(folder) if folder is not None else None
        return with_draws(opened(file), wished(draws, options, mapped=True), watch, stop, kept)


def _as_written(paper: str, draws: int | None, extremes: bool, options: dict[str, Any]) -> str:
    """The options that the report depends on, as one writes them."""
    pieces = ["--paper letter"] if paper == "letter" else []
    if draws is not None:
        pieces.append(f"--draws {draws} --seed {options['seed']} --sampling {options['sampling']}")
    if extremes:
        pieces.append("--extremes")
    return "".join(f" {piece}" for piece in pieces)


def _written(
    material: "Material", made: "Document", pdf: str | None, html: str | None, table: str | None, paper: str
) -> dict[str, str]:
    """Writes what was asked for; the names by form."""
    from outboard.report.document import compiled, parts_list

    found: dict[str, str] = {}
    if pdf is not None:
        _write_bytes(pdf, compiled.pdf(made, "us-letter" if paper == "letter" else "a4"))
        found["pdf"] = pdf
    if html is not None:
        write_file(html, compiled.html(made), "--html")
        found["html"] = html
    if table is not None:
        write_file(table, parts_list.csv_text(material), "--csv")
        found["csv"] = table
    return found


def _write_bytes(path: str, content: bytes) -> None:
    from outboard.files import write_bytes

    try:
        write_bytes(path, content)
    except (OSError, ValueError) as error:
        raise WrongInput([cannot_be_written(path, "--pdf", error)]) from None
