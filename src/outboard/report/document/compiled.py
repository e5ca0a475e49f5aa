"""A report as PDF and as HTML, compiled from one typst source with the fonts that lie beside the drawings."""

from typing import Literal

from outboard.draw.style import FONTS
from outboard.report.document.content import Document
from outboard.report.document.page import page
from outboard.report.document.typst_source import drawings, screen_drawings, source

Paper = Literal["a4", "us-letter"]


def pdf(document: Document, paper: Paper = "a4") -> bytes:
    """PDF/UA-1: tagged, titled, readable aloud; the same document gives the same bytes."""
    from typst import Compiler

    inputs = {f"drawing-{key}": svg for key, svg in drawings(document).items()} | {"paper": paper}
    compiler: Compiler = Compiler(
        source(document).encode(), font_paths=[str(FONTS)], ignore_system_fonts=True, sys_inputs=inputs
    )  # type: ignore[misc]
    made = compiler.compile(format="pdf", pdf_standards="ua-1")
    assert isinstance(made, bytes)
    return made


def html(document: Document) -> str:
    """One file that needs no other, light or dark as its reader's screen."""
    from typst import Compiler

    compiler: Compiler = Compiler(
        source(document).encode(), font_paths=[str(FONTS)], ignore_system_fonts=True
    )  # type: ignore[misc]
    made, _ = compiler.compile_with_warnings(format="html")  # it warns that HTML is a young art of typst
    assert isinstance(made, bytes)
    return page(made.decode("utf-8"), screen_drawings(document))
