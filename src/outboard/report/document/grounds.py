"""A figure drawn by day, put on white paper or on a screen that may turn dark."""

from outboard.draw.style import THEMES

DAY, NIGHT = THEMES["light"], THEMES["dark"]
NAMES = ("paper", "ink", "ink2", "hairline", "driver", "pass_device")
"""The colours of a theme by which a screen tells day from night; the regulator is drawn in ink."""


def on_paper(svg: str) -> str:
    """The figure on white."""
    return svg.replace(DAY.paper, "#ffffff")


def on_screen(svg: str) -> str:
    """The figure in the colours that the page gives, by name."""
    for name in NAMES:
        svg = svg.replace(getattr(DAY, name), f"var(--{name.replace('_', '-')})")
    return svg


def variables() -> tuple[str, str]:
    """The colours by day and by night, as declarations for a page."""
    return tuple(  # type: ignore[return-value]
        ";".join(f"--{name.replace('_', '-')}:{getattr(theme, name)}" for name in NAMES) for theme in (DAY, NIGHT)
    )
