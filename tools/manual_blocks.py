"""The command blocks of the manual: what they call, run in a folder of its own, and what of the answer is shown.

A block with the word `console` holds lines that begin with `$ ` and what came out below each. `lines=1-4,9` shows these
lines of the answer and “…” for the others; `exit=1` says how the last command ends. A block with `file=NAME` is written
into the folder before what follows it is run. The examples lie in the folder too.
"""

import contextlib
import io
import os
import re
import shlex
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
BLOCK = re.compile(r"^```(?P<words>[^\n`]+)\n(?P<content>.*?)^```$", re.MULTILINE | re.DOTALL)
PROMPT = "$ "
CUT = "…"


class BlockFails(AssertionError):
    """A command of the manual does not do what the manual says."""


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block: its language, what else its first line says, its content and where that lies in the page."""

    language: str
    marks: dict[str, str]
    content: str
    start: int
    end: int

    @property
    def commands(self) -> list[str]:
        """What a person types."""
        return [line.removeprefix(PROMPT) for line in self.content.splitlines() if line.startswith(PROMPT)]


def blocks(text: str) -> Iterator[Block]:
    """The fenced blocks of a page."""
    for found in BLOCK.finditer(text):
        language, *words = found["words"].split()
        marks = dict(word.partition("=")[::2] for word in words)
        yield Block(language, marks, found["content"], found.start("content"), found.end("content"))


def renewed(text: str) -> str:
    """A page with every answer as it comes out now; BlockFails where a command ends otherwise than it says."""
    pieces, done = [], 0
    with workplace():
        for block in blocks(text):
            pieces.append(text[done:block.start])
            done = block.end
            if "file" in block.marks:
                Path(block.marks["file"]).write_text(block.content, encoding="utf-8")
            pieces.append(_answered(block) if block.language == "console" else block.content)
    return "".join((*pieces, text[done:]))


@contextlib.contextmanager
def workplace() -> Iterator[Path]:
    """A folder with the examples, without a person's own parts, in which the page's commands run."""
    before, kept = os.getcwd(), {name: os.environ.get(name) for name in ("COLUMNS", "OUTBOARD_PARTS")}
    with tempfile.TemporaryDirectory() as folder:
        for example in (ROOT / "examples").glob("*.toml"):
            shutil.copy(example, folder)
        os.environ.update(COLUMNS="100", OUTBOARD_PARTS=str(Path(folder, "own")))
        os.chdir(folder)
        try:
            yield Path(folder)
        finally:
            os.chdir(before)
            for name, value in kept.items():
                os.environ.pop(name, None) if value is None else os.environ.update({name: value})


def _answered(block: Block) -> str:
    lines, code = [], 0
    for command in block.commands:
        said, code = answer(command)
        lines += [PROMPT + command, *_shown(said.rstrip("\n").splitlines(), block.marks.get("lines", ""))]
    if code != int(block.marks.get("exit", "0")):
        raise BlockFails(f"“{block.commands[-1]}” ends with {code}:\n" + "\n".join(lines))
    return "".join(f"{line.rstrip()}\n" for line in lines)


def answer(command: str) -> tuple[str, int]:
    """What a command says on both streams, and its exit code; `> FILE` at its end takes what it prints."""
    from outboard.cli import main

    words, _, target = command.partition(" > ")
    program, *arguments = shlex.split(words)
    if program != "outboard":
        raise BlockFails(f"“{command}” calls another program")
    told = io.StringIO()
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
        code = main(arguments)
    if target:
        Path(target.strip()).write_text(told.getvalue(), encoding="utf-8")
        return "", code
    return told.getvalue().replace(os.getcwd(), "~"), code


def _shown(lines: list[str], wanted: str) -> list[str]:
    """The lines that are wanted, with “…” where others were."""
    if not wanted:
        return lines
    chosen: set[int] = set()
    for piece in wanted.split(","):
        first, _, last = piece.partition("-")
        chosen.update(range(int(first), int(last or first) + 1))
    shown: list[str] = []
    for number, line in enumerate(lines, 1):
        if number in chosen:
            shown.append(line)
        elif shown[-1:] != [CUT]:
            shown.append(CUT)
    return shown
