"""The map of how far a design holds as an object: SI units, margins of temperatures in K."""

from outboard.checks.reach import Mapped, Reach
from outboard.report.json_objects import like_parts

Object = dict[str, object]


def reach(found: Reach) -> Object:
    """The map: margins[input][load], null where undecided or run away; edges[input]: loads where it is 0."""
    return {
        "input_V": found.inputs, "load_A": found.loads, "promised_input_V": found.promised_inputs,
        "promised_load_A": found.promised_load, "runs_away": found.ran_away,
        "combinations_tried": found.combinations[0], "combinations": found.combinations[1],
        "requirements": [_requirement(found, one) for one in found.maps],
    }  # fmt: skip


def _requirement(found: Reach, one: Mapped) -> Object:
    least = found.least(one)
    return {
        "requirement": one.requirement, "part": one.part, **like_parts(one.alike), "unit": one.unit,
        "missing": one.missing,
        "least": None if least is None else {
            "margin": least.margin, "input_V": least.input_voltage, "load_A": least.load,
        },
        "holds_to_load_A": found.most_load(one), "holds_at_input_V": found.input_span(one),
        "edges_A": list(found.edges(one)), "undecided": int(found.undecided(one).sum()), "margins": one.margins,
    }  # fmt: skip
