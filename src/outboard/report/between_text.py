"""What lies behind the least margins between the ends, in words: how sure, which tolerances, which slopes."""

from rich.text import Text

from outboard.checks.between_drivers import Slope
from outboard.checks.between_verdict import Extreme, ExtremeVerdict
from outboard.checks.finding import judged_part
from outboard.dossier import Dossier, ran
from outboard.network.fields import fields
from outboard.quantity import DIMENSIONS, TEMPERATURE, THERMAL_RESISTANCE, shown
from outboard.report.draws_text import GRADES, margin_words, named
from outboard.report.plate import Cell, Plate
from outboard.report.words import NONE

TOLD, NUMBERS = 4, 5
"""How many requirements are told, and of each how many numbers; JSON has all."""


def write(plate: Plate, dossier: Dossier) -> None:
    """The tightest margins with what moves them, beneath the ledger."""
    found = ran(dossier.extremes)
    told = _telling(found)
    if not told:
        return
    plate.say()
    plate.say(Text("Between the ends of the tolerances", style="bold"))
    plate.quietly(
        "the tightest margins, of those alike one: what each tolerance takes from the margin at its worst place, and "
        "the margin with that tolerance alone at a closer grade; then by how much the margin moves with each number, "
        "from exact slopes there"
    )
    for one in told:
        plate.say()
        _write_one(plate, dossier, one)


def _telling(found: ExtremeVerdict) -> list[Extreme]:
    """The tightest; of those in one unit with the same two strongest tolerances only the first."""
    told: dict[tuple[str, ...], Extreme] = {}
    for one in found.ordered:
        if one.between.least is not None and not one.undecidable and one.mattering:
            told.setdefault((one.between.check.unit, *(tolerance.way for tolerance in one.mattering[:2])), one)
    return list(told.values())[:TOLD]


def _write_one(plate: Plate, dossier: Dossier, one: Extreme) -> None:
    check, least = one.between.check, one.between.least
    assert least is not None and one.behind is not None
    unit = _unit(one)
    title = named(check.requirement, judged_part(check.part, check.alike))
    plate.say(Text.assemble(title, f", {margin_words(least.margin, unit)}"))
    plate.quietly(one.between.sure)
    rows: list[list[Cell]] = []
    for tolerance in one.mattering[:NUMBERS]:
        closer = "" if tolerance.tightened is None else (
            f"{GRADES.get(tolerance.grade, tolerance.grade)}: {margin_words(tolerance.tightened, unit)}"
        )  # fmt: skip
        rows.append([tolerance.words, margin_words(tolerance.gained, unit), closer])
    plate.table(("tolerance", "takes", "closer"), rows, figures=(1,))
    numbers: list[list[Cell]] = [
        [f"{slope.part} {slope.field.replace('_', ' ')}".strip(), _value(dossier, slope), _step(slope),
         margin_words(slope.by_step, unit)]
        for slope in one.behind.slopes[:NUMBERS]
    ]  # fmt: skip
    plate.table(("number", "there", "more by", "margin moves by"), numbers, figures=(1, 2, 3))


def _unit(one: Extreme) -> str:
    return "°C" if one.between.check.unit == "K" else one.between.check.unit


def _value(dossier: Dossier, slope: Slope) -> str:
    if not slope.part:
        return shown(slope.value, TEMPERATURE, 3)
    known = dossier.design.part(slope.part).part
    field = fields(known.kind, known.model).get(slope.field)
    if slope.field.startswith("heat."):
        return shown(slope.value, THERMAL_RESISTANCE, 3)
    return NONE if field is None else shown(slope.value, DIMENSIONS[field.dimension], 3)


def _step(slope: Slope) -> str:
    """One kelvin of a temperature, one per cent of anything else."""
    return "1 K" if slope.step == 1.0 and (not slope.part or "temperature" in slope.field) else "1 %"
