"""What draws say, in words: yield, the tightest margins and how likely, what drives them, how far the design holds."""

from collections.abc import Iterator

from rich.text import Text

from outboard.checks.draw_verdict import DrawFinding, DrawVerdict, where
from outboard.checks.drawn import Least
from outboard.checks.draws import Lot, Units
from outboard.checks.finding import judged_part
from outboard.checks.reach import Mapped, Reach
from outboard.checks.rungs import CONFIDENCE
from outboard.dossier import Dossier, ran
from outboard.network.fields import fields
from outboard.quantity import DIMENSIONS as FIELD_DIMENSIONS
from outboard.quantity import shown
from outboard.report.plate import Cell, Plate, part
from outboard.report.verify_text import DIMENSIONS, ROUNDING
from outboard.report.words import NONE, amperes, listed, plain, volts

TIGHTEST, DRIVEN = 10, 4
"""How many requirements have their likelihood told, and how many what drives them; JSON has all."""

NO_BREAK = "\u00a0"

NOTABLE = 0.03
"""Shares below this are not told, but for the strongest."""

METHODS = {"sobol": "Sobol' points", "latin": "Latin hypercubes", "plain": "independent numbers"}
GRADES = {"half the spread": "½ spread"}
CONDITIONS = {"ends": "each at all ends of input and ambient", "drawn": "each at one drawn input and ambient"}


def write(plate: Plate, dossier: Dossier) -> None:
    """Everything that the draws say, beneath the ledger of the corners."""
    found = ran(dossier.draws)
    plate.say()
    title = Text("Drawn at random", style="bold")
    if found.stopped:
        title.append(f"  partial: {count_words(found.draws)} of {count_words(found.wanted)} draws", style="bold red")
    plate.say(title)
    plate.quietly(
        f"{count_words(found.draws)} units · seed {found.seed} · {METHODS[found.method]} · "
        f"{CONDITIONS[found.conditions]} · {count_words(found.points)} points · "
        f"{found.runaway} ran away · {found.undecided} open · {plain(found.seconds, 1)} s"
    )
    for line in yield_words(found):
        plate.say(line)
    plate.hairline()
    _write_margins(plate, found)
    _write_drivers(plate, found)
    _write_reach(plate, found)


def yield_words(found: DrawVerdict) -> Iterator[str]:
    """How many units hold, with the interval; never a number for the whole while a requirement is undecided."""
    if not found.draws:
        yield "no unit was drawn"
        return
    words = f"{count_words(found.holds)} hold, {count_words(found.fails)} fail, {count_words(found.open)} are open"
    low, high = found.yields
    interval = f"{_percent(low)} to {_percent(high)} of all units hold ({100 * CONFIDENCE:.0f} % confidence)"
    if found.left_out:
        yield f"the yield is undecided, because these are: {listed(found.left_out)}"
        yield f"by all other requirements {words}: {interval}"
    else:
        yield f"{words}: {interval}"


def _write_margins(plate: Plate, found: DrawVerdict) -> None:
    decided = [finding for finding in found.ordered if not finding.missing]
    rows: list[list[Cell]] = []
    for finding in decided[:TIGHTEST]:
        hundredth = next((q.margin for q in finding.quantiles if q.share == 0.01), None)
        statistical = finding.drivers.root_sum_square if finding.drivers else None
        least = finding.least
        values = (finding.bound, least.margin if least else None, hundredth, statistical)
        rows.append([_title(finding), *(margin_words(value, finding.unit) for value in values), failing_words(finding)])
    plate.quietly("margins: of the worst corner, of the worst unit drawn, that 1 in 100 fall short of, by root sum of "
                  "squares; share of units that fail")  # fmt: skip
    plate.table(("", "corner", "drawn", "1 in 100", "squares", "fail"), rows, figures=range(1, 6))
    if len(decided) > TIGHTEST:
        plate.quietly(f"{len(decided) - TIGHTEST} more with wider margins; --json has them")
    worst = next((finding for finding in decided if finding.least is not None), None)
    if worst is not None and worst.least is not None:
        plate.quietly(
            f"tightest: draw {worst.least.draw} at {where(worst.least).replace(', ', ' · ')}; "
            f"`draws --seed {found.seed} --sampling {found.method} --number {worst.least.draw}` draws it again"
        )
    for finding in found.ordered:
        if finding.outside:
            plate.say(f"{_title(finding).plain}: of the units drawn {finding.outside} below the worst corner")
    plate.say()


def failing_words(finding: DrawFinding) -> str:
    """ "< 0.04 %" where none failed, else the interval."""
    low, high = finding.failing
    if not finding.fails:
        return f"< {_percent(high)}"
    return f"{_percent(low)} to {_percent(high)}"


def _write_drivers(plate: Plate, found: DrawVerdict) -> None:
    rows: list[list[Cell]] = []
    for finding in found.telling(DRIVEN):
        drivers = finding.drivers
        assert drivers is not None
        told = [one for one in drivers.culprits if max(one.extreme_share or 0.0, one.variance_share or 0.0) > NOTABLE]
        for place, one in enumerate(told or drivers.culprits[:1]):
            tighter = (
                ""
                if one.tightened is None
                else f"{GRADES.get(one.grade, one.grade)}: {margin_words(one.tightened, finding.unit)}"
            )
            title = Text.assemble(_title(finding), f", {margin_words(finding.bound, finding.unit)}")
            rows.append([title if place == 0 else "", one.axis, share_words(one.extreme_share),
                         share_words(one.variance_share), tighter])  # fmt: skip
    if rows:
        plate.quietly("what drives the margins, of those alike only the tightest: share of the extreme (worst corner, "
                      "each axis put back to usual), share of the variance (linear regression over the draws); margin "
                      "of that corner with the axis tightened")  # fmt: skip
        plate.table(("", "", "extreme", "variance", "tightened"), rows, figures=(2, 3))
        plate.say()


def _write_reach(plate: Plate, found: DrawVerdict) -> None:
    if found.reach is None:
        return
    reach = found.reach
    low, high = float(reach.inputs[0]), float(reach.inputs[-1])
    plate.quietly(f"how far it holds, all tolerances at their worst, on a map of {volts(low)} to {volts(high)} in and "
                  f"{amperes(float(reach.loads[0]))} to {amperes(float(reach.loads[-1]))}")  # fmt: skip
    decided = [one for one in reach.maps if not one.missing]
    limited = [one for one in decided if not one.holds.all()]
    rows: list[list[Cell]] = [
        [named(one.requirement, judged_part(one.part, one.alike)), _load(reach, one), _input(reach, one)]
        for one in limited
    ]
    if rows:
        plate.table(("", "at all promised inputs", "at all promised loads"), rows)
    others = len(decided) - len(limited)
    if others:
        plate.quietly(f"{others} more hold everywhere on the map" if rows else "all hold everywhere on the map")


def _load(reach: Reach, one: Mapped) -> str:
    most = reach.most_load(one)
    if most is None:
        return "at no load"
    return f"to {amperes(most)}" + (" or more" if most == reach.loads[-1] else "")


def _input(reach: Reach, one: Mapped) -> str:
    span = reach.input_span(one)
    if span is None:
        return "not at the promised inputs"
    low = f"{volts(span[0])} or less" if span[0] == reach.inputs[0] else volts(span[0])
    high = f"{volts(span[1])} or more" if span[1] == reach.inputs[-1] else volts(span[1])
    return f"{low} to {high}"


def write_one(plate: Plate, dossier: Dossier, lot: Lot, unit: Units, worst: tuple[Least | None, ...]) -> None:
    """One draw: where its parts lie, and its worst margins, tightest first."""
    plate.title(dossier.brief.title)
    plate.quietly(f"draw {unit.first} · seed {lot.sampling.seed} · {METHODS[lot.sampling.method]}")
    plate.hairline()
    rows: list[list[Cell]] = []
    for column, way in enumerate(lot.sampling.ways):
        place = unit.places[:1, column]
        numbers = listed(number_words(dossier, address, float(value[0])) for address, value in way.numbers(place))
        rows.append([part(way.name), plain(float(place[0]), 3), numbers])
    plate.quietly("where its parts lie: −1 least, 0 usual, 1 most")
    plate.table(("", "", ""), rows, figures=(1,))
    plate.hairline()
    judged = zip(lot.checks, worst, lot.undecidable, strict=True)
    found = sorted(
        ((least, check) for check, least, missing in judged if least is not None and not missing),
        key=lambda pair: pair[0].margin / (abs(pair[0].limit) or 1.0),
    )
    table: list[list[Cell]] = [
        [named(check.requirement, judged_part(check.part, check.alike)),
         margin_words(least.margin, "°C" if check.unit == "K" else check.unit), where(least).replace(", ", " · ")]
        for least, check in found
    ]  # fmt: skip
    plate.table(("", "margin", "worst at"), table, figures=(1,))
    if len(found) < len(lot.checks):
        plate.say(f"{len(lot.checks) - len(found)} requirements are undecided; verify says why")


def number_words(dossier: Dossier, address: tuple[str, str], value: float) -> str:
    """ "forward gain 414.1"."""
    known = dossier.design.part(address[0]).part
    dimension = FIELD_DIMENSIONS[fields(known.kind, known.model)[address[1]].dimension]
    return f"{address[1].replace('_', ' ')} {shown(value, dimension, 4)}".replace(" ", NO_BREAK)


def _title(finding: DrawFinding) -> Text:
    return named(finding.requirement, judged_part(finding.part, finding.alike))


def named(requirement: str, name: str | None) -> Text:
    return Text.assemble(requirement, " ", part(name)) if name else Text(requirement)


def margin_words(value: float | None, unit: str) -> str:
    """A margin to three digits; a dash where there is none."""
    if value is None:
        return NONE
    value = value if abs(value) > ROUNDING else 0.0
    text = shown(value, DIMENSIONS[unit], 3) if unit in DIMENSIONS else f"{value:.3g} {unit}"
    return text.replace(" ", NO_BREAK)


def share_words(value: float | None) -> str:
    """A share in whole per cent; a dash where there is none."""
    return NONE if value is None else f"{plain(100.0 * value, 0)} %"


def _percent(value: float) -> str:
    """Two digits of what is away from 0 or from 100 %."""
    if value in (0.0, 1.0):
        return f"{100.0 * value:.0f} %"
    away = min(value, 1.0 - value)
    decimals = max(0, 1 - int(f"{100.0 * away:e}".partition("e")[2]))
    return f"{100.0 * value:.{decimals}f} %"


def count_words(number: int) -> str:
    """ "1 253 782"."""
    return f"{number:,}".replace(",", " ")
