"""Cautions that go with a feed: mains, fuse, earth, stored charge, what is hot; the local code has the last word."""

from collections.abc import Iterator

from outboard.analysis.feed import FeedReport
from outboard.formulas.fuse import discharge_time
from outboard.quantity import POWER, RESISTANCE, TIME, VOLTAGE, shown

MAINS = (
    "mains kill: everything up to the secondary is work for people licensed for it, by the code of the place; unplug, "
    "make sure that it is dead, and keep primary and secondary apart in wiring and insulation"
)
FUSE = (
    "the fuse stands in the line conductor of the primary, before the switch, slow-acting; it protects against fire, "
    "not against shock"
)
EARTH = (
    "a case of metal, and a transformer's core, are bonded to protective earth before anything else, by a screw of "
    "their own"
)
SAFE = 5.0
"""Below this a reservoir makes no more sparks that matter [V] (common practice, no source)."""


def feed_cautions(report: FeedReport) -> Iterator[str]:
    """What the builder of a feed is told, always in the same order."""
    yield MAINS
    yield FUSE
    yield EARTH
    yield _charge(report)


def _charge(report: FeedReport) -> str:
    feed, crest = report.feed, report.most_crest
    energy = 0.5 * feed.reservoir * (1.0 + feed.reservoir_tolerance) * crest**2
    stored = f"stored charge: the reservoir holds up to {energy:.2g} J"
    if crest <= SAFE:
        return stored
    if feed.bleeder is None:
        wanted = 10.0 / (feed.reservoir * 2.0)
        return (f"{stored} long after the load is off: empty it through a resistor, never with a blade, and measure; a "
                f"bleeder of about {shown(wanted, RESISTANCE, 2)} would do it in some ten seconds, and take up to "
                f"{shown(crest**2 / wanted, POWER, 2)}")  # fmt: skip
    empty = discharge_time(bleeder=feed.bleeder, capacitance=feed.reservoir * (1.0 + feed.reservoir_tolerance),
                           first=crest, last=SAFE)  # fmt: skip
    heat = crest**2 / feed.bleeder
    return (f"{stored}; the bleeder needs {shown(empty, TIME, 2)} to bring it below {shown(SAFE, VOLTAGE, 1)}, and "
            f"takes up to {shown(heat, POWER, 2)}; measure before you touch")  # fmt: skip
