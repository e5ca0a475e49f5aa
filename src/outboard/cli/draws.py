"""outboard draws: a shard of very many draws, or one draw again."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outboard.cli.answer import answer
from outboard.cli.draw_options import drawing_options, number_of_draws, progress, shard_of, stopped_by_hand, wished
from outboard.cli.options import ambient_option, design_file, input_option, load_option, output_options, whole
from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.checks.draw_run import Run
    from outboard.dossier.draws import Wish
    from outboard.report.plate import Plate

INTERRUPTED = 130


def _number(ctx: click.Context, param: click.Parameter, value: str | None) -> int | None:
    return None if value is None else int(whole(0, 999_999_999)(ctx, param, value))


@click.command(options_metavar="[options]")
@design_file
@click.option("--draws", callback=number_of_draws, metavar="NUMBER", help="How many there are in all shards together.")
@click.option("--shard", callback=shard_of, metavar="K/N", help="Draw this shard of so many, and keep it with --save.")
@click.option("--dask", "address", metavar="ADDRESS",
              help="Hand all shards to a running cluster of dask.distributed; kept with --save.")  # fmt: skip
@click.option("--number", callback=_number, metavar="NUMBER", help="Draw this one again: its parts, its worst margins.")
@drawing_options
@input_option("Only this input voltage instead of the promised span.")
@load_option("Only this load instead of the promised span.")
@ambient_option("Only this ambient temperature instead of the promised span.")
@output_options
def draws(
    file: str, draws: int | None, shard: tuple[int, int] | None, address: str | None, number: int | None,
    folder: str | None, as_json: bool, quiet: bool, **options: Any,
) -> int:  # fmt: skip
    """Units drawn at random, shard by shard on one machine or many, or one of them again.

    With --shard 3/16 --draws 1000000 --save FOLDER a sixteenth of a million units is drawn and kept; `merge` puts the
    shards of a folder together. With --dask tcp://HOST:8786 the workers of a cluster draw all shards that FOLDER lacks;
    what a lost worker leaves is drawn again, nothing counts twice. With --number the unit of that number is drawn again
    (same seed, same sampling), with the values of its parts and its worst margin by every requirement.
    """
    if number is not None:
        return _again(file, number, as_json, quiet, options)
    if draws is None or folder is None or (shard is None) == (address is None):
        raise _told(draws, folder, shard, address)
    found = _shards(file, wished(draws, options), Path(folder), shard, address, quiet)
    made = found.drawn
    content = {
        **({"cluster": address} if shard is None else {"shard": shard[0], "shards": shard[1]}),
        "folder": folder, "stopped": found.stopped, "wanted": found.wanted,
        "draws": made.draws, "holds": made.holds, "fails": made.fails, "open": made.open,
    }  # fmt: skip

    def in_words(plate: "Plate") -> None:
        if shard is None:
            more = f" of {found.wanted}; the same command again goes on" if found.stopped else ""
            plate.say(f"{made.draws} draws kept in {folder}{more}")
        else:
            kept = "not kept, because it was ended early" if found.stopped else f"kept in {folder}"
            plate.say(f"shard {shard[0]} of {shard[1]}: {made.draws} draws, {kept}")
        plate.quietly(f"{made.holds} hold, {made.fails} fail, {made.open} open")

    answer(as_json, quiet, lambda: content, in_words)
    return INTERRUPTED if found.stopped else 0


def _shards(
    file: str, wish: "Wish", folder: Path, shard: tuple[int, int] | None, address: str | None, quiet: bool
) -> "Run":
    """One shard drawn here, or all by a cluster."""
    from outboard.dossier import opened

    with stopped_by_hand() as stop, progress(quiet) as watch:
        dossier = opened(file)
        if shard is not None:
            from outboard.dossier.draws import drawn_shard

            return drawn_shard(dossier, wish, watch, stop, folder, *shard)
        from outboard.dossier.cluster import drawn_by_cluster

        return drawn_by_cluster(dossier, wish, watch, stop, folder, str(address))


def _told(draws: int | None, folder: str | None, shard: tuple[int, int] | None, address: str | None) -> WrongInput:
    """What is wrong with how shards were asked for."""
    write = "--draws 1000000 --shard 3/16 --save FOLDER"
    if shard is not None and address is not None:
        return WrongInput([Mistake("--shard and --dask at once", "one of them", write, "--dask")])
    given: dict[str, object] = {"--draws": draws, "--save": folder}
    if address is None:
        given["--shard"] = shard
    missing = [name for name, value in given.items() if value is None]
    what = f"draws needs {', '.join(missing)}" + ("; or --number" if len(missing) == 3 else "")
    expected = "a shard to draw, or a cluster that draws all, or the number of one draw"
    return WrongInput([Mistake(what, expected, write, missing[0])])


def _again(file: str, number: int, as_json: bool, quiet: bool, options: dict[str, Any]) -> int:
    """One draw, with its parts and its worst margins."""
    from outboard.dossier import opened
    from outboard.dossier.draws import replay

    dossier = opened(file)
    lot, unit, worst = replay(dossier, wished(number + 1, options), number)

    def as_object() -> object:
        from outboard.report import json_draws

        return json_draws.one_draw(lot, unit, worst)

    def in_words(plate: "Plate") -> None:
        from outboard.report import draws_text

        draws_text.write_one(plate, dossier, lot, unit, worst)

    answer(as_json, quiet, as_object, in_words)
    undecided = any(lot.undecidable) or any(least is None for least in worst)
    fails = any(least is not None and least.margin < 0.0 for least in worst)
    return 1 if fails else 3 if undecided else 0
