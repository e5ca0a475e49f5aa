"""A sheet of paper to draw on, measured in points from its lower left corner, and how it becomes a file."""

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.colors import to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.transforms import Affine2D

from outboard.draw.placing import Box
from outboard.draw.style import (
    HAIRLINE,
    POINTS_PER_INCH,
    SETTINGS,
    SOLID,
    THEMES,
    THIN,
    Dash,
    Lettering,
    ThemeName,
    font,
)
from outboard.files import write_bytes

PNG_DOTS_PER_INCH = 200.0
NOTHING = ("Creator", "Date", "Format", "Type")
"""What the library would write about itself and the hour."""


KEPT = {"backend", "backend_fallback", "toolbar", "interactive"}
"""How the person shows figures is the person's business."""


@contextmanager
def settings() -> Iterator[None]:
    """The library as it comes from its makers, with our settings; the person's own are put back."""
    plain: dict[Any, Any] = {key: value for key, value in matplotlib.rcParamsDefault.items() if key not in KEPT}
    plain.update(SETTINGS)
    with matplotlib.rc_context(plain):
        yield


class Sheet:
    """A figure of a given size [pt] in a theme; to be used within `settings`."""

    def __init__(self, width: float, height: float, theme: ThemeName, title: str) -> None:
        self.theme = THEMES[theme]
        self.width, self.height = width, height
        self.figure = Figure((width / POINTS_PER_INCH, height / POINTS_PER_INCH), dpi=POINTS_PER_INCH,
                             facecolor=self.theme.paper, edgecolor="none")  # fmt: skip
        self.figure.set_label(title)
        FigureCanvasAgg(self.figure)
        self._points = Affine2D().scale(1.0 / POINTS_PER_INCH) + self.figure.dpi_scale_trans

    def letter(
        self, x: float, y: float, words: str, lettering: Lettering, colour: str | None = None, align: str = "left",
        backed: bool = False,
    ) -> None:  # fmt: skip
        """Words on a base line; `backed` by paper, where hairlines run behind them."""
        self.figure.text(
            x, y, words, transform=self._points, fontproperties=font(lettering), color=colour or self.theme.ink,
            horizontalalignment=align, verticalalignment="baseline",
            bbox={"facecolor": self.theme.paper, "edgecolor": "none", "pad": 0.8} if backed else None,
        )  # fmt: skip

    def rule(
        self, xs: Sequence[float], ys: Sequence[float], colour: str | None = None, weight: float = HAIRLINE,
        dash: Dash = SOLID, name: str | None = None, above: bool = False,
    ) -> None:  # fmt: skip
        """A stroke on the paper itself, beneath all curves unless `above` them; `name` becomes its id."""
        line = Line2D(xs, ys, color=colour or self.theme.ink2, linewidth=weight, zorder=-0.6 if above else -1.0)
        line.set_linestyle((0.0, dash) if dash else "solid")
        line.set_transform(self._points)
        line.set_gid(name)
        self.figure.add_artist(line)

    def block(self, box: Box, colour: str, wash: float, weight: float = THIN, name: str | None = None) -> None:
        """A rectangle with an edge of ink, washed as strongly as `wash` says; `name` becomes its id."""
        block = Rectangle((box.left, box.bottom), box.right - box.left, box.top - box.bottom, zorder=-0.8,
                          facecolor=to_rgba(colour, wash), edgecolor=self.theme.ink, linewidth=weight)  # fmt: skip
        block.set_transform(self._points)
        block.set_gid(name)
        self.figure.add_artist(block)

    def mark(self, x: float, y: float, shape: str, size: float, colour: str, hollow: bool = False) -> None:
        """A small shape on the paper: o, s, v."""
        mark = Line2D([x], [y], linestyle="none", marker=shape, markersize=size, markeredgecolor=colour,
                      markerfacecolor=self.theme.paper if hollow else colour, zorder=-0.5)  # fmt: skip
        mark.set_transform(self._points)
        self.figure.add_artist(mark)

    def panel(self, left: float, bottom: float, width: float, height: float) -> Axes:
        """Bare axes: no frame, no ticks, no fill."""
        axes = self.figure.add_axes(
            (left / self.width, bottom / self.height, width / self.width, height / self.height), facecolor="none"
        )
        axes.set_axis_off()
        return axes


def save(figure: Figure, path: str | Path) -> None:
    """Write a figure as .svg or .png; the same figure gives the same bytes. ValueError for any other ending."""
    path = Path(path)
    ending = path.suffix.lower()
    if ending not in {".svg", ".png"}:
        raise ValueError(f"a figure is written as .svg or .png, not as “{path.name}”")
    content = _svg(figure) if ending == ".svg" else _png(figure)
    write_bytes(path, content)


def svg_text(figure: Figure) -> str:
    """The figure as the text of an SVG file, without what only a file needs before it."""
    return _svg(figure).decode("utf-8").partition("?>\n")[2]


def _svg(figure: Figure) -> bytes:
    """With its title, and without the reference to a document type on the network: no reader of SVG needs it."""
    stream = io.StringIO()
    with settings():
        FigureCanvasSVG(figure).print_svg(stream, metadata=dict.fromkeys(NOTHING))  # type: ignore[no-untyped-call]
    before, _, rest = stream.getvalue().partition("<!DOCTYPE")
    tag, _, content = rest.partition(">\n")[2].partition(">\n")
    return f"{before}{tag} role=\"img\">\n <title>{escape(str(figure.get_label()))}</title>\n{content}".encode()


def _png(figure: Figure) -> bytes:
    stream = io.BytesIO()
    with settings():
        figure.set_canvas(FigureCanvasAgg(figure))
        figure.savefig(stream, format="png", dpi=PNG_DOTS_PER_INCH, facecolor=figure.get_facecolor(),
                       metadata={"Software": None})  # fmt: skip
    return stream.getvalue()
