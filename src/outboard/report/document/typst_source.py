"""A report as typst source: one text for PDF and HTML; drawings come in by name beside it."""

import re
from collections.abc import Iterator, Mapping
from importlib.resources import files
from itertools import zip_longest

from outboard.brief.entries import SECTIONS
from outboard.report.document.content import (
    FIGURES,
    Block,
    Document,
    Figure,
    Formula,
    Heading,
    Headline,
    Items,
    Listing,
    Paragraph,
    Section,
    Styled,
    Table,
    Terms,
    Words,
    plain_words,
)

LETTER = re.compile(
    r"(?<!\w)([A-Za-zΑ-ω]+)_([A-Za-z0-9]+(?:,(?:sat|max|min|hot|on|th|full))*(?:\((?:on|sat|AV|BR|th)\))?)(?![A-Za-z0-9_])"
)
"""A letter symbol with its index in running text: V_BE, h_FE2, V_CE(sat)."""

ENDS = re.compile(r"(?<!\w)(R[0-9A-Z]),(max|min)(?!\w)")
"""The least or greatest that a resistor may be: R1,max."""

POWER = re.compile(r"(?<=\w)\^([-−]?\d+(?:\.\d+)?)")
"""A power written in a row: I_C^−1."""

TABLES = "|".join(sorted({*SECTIONS, "parts"}))
KEY = re.compile(rf"(\[\[?(?:{TABLES})(?:\.\w+)*\]\]?|\b[a-z]{{2,}}(?:_[A-Za-z]+)+\b)")
"""A key or a table of the design file among words: regulator_bandwidth, pass_C_ob, [[parts]]."""

NO_BREAK = re.compile(r"(?<=\d) (?=(?:[fpnµmkMG]?(?:V|A|W|Ω|F|Hz|H|K|s|m)|°C|%|K/W|mm²|g)(?![\w]))")
"""A number stays with its unit."""


def source(document: Document) -> str:
    """The typst text of a report."""
    return "".join(_pieces(document))


def drawings(document: Document) -> Mapping[str, str]:
    """Every drawing for paper, by the name under which the source asks for it."""
    return {block.key: block.paper for block in _figures(document)}


def screen_drawings(document: Document) -> Mapping[str, str]:
    """Every drawing for a screen, by name."""
    return {block.key: block.screen for block in _figures(document)}


def _figures(document: Document) -> Iterator[Figure]:
    blocks = (*document.opening, *(block for section in document.sections for block in section.blocks))
    return (block for block in blocks if isinstance(block, Figure))


def _pieces(document: Document) -> Iterator[str]:
    # figures are numbered here: while pages still settle a counter may be read too early
    numbers = ", ".join(f"{quoted(figure.key)}: {number}" for number, figure in enumerate(_figures(document), 1))
    yield f"#let drawing-numbers = ({numbers or ':'})\n"
    yield files(__package__).joinpath("style.typ").read_text(encoding="utf-8")
    yield (
        f"#show: report.with(title: {quoted(document.title)}, name: {quoted(document.name)}, "
        f"inputs: {quoted(document.inputs)}, paper: sys.inputs.at(\"paper\", default: \"a4\"))\n"
        f"#opening({quoted(kept(document.title))}, {quoted(kept(document.lead))})\n"
    )
    for block in document.opening:
        yield _block(block)
    yield "\n#contents()\n"
    for section in document.sections:
        yield from _section(section)


def _section(section: Section) -> Iterator[str]:
    yield f"\n= {plain(section.title)}\n"
    for block, following in zip_longest(section.blocks, section.blocks[1:]):
        if isinstance(block, Paragraph) and not block.quiet and isinstance(following, Items):
            yield _lead_in(block)
        elif isinstance(block, Paragraph) and isinstance(following, Figure) and following.place == "afloat":
            yield f"\n{said(block.words)}#before-drawing({quoted(following.key)});\n"
        else:
            yield _block(block)


def _lead_in(block: Paragraph) -> str:
    """A paragraph that stays with what comes next."""
    return f"\n#lead-in[{said(block.words)}]\n"


def _block(block: Block) -> str:
    match block:
        case Paragraph(words, quiet):
            if not quiet and plain_words(words).endswith(":"):
                return _lead_in(block)
            return f"\n#remark[{said(words)}]\n" if quiet else f"\n{said(words)}\n"
        case Headline(verdict, words, rest):
            return f"\n#headline({quoted(verdict)}, {quoted(words)}, [{said(rest)}])\n"
        case Heading(words):
            return f"\n== {said(words)}\n"
        case Items(items, numbered):
            lines = "".join(f"  [{said(words)}],\n" for words in items)
            return f"\n#items({'true' if numbered else 'false'},\n{lines})\n"
        case Terms(items):
            return "\n#pairs(\n" + "".join(f"  ([{plain(term)}], [{said(words)}]),\n" for term, words in items) + ")\n"
        case Table():
            return _table(block)
        case Formula(mathematics, words, about, leads):
            formula = f"math.equation(block: true, alt: {quoted(words)}, $ {mathematics} $)"
            staying = "true" if leads else "false"
            return f"\n#law([{said(about)}], {formula})\n" if about else f"\n#fitted({formula}, leads: {staying})\n"
        case Figure():
            wide = f"{block.wide:g}pt" if block.wide else "100%"
            return (
                f"\n#drawing({quoted(block.key)}, [{said(block.caption)}], {quoted(block.words)}, {wide}, "
                f"{quoted(block.place)})\n"
            )
        case Listing(text):
            return f"\n#listing({quoted(text)})\n"


def _table(block: Table) -> str:
    shares = ", ".join(f"{column.share:g}fr" if column.share > 0.0 else "auto" for column in block.columns)
    sides = ", ".join("right" if column.share == FIGURES else "left" for column in block.columns)
    heads = ", ".join(f"[{said(column.head)}]" for column in block.columns)
    rows = "".join("  " + ", ".join(f"[{said(cell)}]" for cell in row) + ",\n" for row in block.rows)
    return f"\n#ledger([{said(block.caption)}], ({shares},), ({sides},), ({heads},),\n{rows})\n"


def said(words: Words) -> str:
    """Words as typst markup; a semicolon ends each call, so that a bracket behind it is no further argument."""
    if isinstance(words, str):
        return prose(words)
    if isinstance(words, Styled):
        return _styled(words)
    return "".join(said(piece) for piece in words)


def _styled(words: Styled) -> str:
    match words.style:
        case "code":
            return f"#raw({quoted(words.words)});"
        case "figure":
            return f"#ref(label({quoted(f'drawing-{words.words}')}));"
        case "PASS" | "FAIL" | "UNDECIDED":
            return f"#mark({quoted(words.style)}, {quoted(words.words)});"
        case style:
            return f"#{NAMED[style]}[{prose(words.words)}];"


NAMED = {"part": "part", "net": "net", "bold": "strong", "quiet": "quiet"}


def kept(text: str) -> str:
    """Numbers kept with their units."""
    return NO_BREAK.sub("\u00a0", text)


def prose(text: str) -> str:
    """Text made harmless; numbers kept with their units, indices set low, powers high, keys as in a file."""
    pieces = (f"#raw({quoted(piece)});" if number % 2 else _without_keys(piece)
              for number, piece in enumerate(KEY.split(text)))  # fmt: skip
    return "".join(pieces)


def _without_keys(text: str) -> str:
    text = kept(text)
    pieces, at = [], 0
    for found in re.finditer(f"{LETTER.pattern}|{POWER.pattern}|{ENDS.pattern}", text):
        pieces.append(plain(text[at : found.start()]))
        letter, index, power, resistor, end = found.groups()
        if resistor:
            pieces.append(f"{resistor}#sub(typographic: false, {quoted(end)});")
        else:
            pieces.append(f"#super({quoted(power)});" if power else f"#low({quoted(letter)}, {quoted(index)});")
        at = found.end()
    return "".join([*pieces, plain(text[at:])])


def plain(text: str) -> str:
    """Text made harmless, also where its beginning could be taken for a list or a heading."""
    text = re.sub(r"([\\_*#$@<>`~\[\]/\"'])", r"\\\1", text.replace("\n", " "))
    text = text.replace("--", "-\\-").replace("...", "\\.\\.\\.")
    return re.sub(r"^(\s*\d+)\.", r"\1\\.", re.sub(r"^(\s*)([-+=])", r"\1\\\2", text))


def quoted(text: str) -> str:
    """Text as a typst string."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t") + '"'
