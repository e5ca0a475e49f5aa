"""One figure of a sheet against what the identified device does."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Deviation:
    """One figure against the model: which end of which axis, what the model does, what is printed, by how much off.

    relative   (model − printed)/printed; 0 when the figure is a bound and the model stays inside
    """

    part: str
    figure: str
    at: str
    end: str
    model: float
    printed: float
    relative: float


def exact(part: str, figure: str, at: str, end: str, model: float, printed: float) -> Deviation:
    """A figure that the model has to give back."""
    return Deviation(part, figure, at, end, model, printed, (model - printed) / printed)


def below(part: str, figure: str, at: str, end: str, model: float, printed: float) -> Deviation:
    """A figure that the model may not exceed."""
    return Deviation(part, figure, at, end, model, printed, max(0.0, model - printed) / abs(printed))


def above(part: str, figure: str, at: str, end: str, model: float, printed: float) -> Deviation:
    """A figure that the model may not fall below."""
    return Deviation(part, figure, at, end, model, printed, min(0.0, model - printed) / abs(printed))
