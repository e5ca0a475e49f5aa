"""How far a dossier's design holds over load and input."""

from dataclasses import replace

from outboard.dossier.dossier import Dossier, NotRun
from outboard.dossier.draws import Wish, by_corners
from outboard.errors import Mistake, WrongInput


def with_reach(
    dossier: Dossier, input_voltage: float | None = None, load: float | None = None, ambient: float | None = None
) -> Dossier:
    """The dossier with the map of how far it holds, and with the verdict of the corners if it has none yet.

    WrongInput without an input or a load that could be varied.
    """
    from outboard.checks.survey import reach

    decided, lot = by_corners(dossier, Wish(1, input_voltage=input_voltage, load=load, ambient=ambient))
    found = reach(lot.corners)
    if found is None:
        raise WrongInput([nothing_to_map(dossier)])
    return replace(decided if isinstance(dossier.verdict, NotRun) else dossier, reach=found)


def nothing_to_map(dossier: Dossier) -> Mistake:
    """A design whose input or load cannot be varied has no map."""
    what = "there is no map without an input and a load that draws a current"
    return Mistake(what, "[input] with voltage, and [output] with a load above 0 A", "[output]", "--reach",
                   str(dossier.brief.file))  # fmt: skip
