"""How many random units lie outside of what the corners bound, how fast they are drawn, and in how much memory.

    python benchmarks/draws.py [--draws 200000] [--workers 2]

The draws are shared out among the designs; all spreads are uniform, which
reaches the corners of the box more often than the bells that `verify` assumes.
"""

import argparse
import resource
import sys
import time
from dataclasses import replace
from pathlib import Path

from outboard.arrangements import Design, designed
from outboard.brief import read, read_text
from outboard.brief.design import Tolerances
from outboard.checks.draw_run import run
from outboard.checks.draws import lot

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
EVERYWHERE = Tolerances(
    gain="uniform", V_BE="uniform", leakage="uniform", regulator="uniform", forward_voltage="uniform"
)
SEVERAL = """
title = "Invented: {count} pass devices in parallel"
[input]
voltage = ["17 V", "19 V", "21 V"]
[output]
voltage = "12 V"
tolerance = "6 %"
load = ["0.1 A", "3 A", "6 A"]
[stage]
arrangement = "bypass"
regulator = "7812"
pass = "MJ2955"
count = {count}
ballast = "0.1 Ω"
resistors = "5 %"
[heat.sinks]
main = "0.4 K/W"
[heat]
pass = {{ sink = "main", pad = "0.5 K/W" }}
regulator = {{ sink = "main", pad = "1 K/W" }}
"""


def designs() -> dict[str, Design]:
    """Two examples, and stages with two and with four pass devices."""
    found = {name: designed(read(EXAMPLES / f"{name}.toml")) for name in ("observatory", "model-railway")}
    for count in (2, 4):
        found[f"{count} in parallel"] = designed(read_text(SEVERAL.format(count=count), "several.toml"))
    return {name: replace(one, brief=replace(one.brief, tolerances=EVERYWHERE)) for name, one in found.items()}


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--draws", type=int, default=200_000)
    options.add_argument("--workers", type=int, default=2)
    given = options.parse_args()
    chosen = designs()
    outside = 0
    for name, design in chosen.items():
        found = lot(design, seed=1)
        started, worked = time.perf_counter(), time.process_time()
        drawn = run(found, given.draws // len(chosen), given.workers).drawn
        seconds, worked = time.perf_counter() - started, time.process_time() - worked
        beyond = sum(check.outside for check in drawn.checks)
        outside += beyond
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        speed = drawn.points / seconds
        print(f"{name}: {drawn.draws} draws, {drawn.points} points, {seconds:.1f} s, {worked:.1f} s of CPU, "
              f"{speed:.0f} points/s, {drawn.open} open, {beyond} outside, {peak:.0f} MB at most")  # fmt: skip
        for check, bound, kept in zip(found.checks, found.bounds, drawn.checks, strict=True):
            if kept.outside and kept.least is not None:
                print(f"    {check.requirement} {check.part or ''}: {kept.outside} below {bound:.6g}, "
                      f"least {kept.least.margin:.6g} (draw {kept.least.draw})")  # fmt: skip
    print(f"{outside} of {given.draws} draws outside of the corners")
    return 1 if outside else 0


if __name__ == "__main__":
    sys.exit(main())
