"""How long a person waits for the first words and for a verdict: wall times of whole processes.

python benchmarks/startup.py
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
RUNS = 5
EXITS = (0, 1, 2, 3)
"""What the verbs may answer; anything else is a failure of the benchmark, not a time."""


def commands() -> dict[str, list[str]]:
    """What is started: help, and the verdict on an example."""
    found = {"--help": ["--help"]}
    for example in sorted((ROOT / "examples").glob("*.toml"))[:1]:
        found[f"verify {example.name}"] = ["verify", str(example)]
    return found


def wall_time(arguments: list[str]) -> float:
    """Seconds from start to end of one process."""
    start = time.perf_counter()
    ended = subprocess.run([str(ROOT / "run"), *arguments], capture_output=True, text=True, check=False)
    spent = time.perf_counter() - start
    if ended.returncode not in EXITS:
        raise SystemExit(f"./run {' '.join(arguments)} ended with {ended.returncode}: {ended.stderr.strip()[-300:]}")
    return spent


def main() -> None:
    """Prints the medians of interleaved runs; the first of each is not counted, for it may compile."""
    wanted = commands()
    times: dict[str, list[float]] = {name: [] for name in wanted}
    for run in range(RUNS + 1):
        for name, arguments in wanted.items():
            spent = wall_time(arguments)
            if run:
                times[name].append(spent)
    print(f"{'command':45s}{'median':>10s}{'least':>10s}{'most':>10s}")
    for name, spent in times.items():
        row = [1e3 * figure for figure in (statistics.median(spent), min(spent), max(spent))]
        print(f"{name:45s}" + "".join(f"{figure:7.0f} ms" for figure in row))


if __name__ == "__main__":
    sys.exit(main())
