"""What to buy for a feed: transformer, diodes, reservoir, bleeder, fuse, each with what it must bear."""

from collections.abc import Iterator
from dataclasses import dataclass

from outboard.analysis.feed import FeedReport
from outboard.analysis.feed_parts import BRIDGE
from outboard.quantity import APPARENT_POWER, CAPACITANCE, CURRENT, POWER, RESISTANCE, VOLTAGE, shown

RESISTOR_SHARE = 0.5
"""Share of its rating that a bleeder is asked for (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FeedItem:
    """One thing to buy: what it is, its value or type in words, what it bears; and its value for programs, in SI."""

    name: str
    value: str
    bears: str
    type: str = ""
    resistance: float | None = None
    capacitance: float | None = None
    power: float | None = None


def feed_items(report: FeedReport) -> Iterator[FeedItem]:
    """Everything, in the order of the current."""
    feed, crest = report.feed, report.most_crest
    if feed.fuse is not None:
        yield FeedItem("fuse", f"{shown(feed.fuse, CURRENT, 3, zeros=False)}, slow-acting", "in the line conductor")
    halves = "" if feed.rectifier == BRIDGE else "2 × "
    yield FeedItem(
        "transformer", f"{shown(feed.rated_primary, VOLTAGE, 3, zeros=False)} to {halves}"
        f"{shown(feed.secondary, VOLTAGE, 3, zeros=False)}, {shown(feed.rated_power, APPARENT_POWER, 3)}",
        f"{shown(max(cycle.secondary for cycle in report.cycles), CURRENT, 3)} effective",
    )  # fmt: skip
    count, turns = (4, 1.0) if feed.rectifier == BRIDGE else (2, 2.0)
    mean = shown(max(cycle.diode_mean for cycle in report.cycles), CURRENT, 3)
    once = shown(report.inrush.peak, CURRENT, 3)
    yield FeedItem("diodes", f"{count} × {feed.diode or 'diodes'}",
                   f"{shown(turns * crest, VOLTAGE, 3)}, mean {mean}, once {once}", feed.diode or "")  # fmt: skip
    ripple = shown(max(cycle.ripple_current for cycle in report.cycles), CURRENT, 3)
    yield FeedItem("reservoir", shown(feed.reservoir, CAPACITANCE, 3),
                   f"{shown(crest, VOLTAGE, 3)}, ripple {ripple} effective", capacitance=feed.reservoir)  # fmt: skip
    if feed.bleeder is not None:
        heat = crest**2 / feed.bleeder / RESISTOR_SHARE
        yield FeedItem("bleeder", shown(feed.bleeder, RESISTANCE, 3), f"{shown(heat, POWER, 2)}, twice its heat",
                       resistance=feed.bleeder, power=heat)  # fmt: skip
