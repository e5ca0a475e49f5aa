"""The values of a stage in words, each with its formula and the numbers put in."""

from collections.abc import Mapping

from rich.text import Text

from outboard.arrangements import Bound, PutIn, SizedValue, Sizing, Window
from outboard.dossier import Dossier, ran
from outboard.formulas import Worked
from outboard.formulas.written import written
from outboard.quantity import CURRENT, RESISTANCE, shown
from outboard.report.plate import QUIET, Plate
from outboard.report.words import listed, types_in_use
from outboard.sources import source

WEAK = ("typical", "recalled", "default")


def write(plate: Plate, dossier: Dossier, added: Mapping[str, float] | None) -> None:
    """Values, counts, headroom, figures; `added` are the values that went into the file, None when none were to."""
    sizing = ran(dossier.sizing)
    plate.title(dossier.brief.title)
    if dossier.brief.stage is not None:
        plate.quietly(f"{dossier.brief.stage.arrangement}: {types_in_use(dossier.design)}")
    plate.hairline()
    for value in sizing.values:
        _write_value(plate, value)
    _write_stage(plate, sizing)
    plate.hairline()
    plate.quietly("numbers put in")
    for figure in sizing.figures:
        _write_figure(plate, figure)
    plate.hairline()
    _write_sources(plate, sizing)
    if sizing.remarks:
        plate.hairline()
    for remark in sizing.remarks:
        plate.say(remark)
    if added is not None:
        pairs = listed(f"{key} = {shown(value, RESISTANCE)}" for key, value in added.items())
        plate.hairline()
        plate.say(f"written into {dossier.brief.file}: {pairs or 'nothing, for the file has every value already'}")


def _write_value(plate: Plate, value: SizedValue) -> None:
    names = value.name if len(value.names) == 1 else f"{value.names[0]} … {value.names[-1]}"
    head = Text.assemble((names, "bold"), f"  {value.role}  ")
    head.append("left out" if value.chosen is None else shown(value.chosen, RESISTANCE), style="bold")
    if value.chosen is not None:
        head.append(f"  {value.origin}" if value.origin == "sized" else "", style=QUIET)
    plate.say(head)
    if value.chosen is not None:
        plate.quietly(f"{value.series}, {value.direction}" if value.origin == "sized" else value.direction, indent=4)
    _write_worked(plate, value.worked)
    if value.window is not None:
        _write_window(plate, value.window, value.chosen)
    _write_worked(plate, value.dissipation)
    _write_worked(plate, value.needed)
    if value.construction:
        plate.say(f"take {value.construction}", indent=4)
    plate.say()


def _write_window(plate: Plate, window: Window, chosen: float | None) -> None:
    if window.is_empty:
        plate.say("no value does:", indent=4)
    else:
        inside = chosen is None or window.holds(chosen)
        ends = ends_in_words(window)
        plate.say(f"window {ends}, tolerance counted" + ("" if inside else "; this value lies outside"), indent=4)
    for bound, words in ((window.least, f"below: {window.below}"), (window.most, f"above: {window.above}")):
        plate.quietly(words, indent=6)
        _write_bound(plate, bound, indent=6)


def ends_in_words(window: Window) -> str:
    """From where to where; an open end is left out."""
    least = "" if window.least.open else f"from {shown(window.least_nominal, RESISTANCE)}"
    most = "" if window.most.open else f"to {shown(window.most_nominal, RESISTANCE)}"
    if not least and not most:
        return "open at both ends"
    return " ".join(filter(None, (least, most if least else f"up {most}")))


def _write_stage(plate: Plate, sizing: Sizing) -> None:
    count = sizing.count
    plate.say(Text.assemble(("pass devices  ", ""), (str(count.chosen), "bold")))
    _write_bound(plate, count.by_power)
    _write_bound(plate, count.by_current)
    plate.say()
    plate.say(
        Text.assemble("hand-over at a regulator current of  ", (shown(sizing.handover, CURRENT), "bold"),
                      (f"  {sizing.handover_origin}", QUIET))
    )  # fmt: skip
    plate.say()
    if sizing.headroom is not None:
        plate.say("lowest input that the stage needs")
        _write_worked(plate, sizing.headroom)
    for fact in sizing.facts:
        plate.say()
        plate.say(fact.words)
        _write_worked(plate, fact.worked)


def _write_bound(plate: Plate, bound: Bound, indent: int = 4) -> None:
    if bound.worked is not None:
        _write_worked(plate, bound.worked, indent)
    else:
        plate.say(bound.missing, indent)


def _write_worked(plate: Plate, worked: Worked | None, indent: int = 4) -> None:
    if worked is not None:
        plate.say(Text.assemble(worked.text, (f"  [{worked.formula.source}]", QUIET)), indent)


def _write_figure(plate: Plate, figure: PutIn) -> None:
    weak = " †" if figure.origin.kind in WEAK else ""
    source = f"  [{figure.origin.source}]" if figure.origin.source else ""
    line = Text.assemble(f"{figure.words}: {written(figure.value, figure.unit)}{weak}")
    plate.say(line.append(f"  {figure.origin.words}{source}", style=QUIET), indent=4)


def _write_sources(plate: Plate, sizing: Sizing) -> None:
    """The documents behind the keys in brackets."""
    worked = [work for value in sizing.values for work in (value.worked, value.dissipation, value.needed)]
    windows = [value.window for value in sizing.values if value.window is not None]
    bounds = [sizing.count.by_power, sizing.count.by_current, *(end for w in windows for end in (w.least, w.most))]
    worked += [*(bound.worked for bound in bounds), sizing.headroom, *(fact.worked for fact in sizing.facts)]
    keys = {work.formula.source for work in worked if work is not None}
    keys |= {figure.origin.source for figure in sizing.figures if figure.origin.source}
    for key in sorted(keys):
        plate.quietly(f"[{key}]  {source(key).citation}")
