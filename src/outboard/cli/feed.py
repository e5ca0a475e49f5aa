"""outboard feed: do transformer, rectifier and reservoir make the input that the stage needs?"""

from typing import TYPE_CHECKING

import click

from outboard.cli.answer import answer
from outboard.cli.figures import figure_file, theme_option, written
from outboard.cli.options import design_file, one_of, output_options

if TYPE_CHECKING:
    from outboard.draw.style import ThemeName
    from outboard.report.plate import Plate

EXITS = {"PASS": 0, "FAIL": 1, "UNDECIDED": 3}
AT = ("worst", "usual", "high")


@click.command(options_metavar="[options]")
@design_file
@click.option("--figure", metavar="FILE", help="Draw a cycle of the mains: FILE.svg or FILE.png.")
@click.option("--at", callback=one_of(AT), default="worst", metavar="WORD",
              help="Cycle that is drawn: worst, the lowest valley (unless said); usual, at usual mains and load; high, "
              "at high mains and full load.")  # fmt: skip
@theme_option
@output_options
def feed(file: str, figure: str | None, at: str, theme: "ThemeName", as_json: bool, quiet: bool) -> int:
    """Do transformer, rectifier and reservoir of [feed] make the input that the stage needs?

    Valley, mean and peak over a cycle at low, usual and high mains, from no load to full load; the share of the cycle
    in which the stage drops out; ratings, switching on, fuse. Exit code 1 when a requirement fails, 3 when one stays
    undecided.
    """
    if figure is not None:
        figure_file(figure, "cycle.svg")
    from outboard.dossier import opened, ran, with_feed

    dossier = with_feed(opened(file))
    found = ran(dossier.feed)
    if figure is not None:
        from outboard.draw import mains_cycle

        with written(figure):
            mains_cycle.write(found.report, found.report.chosen(at), figure, dossier.brief.title, theme)

    def as_object() -> object:
        from outboard.report import json_feed

        return json_feed.feed(found)

    def in_words(plate: "Plate") -> None:
        from outboard.report import feed_text

        feed_text.write(plate, dossier)

    answer(as_json, quiet, as_object, in_words)
    return EXITS[found.verdict.verdict]
