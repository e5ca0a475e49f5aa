"""Designs that tests verify, and their verdicts by requirement."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np

from outboard.arrangements import Design, designed
from outboard.brief import read
from outboard.cases.corners import Corners, corners_of
from outboard.checks import verification
from outboard.checks.finding import Finding, Verdict
from outboard.checks.verification import verified

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ROOT / "examples"
GOOD = ("observatory", "model-railway")
WRONG = "wrong-attic-server"


@cache
def design(name: str) -> Design:
    return designed(read(EXAMPLES / f"{name}.toml"))


@cache
def verdict(name: str) -> Verdict:
    return verified(design(name))


def by_name(found: Verdict) -> Mapping[tuple[str, str | None], Finding]:
    return {(finding.requirement, finding.part): finding for finding in found.findings}


def corners(name: str, choices: list[list[int]], surroundings: list[tuple[float, float]]) -> Corners:
    setting = verification.setting_of(design(name), 3)
    table = np.array(choices, dtype=np.int8)
    return corners_of(setting.axes, table, surroundings, setting.base, setting.input)
