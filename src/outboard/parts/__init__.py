"""The catalogue of types: figures from data sheets, each with its conditions and its document."""

from outboard.parts.library import UnknownType, catalogue, find
from outboard.parts.preferred import SERIES, preferred, series_values
from outboard.parts.ratings import Rating, Ratings, ratings
from outboard.parts.records import Conditions, Figure, Origin, PartType
from outboard.parts.stock import (
    HeatSink,
    ResistorRating,
    find_stock,
    heat_sinks,
    package_resistance,
    resistor_ratings,
    sink_corrections,
    stock,
)

__all__ = [
    "SERIES",
    "Conditions",
    "Figure",
    "HeatSink",
    "Origin",
    "PartType",
    "Rating",
    "Ratings",
    "ResistorRating",
    "UnknownType",
    "catalogue",
    "find",
    "find_stock",
    "heat_sinks",
    "package_resistance",
    "preferred",
    "ratings",
    "resistor_ratings",
    "series_values",
    "sink_corrections",
    "stock",
]
