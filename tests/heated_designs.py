"""Designs whose heat is judged, with and without a line of their safe area for lasting current."""

from functools import cache
from pathlib import Path

from outboard.arrangements import designed
from outboard.arrangements.design import Design
from outboard.brief import read_text
from outboard.checks.heat import HeatReport, heat_report
from outboard.checks.safe_area import REQUIREMENT

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
LINE = """
[heat.safe_area.{type}]
points = {points}
sheet = "invented, invented line, for a test"
"""


def text_of(name: str, *changed: tuple[str, str]) -> str:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    for before, after in changed:
        assert before in text
        text = text.replace(before, after, 1)
    return text


def design_of(text: str) -> Design:
    return designed(read_text(text, "trial.toml"))


@cache
def report_of(text: str) -> HeatReport:
    return heat_report(design_of(text))


OBSERVATORY, RAILWAY = text_of("observatory"), text_of("model-railway")
ATTIC = text_of("wrong-attic-server")


def with_line(text: str, points: str, part_type: str = "TIP2955", more: str = "") -> str:
    return text + LINE.format(type=part_type, points=points) + more


LASTING = with_line(RAILWAY, '[["20 V", "4.4 A"], ["60 V", "0.5 A"]]')


def verdict_on(text: str, part: str = "Q1") -> tuple[str, str]:
    found = next(one for one in report_of(text).verdict.findings
                 if one.requirement == REQUIREMENT and part in (one.part, *one.alike))  # fmt: skip
    return found.verdict, " ".join(found.missing)
