"""Words on a figure, measured as they are drawn."""

from itertools import combinations

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from outboard.draw.sheet import PNG_DOTS_PER_INCH, settings


def no_words_touch(figure: Figure) -> None:
    """Fails where words lie on words or leave the sheet, and where there are hardly any."""
    width, height = figure.get_size_inches() * 72.0
    figure.set_dpi(PNG_DOTS_PER_INCH)
    renderer = FigureCanvasAgg(figure).get_renderer()
    with settings():
        boxes = [(text.get_text(), np.array(text.get_window_extent(renderer).extents) * 72.0 / PNG_DOTS_PER_INCH)
                 for text in figure.texts]  # fmt: skip
    assert len(boxes) > 2
    for words, (left, bottom, right, top) in boxes:
        assert 0.0 < left < right < width and 0.0 < bottom < top < height, words
    for (words, one), (others, other) in combinations(boxes, 2):
        across, upwards = min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1])
        assert across <= 0.0 or upwards <= 0.5, f"“{words}” on “{others}”"
