"""The design file: its content, how it is read, checked, described and edited."""

from outboard.brief.design import (
    Brief,
    Feed,
    HeatPaths,
    Input,
    Mount,
    Output,
    OwnDerating,
    PartEntry,
    Requirements,
    Stage,
    Surroundings,
)
from outboard.brief.editing import written
from outboard.brief.reading import read, read_text
from outboard.brief.schema import json_schema

__all__ = [
    "Brief",
    "Feed",
    "HeatPaths",
    "Input",
    "Mount",
    "Output",
    "OwnDerating",
    "PartEntry",
    "Requirements",
    "Stage",
    "Surroundings",
    "json_schema",
    "read",
    "read_text",
    "written",
]
