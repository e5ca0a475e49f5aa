"""How long the faults of a design of twenty parts take, warm, and what one edit of it costs.

    python benchmarks/faults.py

The design is invented: a compound with four ballasted pass devices beside an observatory's brief.
"""

import statistics
import time
from pathlib import Path

from outboard.arrangements import designed
from outboard.brief import read_text
from outboard.network import edits
from outboard.whatif.effect import circumstances
from outboard.whatif.faults import fault_report

EXAMPLE = Path(__file__).parents[1] / "examples" / "observatory.toml"
RUNS = 3


def main() -> None:
    """Prints parts, faults, lanes, seconds, and the cost of one edit laid out anew."""
    text = EXAMPLE.read_text(encoding="utf-8").replace('pass        = "2N3055"', 'pass        = "2N3055"\ncount = 4')
    design = designed(read_text(text, "four.toml"))
    around = circumstances(design)
    lanes = len(around.corners) * len(around.loads)
    report = fault_report(design)
    seconds = [fault_report(design).seconds for _ in range(RUNS)]
    edited = []
    for part in design.components:
        if part.kind == "resistor":
            started = time.perf_counter()
            edits.edited(edits.left_out(design.components, part.name), 298.15)
            edited.append(1e3 * (time.perf_counter() - started))
    print(f"{len(design.parts)} parts, {len(report.outcomes)} faults, {lanes} lanes each")
    print(f"all faults followed: median of {RUNS} {statistics.median(seconds):.2f} s")
    print(f"one edit laid out anew: at most {max(edited):.2f} ms")


if __name__ == "__main__":
    main()
