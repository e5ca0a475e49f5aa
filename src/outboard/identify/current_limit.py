"""Current limit of a regulator: what the sheet prints of it, at which input-output voltage.

Sheets of fixed regulators print a typical peak and a typical short-circuit current; the least end is then the current
that the sheet guarantees.  Sheets of adjustable and low-drop regulators print the limit itself at one or two
input-output voltages; between them it falls in a straight line.
"""

from outboard.identify.records import Spread, default, derived
from outboard.parts.ratings import output_row, ratings
from outboard.parts.records import Figure, Origin, PartType

FOLDBACK_START = 10.0
"""Input-output voltage from which the current limit falls [V] (default)."""

FOLDBACK_END = 35.0
"""Input-output voltage at which it has fallen, where the sheet prints none [V] (default)."""

MOST_LIMIT = 1.5
"""Most current limit as a part of the typical one (default)."""

FIELDS = ("current_limit", "short_circuit_current", "foldback_start", "foldback_end")

Limit = tuple[dict[str, float], dict[str, Origin], Spread, str]
"""Usual values, their origins, the spread, and what the sheet leaves open ("" for nothing)."""


def current_limit(part_type: PartType) -> Limit | None:
    """The limit with its foldback; None when the sheet prints nothing of it."""
    rows = [row for row in part_type.rows("I_limit") if row.typical is not None]
    return _printed_limit(part_type, rows) if rows else _peak_and_short(part_type)


def _limit(usual: tuple[float, ...], least: tuple[float, ...], most: tuple[float, ...],
           origins: tuple[Origin, ...], ends: tuple[Origin, Origin], open_point: str = "") -> Limit:  # fmt: skip
    spread = Spread("limit", FIELDS, least, most, ends)
    return dict(zip(FIELDS, usual, strict=True)), dict(zip(FIELDS, origins, strict=True)), spread, open_point


def _upper(row: Figure) -> float:
    """Greatest input-output voltage of a row [V]."""
    ends = row.conditions.differential_voltage
    return ends[1] if ends else 0.0


def _printed_limit(part_type: PartType, rows: list[Figure]) -> Limit:
    """Limits printed at input-output voltages; of several makers the widest."""
    name = part_type.name
    first, last = min(rows, key=_upper), max(rows, key=_upper)
    here = [row for row in rows if _upper(row) == _upper(first)]
    usual = first.typical or 0.0
    low = min((row for row in here if row.least is not None), key=lambda row: row.least or 0.0, default=None)
    high = max((row for row in here if row.most is not None), key=lambda row: row.most or 0.0, default=None)
    guaranteed = ratings(part_type)["I_O"]
    least = guaranteed.value if low is None or low.least is None else low.least
    top = MOST_LIMIT * usual if high is None or high.most is None else high.most
    top = max(top, *(row.typical or 0.0 for row in here))
    at = f"current limit of {name}" + (f" at {_upper(first):g} V" if _upper(first) else "")
    origin = derived(first, "typical", at)
    ends = (
        guaranteed.origin if low is None else derived(low, "least", f"least {at}"),
        default("one and a half times the typical limit") if high is None else derived(high, "most", f"most {at}"),
    )
    if _upper(last) == _upper(first):
        open_point = f"no {at.replace(' at ', ' beyond ')} between input and output is printed"
        flat = default(f"{open_point}; taken as constant")
        tail = (FOLDBACK_START, FOLDBACK_END)
        return _limit((usual, usual, *tail), (least, least, *tail), (top, top, *tail), (origin, flat, flat, flat), ends,
                      open_point)  # fmt: skip
    far = last.typical or 0.0
    words = f"current limit of {name} at {_upper(last):g} V"
    short = derived(last, "typical", words)
    tail = (_upper(first), _upper(last))
    lowest = last.least if last.least is not None else far * least / usual
    highest = last.most if last.most is not None else far * top / usual
    return _limit((usual, far, *tail), (least, lowest, *tail), (top, highest, *tail), (origin, short, origin, short),
                  ends)  # fmt: skip


def _peak_and_short(part_type: PartType) -> Limit | None:
    """Typical peak and short-circuit current; the least end is guaranteed, over the range in which it is."""
    rated, name = ratings(part_type), part_type.name
    peak = next((row for row in part_type.rows("IPK") if row.typical is not None), None)
    short = next((row for row in part_type.rows("ISC") if row.typical is not None), None)
    guaranteed = rated.get("I_O")
    if peak is None or peak.typical is None or guaranteed is None:
        return None
    origin, ratio = derived(peak, "typical", f"I_PK of {name}"), guaranteed.value / peak.typical
    start = max(FOLDBACK_START, _guaranteed_to(part_type, guaranteed.value))
    ends = (guaranteed.origin, default("one and a half times the typical limit"))
    last, end, open_point = peak.typical, max(FOLDBACK_END, start + 1.0), ""
    if short is not None and short.typical is not None:
        last = short.typical
        end = short.conditions.input_voltage[1] if short.conditions.input_voltage else FOLDBACK_END
        fall = default("the limit falls from 10 V between input and output on")
        whole = (derived(short, "typical", f"I_SC of {name}"), fall,
                 derived(short, "typical", f"input voltage at I_SC of {name}"))  # fmt: skip
    else:
        open_point = f"I_SC of {name} is not printed"
        whole = (default(f"{open_point}; the limit taken as constant"),) * 3
    return _limit(
        (peak.typical, last, FOLDBACK_START, end), (guaranteed.value, ratio * last, start, end),
        (MOST_LIMIT * peak.typical, MOST_LIMIT * last, FOLDBACK_START, end), (origin, *whole), ends, open_point,
    )  # fmt: skip


def _guaranteed_to(part_type: PartType, current: float) -> float:
    """Input-output voltage [V] up to which the sheet guarantees the output at full current."""
    row = output_row(part_type)
    if row is None or row.conditions.input_voltage is None or row.typical is None:
        return FOLDBACK_START
    most = row.conditions.input_voltage[1] - row.typical
    return most if row.conditions.power is None else min(most, row.conditions.power / current)
