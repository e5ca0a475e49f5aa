"""How the verbs take broken design files: every file refused at its line, or judged because it still is a design.

    python benchmarks/broken_files.py [--files 500] [--first 0] [--verbs solve,verify,…] [--processes 20]

The files are made by number from the examples (tests/broken_designs.py), each is given to one verb; a few also to a
process of its own.  Exit code 1 when a verb misbehaves: a traceback, another exit code, no place, more than 2 s
of processor time to refuse.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from pathlib import Path

from click.testing import CliRunner

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from broken_designs import KINDS, Broken, broken_design, misconduct  # noqa: E402

from outboard.cli.program import program  # noqa: E402

VERBS = ("solve", "verify", "size", "divide", "expand", "omit", "faults")
SLOWEST, SLOWEST_JUDGED = 2.0, 20.0
START = "import sys; from outboard.cli import main; sys.exit(main(sys.argv[1:]))"


def in_process(arguments: list[str]) -> tuple[int, str, str]:
    """A verb in this process."""
    result = CliRunner().invoke(program, arguments)
    return result.exit_code, result.stdout, result.stderr


def on_its_own(arguments: list[str]) -> tuple[int, str, str]:
    """A verb in a process of its own."""
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src")}
    ended = subprocess.run([sys.executable, "-c", START, *arguments], capture_output=True, text=True, env=environment,
                           check=False, timeout=60)  # fmt: skip
    return ended.returncode, ended.stdout, ended.stderr


def used() -> float:
    """Seconds of processor time of this process and of those that it started: others may be at work here too."""
    return sum(os.times()[:4])


def main() -> int:
    """Prints a table by kind of damage, then each file that was taken badly."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--files", type=int, default=500)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--verbs", default=",".join(VERBS))
    parser.add_argument("--processes", type=int, default=20)
    asked = parser.parse_args()
    verbs = asked.verbs.split(",")
    codes: dict[str, Counter[int]] = defaultdict(Counter)
    slowest: dict[str, float] = defaultdict(float)
    bad: list[tuple[Broken, str, list[str]]] = []
    CliRunner().invoke(program, ["verify", str(ROOT / "examples" / "model-railway.toml"), "--quiet"])  # loads, compiles
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(asked.first, asked.first + asked.files):
            broken = broken_design(seed, Path(folder))
            verb = verbs[seed // len(KINDS) % len(verbs)]
            ways = [in_process] + [on_its_own] * (seed % max(asked.files // max(asked.processes, 1), 1) == 0)
            for way in ways:
                start = used()
                code, stdout, stderr = way([verb, str(broken.path)])
                seconds = used() - start
                codes[broken.kind][code] += 1
                slowest[broken.kind] = max(slowest[broken.kind], seconds if code == 2 else 0.0)
                found = misconduct(broken, code, stdout, stderr, seconds, SLOWEST if code == 2 else SLOWEST_JUDGED)
                if found:
                    bad.append((broken, verb, found))
    print(f"{'damage':24s}{'refused':>9s}{'judged':>8s}{'slowest refusal':>18s}")
    for kind in KINDS:
        judged = sum(count for code, count in codes[kind].items() if code != 2)
        print(f"{kind:24s}{codes[kind][2]:9d}{judged:8d}{slowest[kind]:16.2f} s")
    refused = sum(count[2] for count in codes.values())
    print(f"{sum(sum(count.values()) for count in codes.values())} runs, {refused} refused, {len(bad)} taken badly")
    for broken, verb, found in bad:
        print(f"  {broken.seed} {broken.kind}, {verb}: {'; '.join(dict.fromkeys(found))[:400]}")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
