"""Designs whose units are drawn, runs of them as a person or a program starts them, and what is told of both."""

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from outboard.arrangements import Design, designed
from outboard.brief import read, read_text
from outboard.checks.drawn import Drawn, stored
from outboard.checks.draws import Lot, lot
from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ROOT / "examples"
RAILWAY = EXAMPLES / "model-railway.toml"
GOOD = ("observatory", "model-railway")


def design(name: str, **changed: Any) -> Design:
    found = designed(read(EXAMPLES / f"{name}.toml"))
    tolerances = replace(found.brief.tolerances, **changed)
    return replace(found, brief=replace(found.brief, tolerances=tolerances))


@cache
def lot_of(name: str, seed: int = 1) -> Lot:
    return lot(design(name), seed)


def told(drawn: Drawn) -> str:
    """All that is kept, to the bit."""
    return json.dumps(stored(drawn))


SEVERAL = """
title = "Invented: three pass devices in parallel"
[input]
voltage = ["17 V", "19 V", "21 V"]
[output]
voltage = "12 V"
tolerance = "6 %"
load = ["0.1 A", "3 A", "6 A"]
[tolerances]
batch = "{batch}"
[stage]
arrangement = "bypass"
regulator = "7812"
pass = "MJ2955"
count = 3
ballast = "0.1 Ω"
resistors = "5 %"
[heat.sinks]
main = "0.4 K/W"
[heat]
pass = {{ sink = "main", pad = "0.5 K/W" }}
regulator = {{ sink = "main", pad = "1 K/W" }}
"""


def several(batch: str) -> Lot:
    return lot(designed(read_text(SEVERAL.format(batch=batch), "several.toml")), seed=3)


def outboard(*arguments: str) -> Result:
    return CliRunner().invoke(program, list(arguments))
