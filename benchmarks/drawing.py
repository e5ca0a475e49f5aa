"""How long a schematic takes once the program runs: plain, with figures, and with ribbons.

python benchmarks/drawing.py
"""

import statistics
import sys
import time
from pathlib import Path

from outboard.analysis.operating import operating_point
from outboard.dossier import opened
from outboard.draw.schematic import schematic

ROOT = Path(__file__).resolve().parents[1]
FILES = ("examples/observatory.toml", "tests/reference/networks/four-in-parallel.toml")
RUNS = 25


def main() -> None:
    """Prints median and most of several runs for each drawing."""
    print(f"{'drawing':55s}{'median':>10s}{'most':>10s}")
    for file in FILES:
        design = opened(ROOT / file).design
        point = operating_point(design)
        for name, at, ribbons in (("plain", None, False), ("figures", point, False), ("ribbons", point, True)):
            spent = []
            for _ in range(RUNS):
                start = time.perf_counter()
                schematic(design, at, ribbons=ribbons)
                spent.append(1e3 * (time.perf_counter() - start))
            title = f"{Path(file).name}, {name}"
            print(f"{title:55s}{statistics.median(spent):7.1f} ms{max(spent):7.1f} ms")


if __name__ == "__main__":
    sys.exit(main())
