"""Designs that are checked, and single checks and blocks to judge."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from outboard.arrangements import Design, designed
from outboard.brief import read
from outboard.cases.axes import axes
from outboard.cases.corners import corners_of, every_choice
from outboard.checks.check import Check
from outboard.checks.finding import Conditions, Finding, Verdict
from outboard.checks.tally import Tally
from outboard.checks.verdict import finding
from outboard.network.circuit import laid_out
from outboard.network.fields import fields
from outboard.network.overrides import Overrides
from outboard.network.solution import Block
from outboard.network.solve import solved
from outboard.span import Span

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
NAMES = ("observatory", "model-railway")
LOADS = np.array([0.0, 1.0, 3.0])


@cache
def design(name: str) -> Design:
    return designed(read(EXAMPLES / f"{name}.toml"))


@cache
def narrow(name: str) -> Design:
    """The example at one input voltage and one ambient, so that many variants of it can be judged."""
    whole = design(name)
    brief, source = whole.brief, whole.brief.input
    assert source is not None
    brief = replace(
        brief,
        input=replace(source, voltage=Span.exactly(source.voltage.usual)),
        surroundings=replace(brief.surroundings, ambient=Span.exactly(brief.surroundings.ambient.usual)),
    )
    return replace(whole, brief=brief)


@cache
def block_of(name: str) -> tuple[Block, object]:
    """A few solved corners of an example, to judge checks on."""
    whole = narrow(name)
    circuit = laid_out(whole.components, whole.brief.surroundings.ambient.usual)
    found = axes(whole)
    base = {
        (part.name, field): part.part.values.get(field, record.default or 0.0)
        for part in whole.parts
        for field, record in fields(part.part.kind, part.part.model).items()
    }
    assert whole.brief.input is not None
    conditions = [(whole.brief.input.voltage.usual, whole.brief.surroundings.ambient.usual)]
    corners = corners_of(found, every_choice(found)[:3], conditions, base, "input")
    block = solved(circuit, corners.overrides, Overrides.column("load", "draws", LOADS))
    assert block.is_solved.all()
    return block, corners


def judged(check: Check, name: str, trust: str = "typical") -> Finding:
    block, corners = block_of(name)
    tally = Tally(check)
    tally.take(block, corners, LOADS)  # type: ignore[arg-type]
    return finding(tally, trust, ())


def whole(*findings: Finding) -> Verdict:
    return Verdict(findings, Conditions(1, 1, 0, 0, 0.0))
