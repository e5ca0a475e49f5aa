"""Cautions, assumptions, where each figure comes from, what the report was made from."""

from collections.abc import Iterator

import outboard
from outboard.checks.between_verdict import REQUIREMENT as BETWEEN
from outboard.checks.feed_cautions import feed_cautions
from outboard.dossier import NotRun, ran
from outboard.identify import Identified
from outboard.parts.dimensions import FIGURES as MEASURED
from outboard.parts.listing import conditions_in_words
from outboard.parts.records import Figure, Origin
from outboard.quantity import CURRENT, VOLTAGE, shown
from outboard.report.document import algebra_section, sizing_section
from outboard.report.document.content import (
    FIGURES,
    NAMES,
    Block,
    Heading,
    Items,
    Listing,
    Paragraph,
    Section,
    Styled,
    Terms,
    Words,
    table,
)
from outboard.report.document.material import Material
from outboard.report.document.wordings import sentence
from outboard.report.verify_text import RESTS_ON
from outboard.sources import RECALLED, cited
from outboard.whatif.cautions import cautions

LETTERS = {"I": CURRENT, "V": VOLTAGE}
"""The unit that the first letter of a rating's symbol stands for."""

MOST_NAMED = 3
"""Judgements that are named before only their number is told."""

IDEAL = (
    "Leads have no resistance, save that of the source in [input]; a sink has one temperature all over.",
    "Temperatures are settled; only What moves, where it is run, follows a start or a step; no pulse is followed.",
    "Independent tolerances may all be at their worst ends together; devices of one type in parallel are all alike, or "
    "one stands apart from the rest.",
    "Data sheets are right, and parts are genuine.",
)
"""What is taken for granted in every report."""


def cautions_section(material: Material) -> Section:
    """Everything that can hurt; in doubt the local code and a licensed person decide."""
    found = material.dossier.feed
    told = (*cautions(material.design), *([] if isinstance(found, NotRun) else feed_cautions(found.report)))
    words = tuple(sentence(words) for words in told)
    last = ("This report is a calculation. It does not replace the local code, a licensed electrician where one is "
            "required, or the measurement of the built unit.")  # fmt: skip
    return Section("Cautions", (Items((*words, last)),))


def assumptions_section(material: Material) -> Section:
    """Weak figures by name, then what every design takes for granted."""
    return Section("Assumptions and weak figures", tuple(_assumptions(material)))


def _assumptions(material: Material) -> Iterator[Block]:
    found = material.dossier.feed
    verdicts = [ran(material.dossier.verdict), *([] if isinstance(found, NotRun) else [found.verdict])]
    findings = [finding for verdict in verdicts for finding in verdict.ordered]
    figures = dict.fromkeys(figure for finding in findings for figure in finding.rests_on)
    rows: list[tuple[Words, ...]] = []
    for figure in sorted(figures):
        kind, _, words = figure.partition(": ")
        resting = dict.fromkeys(finding.title for finding in findings if figure in finding.rests_on)
        rows.append((words or figure, RESTS_ON.get(kind, kind), _some(tuple(resting), len(findings))))
    if rows:
        yield table("Figures that are no limits, and what rests on them",
                    (("figure", 0.34), ("kind", 0.24), ("judgements that rest on it", 0.42)), rows)  # fmt: skip
    else:
        yield Paragraph("Every judgement rests on limits alone.")
    open_ = [finding for verdict in verdicts for finding in verdict.findings if finding.missing]
    undecided = [f"{finding.title}: {', '.join(finding.missing)}" for finding in open_]
    if undecided:
        yield Heading("What is missing")
        yield Items(tuple(sentence(words) for words in undecided))
    yield Heading("Taken for granted")
    yield Items((*IDEAL, *(sentence(note) for note in material.design.notes)))


def _some(titles: tuple[str, ...], of: int) -> str:
    """A few by name, many by number and the tightest of them."""
    if len(titles) <= MOST_NAMED:
        return ", ".join(titles)
    return f"{len(titles)} of {of} judgements, the tightest: {titles[0]}"


def sources_section(material: Material) -> Section:
    """Every catalogue figure of the types in use, then every document."""
    return Section("Sources", tuple(_sources(material)))


def _sources(material: Material) -> Iterator[Block]:
    keys: set[str] = set()
    seen: set[str] = set()
    for one in material.design.parts:
        if one.type is None or one.type.name in seen:
            continue
        seen.add(one.type.name)
        rows: list[tuple[Words, ...]] = []
        for symbol, rating in sorted(one.ratings.items()):
            figure = rating.figure
            keys.add(figure.source)
            rows.append((_symbol(symbol), _value(symbol, figure, rating.value), conditions_in_words(figure.conditions),
                         rating.origin.kind, f"[{figure.source}]"))  # fmt: skip
        keys |= {origin.source for origin in _identified(one.identified) if origin.source}
        yield table(f"Figures of {one.type.name} that the ratings rest on",
                    (("figure", 0.28), ("value", FIGURES), ("conditions", 0.72), ("kind", NAMES), ("document", NAMES)),
                    rows)  # fmt: skip
    keys |= _named(material)
    yield Heading("Documents")
    yield Terms(tuple((f"[{key}]", f"{cited(key).citation}.") for key in sorted(keys - {RECALLED, ""})))
    yield Paragraph("Seen: the document itself was read; second-hand: written out by others; memory: not looked up, to "
                    "be confirmed before much rests on it.", quiet=True)  # fmt: skip
    if RECALLED in keys:
        yield Paragraph("[recalled]: from memory, without a document.", quiet=True)


def _named(material: Material) -> set[str]:
    """Keys that sizing, algebra and verdict name."""
    dossier = material.dossier
    keys = {finding.source for finding in ran(dossier.verdict).findings}
    if not isinstance(dossier.feed, NotRun):
        keys |= {finding.source for finding in dossier.feed.verdict.findings} | {"Littelfuse-guide"}
    keys |= {"IEC-60028", "ASTM-B258"} if dossier.brief.wiring else {"IEC-60028"}
    if not isinstance(dossier.sizing, NotRun):
        keys |= sizing_section.sources_used(dossier.sizing)
    if not isinstance(dossier.derivation, NotRun):
        keys |= algebra_section.sources_used(dossier.derivation)
    return keys


def _identified(found: Identified | None) -> Iterator[Origin]:
    """Where the model's values and their spreads come from."""
    if found is not None:
        yield from found.origins.values()
        yield from (origin for spread in found.spreads for origin in spread.origins)


def _symbol(symbol: str) -> str:
    """A rating's letters, its side in words."""
    symbol = symbol.replace("_DS_on", "_DS(on)").replace("_GS_th", "_GS(th)")
    base, _, side = symbol.rpartition("_")
    if side in ("least", "most", "typical", "guaranteed", "peak", "min"):
        return f"{'drop-out' if base == 'dropout' else base}, {'least' if side == 'min' else side}"
    return symbol


def _value(symbol: str, figure: Figure, value: float) -> str:
    """A rating taken from the conditions of a figure has not that figure's unit: I_O stands in the row of V_O."""
    return shown(value, LETTERS.get(symbol[:1], MEASURED[figure.name]), 4, zeros=False)


def inputs_section(material: Material) -> Section:
    """What was not run, and the exact inputs."""
    dossier = material.dossier
    not_run: list[tuple[str, Words]] = [
        (title, reason.reason) for title, reason in (
            ("sizing", dossier.sizing), ("algebra", dossier.derivation), ("division", dossier.division),
            ("faults", dossier.faults), ("what moves", dossier.response), ("heat", dossier.heat),
            ("feed", dossier.feed), ("expected readings", material.readings),
        ) if isinstance(reason, NotRun)
    ]  # fmt: skip
    if isinstance(dossier.draws, NotRun):
        not_run.append(("random draws", ("asked for with ", Styled("--draws 10000", "code"))))
    if all(finding.requirement != BETWEEN for finding in ran(dossier.verdict).findings):
        words = ("the ends of the tolerances were tried, not what lies between; asked for with ",
                 Styled("--extremes", "code"))  # fmt: skip
        not_run.append(("extremes between", words))
    not_run += [(words, "not judged by this report") for words in ran(dossier.verdict).not_judged]
    if not isinstance(dossier.heat, NotRun):
        not_run += [("brief loads", words) for words in dossier.heat.verdict.not_judged]
    not_run.append(("readings of a built unit", "nothing was measured"))
    types = sorted({one.type.name for one in material.design.parts if one.type is not None})
    terms: tuple[tuple[str, Words], ...] = (
        ("program", f"outboard {outboard.__version__}"),
        ("command", Styled(f"outboard report {dossier.brief.file.name}{material.options}", "code")),
        ("fingerprint", Styled(dossier.inputs, "code")),
        ("types", ", ".join(types) or "none of the catalogue"),
    )
    return Section("Not run, and how to make this report again", (
        Terms(tuple(not_run)), Heading("Inputs"), Terms(terms),
        Paragraph("The fingerprint is the SHA-256 of the design file below, the catalogue's entries in use and the "
                  "version. The same inputs give the same report, byte for byte."),
        Listing(dossier.text.rstrip("\n")),
    ))  # fmt: skip

