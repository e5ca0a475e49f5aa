"""A person's own parts: sheet figures in a short form, kept beside the catalogue and judged as it is."""

from outboard.own_parts.adding import add
from outboard.own_parts.folders import own_shelf, own_types_said, person_folder
from outboard.own_parts.forms import form

__all__ = ["add", "form", "own_shelf", "own_types_said", "person_folder"]
