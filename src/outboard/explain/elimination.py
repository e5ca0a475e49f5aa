"""Which equations are needed, in which order unknowns are put in, and what is solved as a block in the end."""

from typing import Any

from outboard.explain.rows import ONE
from outboard.explain.tidying import Poly

WANTED = "wanted"
"""The unknown that is asked for."""


def next_pivot(system: list[dict[str, Poly]]) -> tuple[int, str] | None:
    """The next unknown to be put in: coefficient ±1, shortest equation first; never the wanted one."""
    best: tuple[int, int, int, str] | None = None
    if len(system) < 2:
        return None
    for i, row in enumerate(system):
        weight = sum(len(factor) for factor in row.values())
        for unknown, factor in row.items():
            if unknown not in (ONE, WANTED) and factor in (1, -1):
                uses = sum(unknown in other for other in system)
                entry = (weight * uses, i, uses, unknown)
                if best is None or entry < best:
                    best = entry
    return None if best is None else (best[1], best[3])


def needed(system: list[tuple[int, dict[str, Poly]]]) -> list[tuple[int, dict[str, Poly]]]:
    """Only the equations that the wanted quantity rests on: each unknown matched with one equation, then followed."""
    match: dict[str, int] = {}

    def place(i: int, seen: set[str]) -> bool:
        for unknown in system[i][1]:
            if unknown == ONE or unknown in seen:
                continue
            seen.add(unknown)
            if unknown not in match or place(match[unknown], seen):
                match[unknown] = i
                return True
        return False

    for i in range(len(system)):
        place(i, set())
    wanted, chosen = [WANTED], []
    known = {WANTED}
    while wanted:
        unknown = wanted.pop()
        if unknown not in match:
            raise ArithmeticError(f"not determined: {unknown}")
        i = match[unknown]
        chosen.append(i)
        for other in system[i][1]:
            if other != ONE and other not in known:
                known.add(other)
                wanted.append(other)
    return [system[i] for i in sorted(set(chosen))]


def block(system: list[dict[str, Poly]], ring: Any) -> tuple[Poly, Poly]:
    """What no unknown can be put into any more, solved at once; the wanted quantity over the common denominator."""
    from sympy.polys.matrices import DomainMatrix

    domain = ring.to_domain()
    unknowns = sorted({u for row in system for u in row if u != ONE})
    if len(unknowns) != len(system):
        raise ArithmeticError("not determined")
    matrix = [[row.get(u, ring.zero) for u in unknowns] for row in system]
    right = [[-row.get(ONE, ring.zero)] for row in system]
    size = len(system)
    made: Any = DomainMatrix  # sympy's matrices carry no types
    found, under = made(matrix, (size, size), domain).to_sparse().solve_den(
        made(right, (size, 1), domain).to_sparse()
    )  # fmt: skip
    return found.to_list()[unknowns.index(WANTED)][0], under
