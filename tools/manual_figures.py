"""The figures of the manual, drawn from what the verbs find out about the examples; the schematic knows both lights."""

from pathlib import Path

from manual_blocks import DOCS, ROOT


def draw(folder: Path = DOCS) -> None:
    """Write every figure into a folder: NAME.svg on light paper, NAME-dark.svg on dark."""
    from outboard.analysis.watts import tiling
    from outboard.cli.verify import hottest_point
    from outboard.dossier import (
        opened,
        ran,
        with_derivation,
        with_division,
        with_feed,
        with_heat,
        with_omission,
        with_operating_point,
        with_response,
        with_verdict,
    )
    from outboard.draw import (
        boundaries,
        division,
        mains_cycle,
        margins,
        response,
        safe_area,
        steps,
        watts,
        windows,
    )
    from outboard.draw.schematic import outlined, schematic
    from outboard.explain.asked import Asked
    from outboard.report.words import conditions_in_words

    observatory = opened(ROOT / "examples" / "observatory.toml")
    railway = with_omission(opened(ROOT / "examples" / "model-railway.toml"), ["R1"], True)
    clock = opened(ROOT / "examples" / "word-clock.toml")
    moved = ran(with_response(clock).response)
    judged = with_verdict(observatory)
    thought = with_feed(opened(ROOT / "examples" / "wrong-print-shop-feed.toml"))
    fed = ran(thought.feed).report
    derived = ran(with_derivation(observatory, Asked((), None, None, None, {})).derivation)
    divided = ran(with_division(observatory).division)
    heat = ran(with_heat(observatory).heat)
    title = observatory.brief.title
    at_full_load = ran(with_operating_point(observatory, load=5.0).operating_point)
    tiled = tiling(observatory.design, at_full_load)
    plate = outlined(schematic(observatory.design, at_full_load, ribbons=True))
    (folder / "schematic.svg").write_text(plate, encoding="utf-8")
    types = {part.name: part.type.name for part in observatory.design.parts if part.type is not None}
    rated = {part.name: part.rating("I_O") for part in observatory.design.parts if part.part.kind == "regulator"}
    guaranteed = {name: rating.value for name, rating in rated.items() if rating is not None}
    for theme, ending in (("light", ""), ("dark", "-dark")):
        margins.write(ran(judged.verdict), folder / f"margins{ending}.svg", title, judged.design,
                      hottest_point(judged), theme)  # fmt: skip
        windows.write(railway.windows, "E12", folder / f"windows{ending}.svg", railway.brief.title, theme)
        boundaries.write(derived, folder / f"boundaries{ending}.svg", title, theme)
        safe_area.write(heat.areas[0], folder / f"safe-area{ending}.svg", title, theme)
        watts.write(tiled, conditions_in_words(at_full_load.conditions), folder / f"watts{ending}.svg", title, theme)
        mains_cycle.write(fed, fed.worst, folder / f"cycle{ending}.svg", thought.brief.title, theme)
        division.write(divided, folder / f"division{ending}.svg", title, types, guaranteed, theme)
        response.write(moved.response, folder / f"response{ending}.svg", clock.brief.title, theme)
        steps.write(clock.design, moved.steps, folder / f"steps{ending}.svg", clock.brief.title, theme)
