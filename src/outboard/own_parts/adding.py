"""Taking a filled-in form among a person's own parts."""

import os
from pathlib import Path

from outboard.brief.file import file_text
from outboard.errors import Mistake, WrongInput
from outboard.files import write_text
from outboard.own_parts.folders import person_folder
from outboard.own_parts.short_form import read_own
from outboard.parts import PartType


def add(file: Path | str, replace: bool = False) -> tuple[PartType, Path]:
    """Copy a form, comments and all, into the person's folder, when nothing is wrong with it; where it went.

    WrongInput for every mistake of the form, and when a part of its name is there already, unless it is replaced.
    """
    part_type = read_own(file)
    folder = person_folder()
    if folder is None:
        raise WrongInput([Mistake("nobody's home is known here", "a folder", "OUTBOARD_PARTS=FOLDER")])
    place = folder / f"{part_type.name}.toml"
    if os.path.lexists(place) and not replace:
        what = f"there is a part {part_type.name} of your own already: {place}"
        raise WrongInput([Mistake(what, "a name of its own", "--replace to put this one in its place", "name",
                                  str(file))])  # fmt: skip
    content = file_text(Path(file))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_text(place, content)
    except OSError as error:
        what = f"{place} cannot be written ({error.strerror or error})"
        raise WrongInput([Mistake(what, "a folder that may be written", "OUTBOARD_PARTS=FOLDER")]) from None
    return part_type, place
