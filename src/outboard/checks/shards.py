"""Shards of a run in a folder: one file each, written whole or not at all.

`draws.json` says what is drawn, from which design; a shard is `shard-003-of-016.json`.  Whoever comes later with the
same design and the same numbers goes on; anything else is refused.
"""

import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from outboard.checks.drawn import Drawn, restored, stored
from outboard.errors import Mistake, WrongInput

PLAN = "draws.json"
FORMAT = 1


def write_whole(path: Path, text: str, replace: bool = True) -> bool:
    """Write a file so that it is there whole or not at all; False when it was there and is not to be replaced."""
    handle, draft = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if replace:
            os.replace(draft, path)
            return True
        try:
            os.link(draft, path)
        except FileExistsError:
            return False
        return True
    finally:
        Path(draft).unlink(missing_ok=True)


class Shards:
    """The folder of one run; `plan` is what it draws, `count` how many shards it has."""

    def __init__(self, folder: Path, plan: Mapping[str, Any]) -> None:
        self.folder = folder
        self.plan = plan
        self.count = int(plan["shards"])

    @classmethod
    def begun(cls, folder: Path, plan: Mapping[str, Any]) -> "Shards":
        """The folder, made when it is not there; WrongInput when it holds the draws of something else."""
        plan = {"format": FORMAT, **plan}
        try:
            folder.mkdir(parents=True, exist_ok=True)
            text = json.dumps(plan, ensure_ascii=False, indent=1)
            if not write_whole(folder / PLAN, text, replace=False):
                _refuse_other(folder, plan, read_plan(folder))
        except OSError as error:
            what = f"--save: {folder} cannot be used ({error.strerror or error})"
            raise WrongInput([Mistake(what, "a folder that may be written", where="--save")]) from None
        return cls(folder, plan)

    def path(self, number: int) -> Path:
        """The file of a shard."""
        return self.folder / f"shard-{number:03}-of-{self.count:03}.json"

    def write(self, number: int, drawn: Drawn) -> None:
        """Keep a shard."""
        write_whole(self.path(number), json.dumps(stored(drawn), separators=(",", ":")))

    def read(self, number: int) -> Drawn | None:
        """A shard that was kept; None where it is still to be done."""
        path = self.path(number)
        try:
            return restored(json.loads(path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            return None
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            what, write = f"{path} is not a shard as it was written", "nothing: delete it, and it is drawn anew"
            raise WrongInput([Mistake(what, "the file unchanged", write)]) from None


def read_plan(folder: Path) -> dict[str, Any]:
    """What a folder draws; WrongInput when it is no such folder."""
    path = folder / PLAN
    try:
        plan = json.loads(path.read_text(encoding="utf-8"))
        if plan["format"] == FORMAT:
            return dict(plan)
    except (OSError, ValueError, KeyError, TypeError):
        pass
    what = f"{folder} holds no draws"
    raise WrongInput([Mistake(what, f"a folder that --save has made, with {PLAN} in it", where="--save")])


def _refuse_other(folder: Path, wanted: Mapping[str, Any], there: Mapping[str, Any]) -> None:
    different = [key for key in wanted if wanted[key] != there.get(key) and key not in ("text", "file")]
    if different:
        said = ", ".join("the design" if key == "inputs" else f"{key} {there.get(key)}" for key in different)
        what = f"--save: {folder} holds draws of something else ({said})"
        raise WrongInput([Mistake(what, "the same design and numbers, or a new folder", where="--save")])
