"""What draws cost, in time and memory, over their number.

    python benchmarks/draw_costs.py [--most 100000] [--workers 2]
    python benchmarks/draw_costs.py --long 1000000 [--workers 2]

Each number of draws runs in a process of its own, so that its peak of memory is its own.  What every run needs before
its first draw (start-up, corners) is measured by a run of a single block and taken off.

With --long there is one run only, of the smallest example, and the memory that it takes is printed at every tenth of
it: what grows with the number of draws would show. A million take ten minutes or so on two cores.
"""

import argparse
import json
import math
import resource
import subprocess
import sys
import time
from pathlib import Path

from outboard.arrangements import designed
from outboard.brief import read
from outboard.cases.sampling import BLOCK
from outboard.checks.draw_run import run
from outboard.checks.draws import lot

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
DESIGN, SMALLEST = EXAMPLES / "observatory.toml", EXAMPLES / "model-railway.toml"
WANTED = 10_000_000


def one(draws: int, workers: int) -> dict[str, float]:
    """Seconds of wall clock and of processor time of the draws, points, and the peak of memory [MB]."""
    found = lot(designed(read(DESIGN)), seed=1)
    run(found, BLOCK, 1)
    started, worked = time.perf_counter(), time.process_time()
    drawn = run(found, draws, workers).drawn
    seconds, worked = time.perf_counter() - started, time.process_time() - worked
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return {"draws": drawn.draws, "points": drawn.points, "wall": seconds, "processor": worked, "peak": peak}


def apart(draws: int, workers: int) -> dict[str, float]:
    """The same in a process of its own."""
    command = [sys.executable, __file__, "--one", str(draws), "--workers", str(workers)]
    found: dict[str, float] = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    return found


def memory() -> tuple[float, float]:
    """What the process holds now and what it has held at the most [MB]; now only where the system tells it."""
    tells = Path("/proc/self/statm")
    now = int(tells.read_text().split()[1]) * resource.getpagesize() / 2.0**20 if tells.exists() else math.nan
    return now, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def long(draws: int, workers: int) -> None:
    """One run, with its memory at every tenth."""
    found = lot(designed(read(SMALLEST)), seed=1)
    run(found, BLOCK, 1)
    began, tenths = time.perf_counter(), [0]
    print(f"{'draws':>10s}{'s':>8s}{'MB now':>9s}{'MB peak':>9s}", flush=True)

    def watch(done: int, wanted: int) -> None:
        if done * 10 >= tenths[0] * wanted:
            tenths[0] = done * 10 // wanted + 1
            now, peak = memory()
            print(f"{done:10d}{time.perf_counter() - began:8.1f}{now:9.1f}{peak:9.1f}", flush=True)

    drawn = run(found, draws, workers, watch).drawn
    rungs = sum(len(check.ladder.counts) for check in drawn.checks)
    print(f"{drawn.points} points; {rungs} rungs on {len(drawn.checks)} ladders")


def main() -> None:
    """Prints the curve."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--most", type=int, default=100_000)
    options.add_argument("--workers", type=int, default=2)
    options.add_argument("--long", type=int, default=0)
    options.add_argument("--one", type=int, default=0, help=argparse.SUPPRESS)
    given = options.parse_args()
    if given.one:
        print(json.dumps(one(given.one, given.workers)))
        return
    if given.long:
        long(given.long, given.workers)
        return
    counts = [1000 * 10**k for k in range(8) if 1000 * 10**k <= given.most]
    found = [apart(count, given.workers) for count in counts]
    heads = (("draws", 10), ("points", 13), ("wall s", 9), ("CPU s", 9), ("CPU µs a point", 16), ("peak MB", 9))
    print("".join(f"{head:>{width}s}" for head, width in heads) + f"{'slope':>7s}")
    for before, row in zip([None, *found], found, strict=False):
        slope = ""
        if before is not None:
            slope = f"{math.log(row['processor'] / before['processor']) / math.log(row['draws'] / before['draws']):.3f}"
        print(f"{row['draws']:10.0f}{row['points']:13.0f}{row['wall']:9.2f}{row['processor']:9.2f}"
              f"{1e6 * row['processor'] / row['points']:16.3f}{row['peak']:9.0f}{slope:>7s}")  # fmt: skip
    last = found[-1]
    decades = math.log10(WANTED / last["draws"])
    decade = last["peak"] - found[-2]["peak"] if len(found) > 1 else math.nan
    print(f"{WANTED} draws, from the last row: {last['processor'] / last['draws'] * WANTED / 60.0:.0f} min of CPU, "
          f"{last['peak'] + decades * decade:.0f} MB if every tenfold adds what the last one did")  # fmt: skip


if __name__ == "__main__":
    main()
