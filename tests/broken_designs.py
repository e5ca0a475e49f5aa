"""Broken design files by number: one seed is one file, made from the examples by one kind of damage.

Each kind says whether its files can never be a design (`refused`) or may by chance still be one; a verb then answers.
"""

import os
import random
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
WHOLE = tuple(
    path.read_text(encoding="utf-8")
    for folder in ("examples", "tests/data/design") for path in sorted((ROOT / folder).glob("*.toml"))
)  # fmt: skip
"""Designs in which nothing is broken: stages, and circuits part by part."""

QUANTITY = re.compile(r'"(-?[\d.]+) ([A-Za-zµΩ°%/]+)"')
VALUE = re.compile(r'^(\s*[\w.]+\s*=\s*)(\S.*?)(\s*#.*)?$', re.MULTILINE)
KEY = re.compile(r"^([a-z_A-Z0-9]{3,})(?=\s*=)", re.MULTILINE)
NET = re.compile(r'\b(?:a|b|in|out|ref|plus|minus|base|collector|emitter|anode|cathode) = "([^"]+)"')
HEADER = re.compile(r"^\[+[\w.]+\]+", re.MULTILINE)
FOREIGN = {"V": "F", "A": "K/W", "Ω": "s", "%": "V", "°C": "A", "K/W": "Ω", "W": "H"}
TYPE = re.compile(r'"(78\d\d|2N3055|BD140|TIP2955)"')
LARGE = 10_000_000

Damage = Callable[[random.Random, str], str]


def wrong_unit(chance: random.Random, text: str) -> str:
    """A quantity in the unit of something else."""
    found = chance.choice([one for one in QUANTITY.finditer(text) if _base(one[2]) in FOREIGN])
    return _put(text, found, f'"{found[1]} {FOREIGN[_base(found[2])]}"')


def wrong_key(chance: random.Random, text: str) -> str:
    """A key with a letter too many."""
    found = chance.choice(list(KEY.finditer(text)))
    at = chance.randrange(1, len(found[1]))
    return _put(text, found, found[1][:at] + chance.choice("qxz") + found[1][at:])


def missing_line(chance: random.Random, text: str) -> str:
    """A line that is gone."""
    lines = text.splitlines(keepends=True)
    del lines[chance.choice([number for number, line in enumerate(lines) if "=" in line or line.startswith("[")])]
    return "".join(lines)


def missing_net(chance: random.Random, text: str) -> str:
    """A pin on a net of its own; a file without pins gets a resistor that hangs in the air."""
    found = list(NET.finditer(text))
    if not found:
        return text + '\n[[parts]]\nname = "R99"\nkind = "resistor"\npins = { a = "x", b = "y" }\nresistance = "1 Ω"\n'
    one = chance.choice(found)
    return text[: one.start(1)] + "elsewhere" + text[one.end(1) :]


def absurd_value(chance: random.Random, text: str) -> str:
    """A quantity that is negative, endless, no number, immense or next to nothing."""
    found = chance.choice(list(QUANTITY.finditer(text)))
    unit = found[2]
    absurd = ("nan", "inf", "-inf", f'"-{found[1].lstrip("-")} {unit}"', f'"1e300 {unit}"', f'"1e-300 {unit}"',
              f'"0 {unit}"', f'"9e99 {unit}"', "1e400", "-0.0", f'"{found[1]}e5 {unit}"')  # fmt: skip
    return _put(text, found, chance.choice(absurd))


def other_sort(chance: random.Random, text: str) -> str:
    """A value of another sort: a list, a table, a date, yes or no."""
    found = chance.choice(list(VALUE.finditer(text)))
    other = chance.choice(("[]", "{}", "true", "1979-05-27", "[[1]]", '{ a = "b" }', "0x7f", '""', "'  '", '["a"]'))
    return text[: found.start(2)] + other + text[found.end(2) :]


def written_twice(chance: random.Random, text: str) -> str:
    """A part, a table or a key that stands there twice."""
    headers = [*HEADER.finditer(text)]
    number = chance.randrange(len(headers))
    end = headers[number + 1].start() if number + 1 < len(headers) else len(text)
    return text + "\n" + text[headers[number].start() : end]


def cut_off(chance: random.Random, text: str) -> str:
    """The file ends in the middle."""
    return text[: chance.randrange(len(text))]


def odd_letters(chance: random.Random, text: str) -> str:
    """A few letters that belong to something else."""
    letters = list(text)
    for _ in range(chance.randrange(1, 6)):
        letters[chance.randrange(len(letters))] = chance.choice('"[]{}=,.#\\\n\t\0\x7f☃1-eΩ' + "\ufeff\u202e")
    return "".join(letters)


def deep_nesting(chance: random.Random, text: str) -> str:
    """Brackets in brackets."""
    depth = chance.choice((50, 2_000, 100_000))
    return chance.choice((f"{text}\n[x]\na = {'[' * depth}{']' * depth}\n", f"a = {'{b = ' * depth}", "[" * depth,
                          f"{'a.' * depth}a = 1\n{text}"))  # fmt: skip


def other_type(chance: random.Random, text: str) -> str:
    """A type that there is not, or that is something else; a file without types gets one that there is not."""
    found = list(TYPE.finditer(text))
    if not found:
        return text.replace("[[parts]]", '[[parts]]\ntype = "NONE-1"', 1)
    return _put(text, chance.choice(found), f'"{chance.choice(("1N4001", "2N3505", "7812", "TIP122", "MJ15003", ""))}"')


def many_parts(chance: random.Random, text: str) -> str:
    """Thousands of parts that say nothing."""
    return text + "\n[[parts]]" * chance.choice((300, 20_000))


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of damage: how it is done to a path, and whether its files can never be designs."""

    refused: bool
    make: Callable[[random.Random, Path], None]


@dataclass(frozen=True, slots=True)
class Broken:
    """One broken design file."""

    seed: int
    kind: str
    path: Path
    refused: bool


def text_damage(damage: Damage) -> Callable[[random.Random, Path], None]:
    """A damage to the text of a whole design."""
    return lambda chance, path: _write(path, damage(chance, chance.choice(WHOLE)).encode())


def _empty(chance: random.Random, path: Path) -> None:
    _write(path, chance.choice((b"", b"\n\n", b"# a remark\n", b"\xef\xbb\xbf", b"[stage]", b'title = "x"', b"\0")))


def _binary(chance: random.Random, path: Path) -> None:
    heads = (b"\x7fELF\2\1\1", b"\x89PNG\r\n\x1a\n", b"PK\3\4", b"\x1f\x8b\x08")
    _write(path, chance.choice(heads) + chance.randbytes(chance.randrange(1, 5_000)))


def _large(chance: random.Random, path: Path) -> None:
    piece = chance.choice((b"#", b"[", b"\0", b"a = 1\n", b"x"))
    _write(path, (piece * (LARGE // len(piece) + 1))[:LARGE])


def _other_encoding(chance: random.Random, path: Path) -> None:
    text = chance.choice([text for text in WHOLE if "Ω" in text])
    _write(path, text.encode(chance.choice(("utf-16", "cp1253", "cp437")), "replace"))


def _no_file(chance: random.Random, path: Path) -> None:
    """A loop of links, a link to nothing, a folder, a pipe, nothing at all."""
    sort = chance.randrange(6)
    if sort == 0:
        path.symlink_to(path)
    elif sort == 1:
        other = path.with_suffix(".other")
        other.symlink_to(path)
        path.symlink_to(other)
    elif sort == 2:
        path.symlink_to("nowhere")
    elif sort == 3:
        path.mkdir()
    elif sort == 4:
        os.mkfifo(path)


KINDS: Mapping[str, Kind] = {
    "wrong unit": Kind(True, text_damage(wrong_unit)),
    "wrong key": Kind(True, text_damage(wrong_key)),
    "missing line": Kind(False, text_damage(missing_line)),
    "missing net": Kind(False, text_damage(missing_net)),
    "absurd value": Kind(False, text_damage(absurd_value)),
    "value of another sort": Kind(False, text_damage(other_sort)),
    "written twice": Kind(True, text_damage(written_twice)),
    "cut off": Kind(False, text_damage(cut_off)),
    "odd letters": Kind(False, text_damage(odd_letters)),
    "deep nesting": Kind(True, text_damage(deep_nesting)),
    "other type": Kind(False, text_damage(other_type)),
    "many parts": Kind(True, text_damage(many_parts)),
    "empty": Kind(True, _empty),
    "binary": Kind(True, _binary),
    "10 MB": Kind(True, _large),
    "other encoding": Kind(True, _other_encoding),
    "no file": Kind(True, _no_file),
}


def broken_design(seed: int, folder: Path) -> Broken:
    """The broken file of one number, made in a folder."""
    kind = list(KINDS)[seed % len(KINDS)]
    path = folder / f"broken-{seed}.toml"
    KINDS[kind].make(random.Random(seed), path)
    return Broken(seed, kind, path, KINDS[kind].refused)


LOCATED = re.compile(r":(\d+):(\d+): \S")


def misconduct(broken: Broken, code: int, stdout: str, stderr: str, seconds: float, slowest: float) -> list[str]:
    """What is wrong with how a verb ended on a broken file; nothing when it refused it well, or judged it."""
    wrong = []
    if "Traceback" in stderr + stdout:
        wrong.append("a traceback")
    if code not in ((2,) if broken.refused else (0, 1, 2, 3)):
        wrong.append(f"exit code {code}")
    if seconds > slowest:
        wrong.append(f"{seconds:.1f} s")
    if code != 2:
        return wrong
    lines = stderr.splitlines()
    if stdout or not lines:
        wrong.append("no message, or one in the wrong place")
    count = broken.path.read_bytes().count(b"\n") + 1 if broken.path.is_file() else 0
    for line in lines:
        found = LOCATED.match(line.removeprefix(str(broken.path)))
        if not line.startswith(str(broken.path)):
            wrong.append(f"does not name the file: {line[:150]}")
        elif broken.kind not in ("no file", "10 MB") and found is None:
            wrong.append(f"no line: {line[:150]}")
        elif found is not None and not 1 <= int(found[1]) <= count:
            wrong.append(f"no such line: {line[:150]}")
        elif len(line) > 600 + len(str(broken.path)):
            wrong.append(f"a message of {len(line)} letters")
    return wrong


def _base(unit: str) -> str:
    """A unit without its prefix."""
    return unit[1:] if len(unit) > 1 and unit[0] in "mµk" and unit[1:] in FOREIGN else unit


def _put(text: str, found: "re.Match[str]", instead: str) -> str:
    return text[: found.start()] + instead + text[found.end() :]


def _write(path: Path, content: bytes) -> None:
    path.write_bytes(content)
