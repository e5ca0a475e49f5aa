"""Draws every stage that a design file can ask for and reads each picture back: clashes, and nets joined wrongly.

python benchmarks/drawing_all.py [--modes plain values ribbons] [--least 0] [--most 2592]

The whole product is 2592 stages, each with all 64 selections of what may stand around it; 166 000 drawings a mode.
"""

import argparse
import random
import sys
import time
from collections import defaultdict
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from drawn_stages import PROTECTION, DrawnStage, every_stage, longest_figures
from schematic_reading import Picture, joined_by

from outboard.draw.schematic import drawing

MODES = ("plain", "values", "ribbons")


def families() -> list[list[DrawnStage]]:
    """All stages, those together that differ in what stands around alone; the one with everything is the last.

    In an order by chance, the same every time, so that part of a run is a sample of the whole.
    """
    found: dict[object, list[DrawnStage]] = defaultdict(list)
    for stage in every_stage():
        found[stage.core, stage.sign, stage.reference, stage.count, stage.limit, stage.regulators].append(stage)
    made = [sorted(family, key=lambda stage: (len(stage.protection), stage.standing)) for family in found.values()]
    random.Random(1).shuffle(made)
    return made


def faults(family: list[DrawnStage], modes: list[str]) -> list[str]:
    """What is wrong with the drawings of a family."""
    full = family[-1]
    assert len(full.protection) == len(PROTECTION) and full.standing
    laid_out, found = full.design(), []
    for stage in family:
        design = stage.thinned(laid_out)
        parts = [part for part in design.parts if part.part.kind != "thermal_resistance"]
        for mode in modes:
            point = None if mode == "plain" else longest_figures(parts)
            seen = Picture(drawing(design, point, ribbons=mode == "ribbons"))
            if seen.clashes():
                found.append(f"{stage.name}, {mode}: {seen.clashes()[:3]}")
            if seen.nets() != joined_by(parts):
                found.append(f"{stage.name}, {mode}: joins the wrong pins")
    return found


def main() -> int:
    """Prints every fault, and how many drawings there were."""
    reader = argparse.ArgumentParser()
    reader.add_argument("--modes", nargs="+", choices=MODES, default=list(MODES))
    reader.add_argument("--least", type=int, default=0)
    reader.add_argument("--most", type=int, default=10**9)
    given = reader.parse_args()
    start, made, wrong = time.perf_counter(), 0, 0
    for number, family in enumerate(families()[given.least : given.most]):
        for line in (told := faults(family, given.modes)):
            print(line, flush=True)
        made, wrong = made + len(family) * len(given.modes), wrong + len(told)
        if number % 20 == 19:
            print(f"{made} drawings, {wrong} faults, {time.perf_counter() - start:.0f} s", flush=True)
    print(f"{made} drawings, {wrong} faults, {time.perf_counter() - start:.0f} s")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
