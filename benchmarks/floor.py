"""How far the batch is from what its arithmetic alone would take.

    python benchmarks/floor.py

A Newton step of the stage in engine.py is 860 additions, multiplications and comparisons and 24 exponentials and the
like.  The floor is the time for as many in registers, lanes side by side: no tables, no memory, no elimination order,
no decisions.  What a point costs is held against the floor of the steps that it took: without and with the last
evaluation, which takes no step and finds that the point balances.  The steps by which the sources are raised are not
counted among them, though they are in the time.  All is processor time, minima of interleaved runs.
"""

import time
from collections.abc import Callable
from functools import partial

import numba
import numpy as np
from engine import COARSE, CORNERS, FINE, PARTS, ROOM, batch, one_by_one

from outboard.network.circuit import laid_out
from outboard.network.compile import solver
from outboard.network.lane_numbers import WIDTH, lane, put
from outboard.network.overrides import Overrides
from outboard.network.solve import solved

RUNS = 9
ARITHMETIC, FUNCTIONS = 860, 24
CHAINS = 6
EACH = ARITHMETIC // (2 * CHAINS * FUNCTIONS) + 1
"""Products with sums in each chain for one exponential."""

STEPS = 2000

exp = solver().lane_exp


@numba.njit(nogil=True, error_model="numpy")
def arithmetic(numbers, steps):  # type: ignore[no-untyped-def]
    """Steps' worth of products, sums and exponentials on numbers [chain + 1, lane]."""
    a, b, c = lane(numbers, 0), lane(numbers, 1), lane(numbers, 2)
    d, e, f = lane(numbers, 3), lane(numbers, 4), lane(numbers, 5)
    factor = lane(numbers, CHAINS)
    for _ in range(steps * FUNCTIONS):
        for _ in range(EACH):
            a, b, c = a * factor + b, b * factor + c, c * factor + d
            d, e, f = d * factor + e, e * factor + f, f * factor + a
        a = exp(-a * a)
    put(numbers, 0, a + b + c + d + e + f)


def floor() -> int:
    """Newton steps of which the bare arithmetic was done."""
    numbers = np.full((CHAINS + 1) * WIDTH, 0.1)
    arithmetic(numbers, STEPS)
    return STEPS * WIDTH


def worked(work: Callable[[], int]) -> tuple[float, int]:
    """Processor seconds and what came out."""
    start = time.process_time()
    result = work()
    return time.process_time() - start, result


def main() -> None:
    """Prints the table."""
    circuit = laid_out(PARTS, ROOM)
    kinds: dict[str, Callable[[], int]] = {"floor": floor}
    iterations = {}
    for loads in (FINE, COARSE):
        gains = Overrides.column("Q2", "forward_gain", np.linspace(30.0, 90.0, CORNERS))
        notes = solved(circuit, gains, Overrides.column("load", "draws", loads), workers=1).notes
        iterations[len(loads)] = float(notes[:, :, 0].mean())
        kinds[f"batch {len(loads)}"] = partial(batch, circuit, loads, 1)
        kinds[f"scipy {len(loads)}"] = partial(one_by_one, circuit, loads)
    for work in kinds.values():
        work()
    least = dict.fromkeys(kinds, np.inf)
    points = {}
    for _ in range(RUNS):
        for kind, work in kinds.items():
            seconds, points[kind] = worked(work)
            least[kind] = min(least[kind], seconds)
    step = least["floor"] / points["floor"]
    print(f"floor of a Newton step ({ARITHMETIC} operations, {FUNCTIONS} exponentials): {1e9 * step:.0f} ns")
    for loads in iterations:
        each, other = (least[f"{kind} {loads}"] / points[f"{kind} {loads}"] for kind in ("batch", "scipy"))
        bare, looked = (each / (count * step) for count in (iterations[loads], iterations[loads] + 1.0))
        print(f"{loads} loads: {1e9 * each:.0f} ns a point in {iterations[loads]:.2f} steps: {bare:.1f} × the floor of "
              f"its steps, {looked:.1f} × with the last look; scipy.optimize.root {1e9 * other:.0f} ns, "
              f"{other / each:.0f} × the batch, one core each")  # fmt: skip


if __name__ == "__main__":
    main()
