"""The picture of a division: no words on each other, the numbers that were given, the same bytes every time.

The divisions are made by hand formulas below; nothing here is solved.
"""

import os
import re
import struct
import subprocess
import sys
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from outboard.analysis.curves import Curve, Device, Difference, Division, Event, Handover
from outboard.constants import ZERO_CELSIUS
from outboard.draw.axis import Axis
from outboard.draw.division import PAGE, SCREEN, division_figure, save, write
from outboard.draw.placing import flags, spread
from outboard.draw.sheet import PNG_DOTS_PER_INCH, settings
from outboard.span import Span

PROMISED = Span(0.0, 2.0, 5.0)
AMBIENTS = {"cold": ZERO_CELSIUS - 10.0, "usual": ZERO_CELSIUS + 15.0, "hot": ZERO_CELSIUS + 40.0}


def divided(
    passes: int = 1,
    driver: bool = True,
    apart: float = 0.0,
    steepness: float = 20.0,
    takes_over: float = 0.3,
    promised: Span = PROMISED,
    ends: dict[str, float] | None = None,
    conditions: Sequence[str] = ("cold", "usual", "hot"),
    roles: bool = True,
    limits_from: float | None = None,
    down: tuple[float, float] | None = None,
    beyond: float = 1.6,
) -> Division:
    """A regulator that carries everything up to `takes_over` [A], then pass devices that take the rest.

    `apart` is how unequal the pass devices are, `steepness` how suddenly they start; beyond `ends` [A] a condition has
    no operating point.
    """
    pass_names = [f"Q{number + 1 + driver}" for number in range(passes)]
    devices = [Device("U1", "regulator", "regulator")]
    devices += [Device("Q1", "driver" if roles else "bipolar", "bipolar")] if driver else []
    devices += [Device(name, "pass device" if roles else "bipolar", "bipolar") for name in pass_names]
    load = beyond * promised.most * np.linspace(0.0, 1.0, 80) ** 2
    load = np.unique([*load, *promised])
    weights = 1.0 + apart * np.arange(passes)
    weights /= weights.sum()
    curves, handovers, events = [], [], []
    for word in conditions:
        ambient = AMBIENTS[word]
        start = takes_over * (1.0 - 0.002 * (ambient - AMBIENTS["usual"]))
        rest = start / steepness * np.logaddexp(0.0, steepness * (load / start - 1.0))
        rest = np.minimum(rest, load)
        currents = {"U1": load - rest + (0.03 * rest if driver else 0.0)}
        if driver:
            currents["Q1"] = 0.03 * rest
        currents |= {name: weight * rest * (0.97 if driver else 1.0) for name, weight in zip(pass_names, weights, strict=True)}
        powers = {name: 6.0 * current for name, current in currents.items()}
        junctions = {name: ambient + 3.0 * power for name, power in powers.items()}
        outcomes = np.where(load > (ends or {}).get(word, np.inf), 1, 0).astype(np.int8)
        for direction in ("up", "down"):
            curves.append(Curve(word, direction, 18.0, ambient, load, outcomes, np.full_like(load, 12.0), currents,
                                powers, junctions, {}, {}))  # fmt: skip
        handovers += [Handover(word, device.name, start * (1.0 + 0.4 * (device.role != "driver")), start)
                      for device in devices[1:]]  # fmt: skip
        if outcomes.any():
            gone = load[outcomes != 0]
            events.append(Event(word, "no operating point", None, float(gone[0]), float(gone[-1])))
        if limits_from is not None:
            events.append(Event(word, "limits its current", "U1", limits_from, float(load[-1])))
            events.append(Event(word, "output too low", None, 1.01 * limits_from, float(load[-1])))
    differs = tuple(Difference(word, *down, 1.0) for word in conditions) if down else ()
    return Division(tuple(devices), promised, 12.0, 0.04, tuple(curves), tuple(handovers), tuple(events), differs, ())


DIVISIONS = {
    "bare": divided(0, driver=False),
    "one pass device": divided(1, driver=False),
    **{f"{count} alike": divided(count) for count in range(1, 9)},
    **{f"{count} unequal": divided(count, apart=0.6) for count in range(2, 9)},
    "nearly alike": divided(8, apart=0.03),
    "steep": divided(2, steepness=3000.0),
    "early": divided(3, takes_over=0.004),
    "late": divided(3, takes_over=4.9),
    "milliamperes": divided(2, promised=Span(0.0001, 0.002, 0.005), takes_over=0.0003),
    "hundred amperes": divided(8, apart=1.0, promised=Span(1.0, 20.0, 100.0), takes_over=0.8),
    "one load": divided(1, promised=Span(5.0, 5.0, 5.0)),
    "ends": divided(1, ends={"usual": 6.2, "hot": 5.4, "cold": 7.1}),
    "ends at once": divided(2, ends=dict.fromkeys(AMBIENTS, 6.2)),
    "ends early": divided(8, apart=0.6, ends=dict.fromkeys(AMBIENTS, 0.7)),
    "no point at all": divided(2, ends=dict.fromkeys(AMBIENTS, -1.0)),
    "usual only": divided(2, conditions=("usual",)),
    "usual and hot": divided(2, conditions=("usual", "hot")),
    "spelt out": divided(4, apart=0.5, roles=False),
    "overload": divided(2, apart=0.2, limits_from=5.2, ends={"hot": 7.0}, down=(5.3, 6.4)),
}
TYPES = {"U1": "78M05", "Q1": "MJE15031", **{f"Q{number}": "MJE15031" for number in range(2, 10)}}


def letters(figure: Figure, dots_per_inch: float) -> list[tuple[str, tuple[float, float, float, float]]]:
    """All words with their boxes in points, as they are drawn at a resolution."""
    figure.set_dpi(dots_per_inch)
    renderer = FigureCanvasAgg(figure).get_renderer()
    with settings():
        boxes = [
            (text.get_text(), tuple(np.array(text.get_window_extent(renderer).extents) * 72.0 / dots_per_inch))
            for text in figure.texts
        ]
    figure.set_dpi(72.0)
    return boxes


@pytest.mark.parametrize("guaranteed", [{}, {"U1": 1.0}, {"U1": 1.0, "U2": 1.1}], ids=len)
@pytest.mark.parametrize("size", [PAGE, SCREEN, (300.0, 300.0)], ids=["page", "screen", "small"])
@pytest.mark.parametrize("name", DIVISIONS)
def test_no_words_touch_and_none_leave_the_sheet(name, size, guaranteed):
    figure = division_figure(DIVISIONS[name], "A supply of our own, invented", TYPES, guaranteed, size=size)
    width, height = figure.get_size_inches() * 72.0
    assert width >= size[0] - 1e-6
    for dots_per_inch in (PNG_DOTS_PER_INCH, 1000.0):     # as PNG, and fine as outlines are
        boxes = letters(figure, dots_per_inch)
        assert len(boxes) > 20
        for words, (left, bottom, right, top) in boxes:
            assert 0.0 < left < right < width and 0.0 < bottom < top < height, words
        for (words, one), (others, other) in combinations(boxes, 2):
            across = min(one[2], other[2]) - max(one[0], other[0])
            upwards = min(one[3], other[3]) - max(one[1], other[1])
            assert across <= 0.0 or upwards <= 0.0, f"“{words}” on “{others}”"


def test_words_would_be_caught_touching():
    figure = division_figure(DIVISIONS["1 alike"])
    first = next(text for text in figure.texts if text.get_text() == "heat, W")
    figure.text(first.get_position()[0] + 5.0, first.get_position()[1], "on it", transform=first.get_transform())
    boxes = [box for words, box in letters(figure, PNG_DOTS_PER_INCH) if words in ("heat, W", "on it")]
    assert min(box[2] for box in boxes) > max(box[0] for box in boxes)
