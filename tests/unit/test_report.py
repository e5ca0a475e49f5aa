"""The report: the same bytes every time, readable aloud, its numbers those of the dossier, nothing left unsaid."""

import csv
import io
import os
import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from outboard.cli.program import program
from outboard.dossier import NOT_RUN, NotRun, opened, opened_text, ran
from outboard.report.document import parts_list
from outboard.report.document.alike import names_in_words
from outboard.report.document.build import document
from outboard.report.document.compiled import html, pdf
from outboard.report.document.content import (
    Block,
    Document,
    Figure,
    Paragraph,
    Styled,
    Table,
    plain_words,
    table,
)
from outboard.report.document.material import Material, gathered
from outboard.report.document.meanwhile import Meanwhile
from outboard.report.document.typst_source import prose, source
from outboard.report.verify_text import margin_in_words

ROOT = Path(__file__).resolve().parents[2]
RAILWAY = ROOT / "examples" / "model-railway.toml"
ATTIC = ROOT / "examples" / "wrong-attic-server.toml"


@pytest.fixture(scope="module")
def railway() -> Material:
    return gathered(opened(RAILWAY))


@pytest.fixture(scope="module")
def report(railway: Material) -> Document:
    return document(railway)


@pytest.fixture(scope="module")
def paper(report: Document) -> bytes:
    return pdf(report)


def blocks(report: Document) -> Iterator[Block]:
    yield from report.opening
    yield from (block for section in report.sections for block in section.blocks)


def words_of(content: bytes) -> str:
    """All words of a PDF, blanks of any sort made one."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages))


def test_the_same_file_gives_the_same_bytes(report: Document, paper: bytes) -> None:
    again = document(gathered(opened(RAILWAY)))
    assert source(again) == source(report)
    assert pdf(again) == paper
    assert html(again) == html(report)


def test_work_in_a_process_of_its_own_comes_to_the_same(railway: Material) -> None:
    from outboard.report.document.material import _derivation

    here = _derivation(opened(RAILWAY))
    assert not isinstance(here, NotRun) and not isinstance(railway.dossier.derivation, NotRun)
    assert [result.value for result in railway.dossier.derivation.results] == [result.value for result in here.results]
    assert source(document(replace(railway, dossier=replace(railway.dossier, derivation=here)))) == source(
        document(railway))  # fmt: skip


def test_a_process_that_dies_leaves_its_work_to_the_caller() -> None:
    caller = os.getpid()

    def work() -> int:
        if os.getpid() != caller:
            os._exit(1)
        return 7

    def mistaken() -> int:
        raise ValueError("a mistake of ours")

    assert Meanwhile(work).result() == 7
    with pytest.raises(ValueError, match="a mistake of ours"):
        Meanwhile(mistaken).result()
    assert Meanwhile(os.getppid).result() in (caller, os.getppid())


def test_pdf_says_its_title_and_language_and_is_tagged(report: Document, paper: bytes) -> None:
    reader = PdfReader(io.BytesIO(paper))
    root = reader.trailer["/Root"]
    assert reader.metadata is not None and reader.metadata.title == report.title
    assert str(root["/Lang"]).startswith("en")
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert "/StructTreeRoot" in root
    assert reader.metadata.creation_date is None


def test_pdf_claims_the_standard_for_readers_aloud(paper: bytes) -> None:
    metadata = PdfReader(io.BytesIO(paper)).trailer["/Root"]["/Metadata"].get_data().decode("utf-8")
    assert "pdfuaid" in metadata


@pytest.mark.parametrize(("size", "points"), [("a4", (595, 842)), ("us-letter", (612, 792))])
def test_paper_has_the_size_that_was_asked_for(report: Document, size: str, points: tuple[int, int]) -> None:
    made = PdfReader(io.BytesIO(pdf(report, size)))  # type: ignore[arg-type]
    for page in made.pages:
        assert (round(float(page.mediabox.width)), round(float(page.mediabox.height))) == points


def test_verdict_and_tightest_margins_stand_on_the_first_page(railway: Material, paper: bytes) -> None:
    first = re.sub(r"\s+", " ", PdfReader(io.BytesIO(paper)).pages[0].extract_text())
    verdict = ran(railway.dossier.verdict)
    assert "Passes." in first
    tight = [finding for finding in verdict.ordered if finding.margin is not None][:3]
    assert len(tight) == 3
    for finding in tight:
        assert finding.requirement.split()[0] in first
        assert margin_in_words(finding) in first.replace("\u00a0", " ")


def test_every_finding_of_the_dossier_stands_in_the_report_with_its_margin(
    railway: Material, report: Document
) -> None:
    rows = [row for block in blocks(report) if isinstance(block, Table) and block.caption.startswith("Every")
            for row in block.rows]  # fmt: skip
    said = {plain_words(row[1]).removesuffix("\u00a0†"): plain_words(row[4]) for row in rows}
    findings = ran(railway.dossier.verdict).findings
    assert said == {finding.title: margin_in_words(finding) for finding in findings}


def test_a_failing_design_says_so_first_and_exits_as_verify_does(tmp_path: Path) -> None:
    out = tmp_path / "attic.pdf"
    run = CliRunner().invoke(program, ["report", str(ATTIC), "--pdf", str(out), "--quiet"], standalone_mode=False)
    assert run.return_value == 1
    assert "Fails." in PdfReader(out).pages[0].extract_text()


def test_what_was_not_run_is_listed(railway: Material, paper: bytes) -> None:
    text = words_of(paper)
    for words in (*ran(railway.dossier.verdict).not_judged, "random draws", "readings of a built unit"):
        assert words in text
    without = replace(railway, dossier=replace(railway.dossier, division=NotRun("no load that draws"), faults=NOT_RUN))
    made = document(without)
    titles = [section.title for section in made.sections]
    assert "Faults" not in titles and "How the current divides" not in titles
    listed = source(made).split("= Not run", 1)[1]
    assert "no load that draws" in listed and "[faults]" in listed and "[division]" in listed


def test_parts_of_the_design_are_all_in_the_table_for_programs(railway: Material) -> None:
    rows = list(csv.DictReader(io.StringIO(parts_list.csv_text(railway))))
    bought = [part for part in railway.design.parts if part.role not in ("input", "load")]
    assert [row["name"] for row in rows] == [part.name for part in bought]
    by_name = {row["name"]: row for row in rows}
    assert by_name["Q1"]["type"] == "TIP2955" and by_name["Q1"]["resistance [ohm]"] == ""
    assert float(by_name["R9"]["resistance [ohm]"]) == 560.0 and float(by_name["R9"]["power [W]"]) == 0.4
    assert float(by_name["R9"]["tolerance [%]"]) == pytest.approx(5.0)
    assert float(by_name["Q1"]["pad at most [K/W]"]) == railway.design.part("Q1").pad


def test_alternatives_bear_at_least_as_much(railway: Material) -> None:
    from outboard.parts import find, ratings

    mine = railway.design.part("Q1")
    names = parts_list.alternatives(mine)
    assert names
    for name in names:
        bears = ratings(find(name))
        for symbol in parts_list.BEARS["bipolar"]:
            ours = mine.rating(symbol)
            assert ours is None or bears[symbol].value >= ours.value


def test_the_exact_inputs_stand_in_the_report(railway: Material, report: Document) -> None:
    from outboard.report.document.content import Listing

    listing = next(block for block in blocks(report) if isinstance(block, Listing))
    assert tomllib.loads(listing.text) == tomllib.loads(RAILWAY.read_text(encoding="utf-8"))
    assert report.inputs == railway.dossier.inputs[: len(report.inputs)]


def test_every_figure_has_a_caption_and_words_for_who_cannot_see_it(report: Document) -> None:
    figures = [block for block in blocks(report) if isinstance(block, Figure)]
    assert {figure.key for figure in figures} == {"schematic", "division", "watts", "safe-area"}
    for figure in figures:
        assert figure.caption and len(figure.words) > 40
        assert "var(--" not in figure.paper  # a reader of PDF knows no variables
        assert "http" not in figure.screen.replace("http://www.w3.org", "")


@pytest.mark.parametrize(("example", "paper"), [("model-railway", "a4"), ("observatory", "letter")])
def test_figures_are_numbered_in_their_order(example: str, paper: str, tmp_path: Path) -> None:
    """On these papers a counter read while pages settled gave two figures one number."""
    file = tmp_path / "report.pdf"
    names = [str(tmp_path / name) for name in ("report.html", "report.csv")]
    given = ["report", str(ROOT / "examples" / f"{example}.toml"), "--paper", paper, "--pdf", str(file)]
    assert CliRunner().invoke(program, [*given, "--html", names[0], "--csv", names[1]]).exit_code == 0
    text = "\n".join(page.extract_text() for page in PdfReader(file).pages)
    numbers = [int(found) for found in re.findall(r"^Figure (\d+)\. ", text, re.MULTILINE)]
    assert numbers == [1, 2, 3, 4]


def test_the_page_needs_nothing_from_elsewhere(report: Document) -> None:
    page = html(report)
    assert page.count('data-drawing="') == page.count("<svg") == 4
    assert not re.search(r'(?:src|href)="(?!#|data:)', page.replace('xlink:href="#', ""))
    assert "prefers-color-scheme:dark" in page


def test_words_that_look_like_markup_stay_words() -> None:
    text = 'title = "1. #let x = $5$ _a_ *b* [c] `d` <e> @f // g \\\\ - = +"\n'
    made = document(gathered(opened_text(text + RAILWAY.read_text(encoding="utf-8").partition("\n\n[input]")[2].join(
        ("[input]", "")), str(RAILWAY))))  # fmt: skip
    shown = words_of(pdf(made))
    assert "1. #let x = $5$ _a_ *b* [c] `d` <e> @f // g \\ - = +" in shown.replace("\u00a0", " ")


@pytest.mark.parametrize(
    "words", ["- a", "= a", "+ a", "/ a: b", "12. a", "a -- b", "a... b", "#a", "$a$", "@a", "a [b](c)"]
)
def test_beginnings_of_words_start_no_list_and_no_heading(words: str) -> None:
    import typst

    shown = typst.Compiler(prose(words).encode(), ignore_system_fonts=True).compile(format="pdf")
    assert isinstance(shown, bytes)
    assert PdfReader(io.BytesIO(shown)).pages[0].extract_text().strip() == words


def test_brackets_behind_a_letter_stay_brackets() -> None:
    words = ("V_GS(th) and I_C(2) and ", Styled("Q1", "part"), "(a) [b] max(V_H1; V_H2) V_R²")
    made = Document("t", "l", "PASS", (Paragraph(words),), (), "n", "0")
    shown = words_of(pdf(made)).replace("\u00a0", " ").replace(" ", "")
    assert "VGS(th)andIC(2)andQ1(a)[b]max(VH1;VH2)VR²" in shown


def test_a_row_that_does_not_fill_its_columns_is_refused() -> None:
    with pytest.raises(ValueError, match="1 cells under 2 heads"):
        table("a table", (("a", 1.0), ("b", 1.0)), [("only one",)])


def test_a_file_without_a_stage_has_a_report_too() -> None:
    text = """
[input]
voltage = "12 V"
[output]
voltage = "5 V"
load = ["0 A", "0.1 A", "0.2 A"]
[[parts]]
name = "U1"
kind = "regulator"
type = "7805"
pins = { in = "in", out = "out", ref = "ground" }
"""
    made = document(gathered(opened_text(text, "plain.toml")))
    listed = source(made).split("= Not run", 1)[1]
    assert "no stage to size" in listed
    assert pdf(made).startswith(b"%PDF")


def test_without_names_all_three_are_written_beside_the_design(tmp_path: Path) -> None:
    design = tmp_path / "railway.toml"
    design.write_text(RAILWAY.read_text(encoding="utf-8"), encoding="utf-8")
    run = CliRunner().invoke(program, ["report", str(design), "--json"], standalone_mode=False)
    assert run.return_value == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "railway.csv", "railway.html", "railway.pdf", "railway.toml",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("names", "words"),
    [(("Q2",), "Q2"), (("Q2", "Q3"), "Q2, Q3"), (("Q2", "Q3", "Q4"), "Q2–Q4"), (("Q2", "Q4", "Q5"), "Q2, Q4, Q5"),
     (("RA", "RB", "R1"), "RA, RB, R1"), (("e1", "e2", "e3"), "e1–e3")],
)  # fmt: skip
def test_names_that_follow_each_other_are_told_by_their_ends(names: tuple[str, ...], words: str) -> None:
    assert names_in_words(names) == words


def test_devices_in_parallel_have_one_span_of_readings() -> None:
    from outboard.measure.expected import expected_readings

    found = expected_readings(opened(ROOT / "examples" / "workshop-feed.toml").design).readings
    across = {one.across: one for one in found if one.across}
    against = {one.plus: one.readings for one in found if not one.across}
    assert across["R3"].readings == across["R4"].readings  # either device may be the one that stands apart
    assert against["e1"] == against["e2"]
    for one in across.values():
        assert one.readings[-1] is not None and one.readings[-1].usual >= 0.0  # leads the right way round


def test_a_guaranteed_current_is_told_in_amperes(report: Document) -> None:
    tables = [block for block in blocks(report) if isinstance(block, Table) and block.caption.startswith("Figures of ")]
    rows = [row for block in tables for row in block.rows if row[0] == "I_O"]
    assert rows and all(plain_words(row[1]).endswith(" A") for row in rows)


def test_a_field_effect_pass_device_stands_in_the_division() -> None:
    from outboard.dossier import with_division

    division = ran(with_division(opened(ROOT / "examples" / "shelf-lights-pmos.toml")).division)
    assert [device.name for device in division.devices] == ["U1", "Q1"]
    usual = division.curve("usual")
    carried = usual.currents["U1"] + usual.currents["Q1"]
    standing = usual.output / 1000.0  # R9 of 1 kΩ
    assert carried == pytest.approx(usual.load + standing, rel=1e-6)
    assert {place.part for place in division.handovers} == {"Q1"}


def test_letters_of_the_page_lie_in_it(report: Document) -> None:
    page = html(report)
    assert page.count("@font-face") == 5 and "Outboard Serif" in page
    assert "SIL Open Font License" in page and "font-family:\"Source" not in page


def test_draws_make_a_section_whose_figures_are_those_of_the_dossier() -> None:
    from outboard.dossier.draws import Wish, with_draws

    def drawn() -> Document:
        dossier = with_draws(opened(RAILWAY), Wish(64), lambda done, wanted: None, lambda: False)
        return document(gathered(dossier, " --draws 64 --seed 1 --sampling sobol"))

    made = drawn()
    assert source(made) == source(drawn())
    chance = next(section for section in made.sections if section.title == "By chance")
    words = " ".join(plain_words(block.words) for block in chance.blocks if isinstance(block, Paragraph))
    assert "64 units drawn at random" in words and "confidence" in words
    assert [block.key for block in chance.blocks if isinstance(block, Figure)] == ["culprits"]
    listed = source(made).split("= Not run", 1)[1]
    assert "random draws" not in listed and "--draws 64 --seed 1" in listed and "extremes between" in listed
    assert pdf(made).startswith(b"%PDF")


def test_draws_and_extremes_at_once_are_refused() -> None:
    run = CliRunner().invoke(program, ["report", str(RAILWAY), "--draws", "8", "--extremes"])
    assert run.exit_code == 2 and "at once" in run.output
