"""Where every key of a design file stands: paths of keys to line and column, counted from 1.

Scans text that tomllib has accepted, so it only has to find its way, not to judge.
"""

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]
"""The way to a value: keys of tables, indices of arrays."""

Place = tuple[int, int]
"""Line and column, counted from 1."""

BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
KEY_PART = re.compile(r"""[ \t]*(?:([A-Za-z0-9_-]+)|("(?:[^"\\]|\\.)*"|'[^']*'))[ \t]*""")
SCALAR = re.compile(
    r'''"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?'{3,5}|"(?:[^"\\]|\\.)*"|'[^']*'|[^,\]}#\n]+''',
    re.DOTALL,
)


class Places:
    """The place of every key and of every value in one text."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._lines = [0, *(found.end() for found in re.finditer("\n", text))]
        self._keys: dict[Path, int] = {}
        self._values: dict[Path, int] = {}
        self._lengths: dict[Path, int] = {}
        self._scan()

    def key(self, path: Path) -> Place:
        """Where a key is written; for the element of an array, where it begins; else where its table is."""
        while path:
            at = self._keys.get(path, self._values.get(path))
            if at is not None:
                return self._place(at)
            path = path[:-1]
        return (1, 1)

    def value(self, path: Path) -> Place:
        """Where a value is written; for a table, where its header is."""
        at = self._values.get(path)
        return self.key(path) if at is None else self._place(at)

    def _place(self, at: int) -> Place:
        line = bisect_right(self._lines, at)
        return line, at - self._lines[line - 1] + 1

    def _scan(self) -> None:
        table: Path = ()
        at = self._blank(0)
        while at < len(self._text):
            if self._text[at] == "[":
                table, at = self._header(at)
            else:
                at = self._pair(at, table)
            at = self._blank(at)

    def _header(self, at: int) -> tuple[Path, int]:
        brackets = 2 if self._text.startswith("[[", at) else 1
        parts, end = self._key_parts(at + brackets)
        path: Path = ()
        for depth, part in enumerate(parts, 1):
            path += (part,)
            self._keys.setdefault(path, at)
            if brackets == 2 and depth == len(parts):
                self._lengths[path] = self._lengths.get(path, 0) + 1
            if path in self._lengths:
                path += (self._lengths[path] - 1,)
                self._keys.setdefault(path, at)
        return path, end + brackets

    def _pair(self, at: int, table: Path) -> int:
        parts, end = self._key_parts(at)
        path = table
        for part in parts:
            path += (part,)
            self._keys.setdefault(path, at)
        return self._value(self._blank(end + 1), path)

    def _key_parts(self, at: int) -> tuple[list[str], int]:
        parts: list[str] = []
        while found := KEY_PART.match(self._text, at):
            bare, quoted = found.groups()
            parts.append(bare or tomllib.loads(f"key = {quoted}")["key"])
            at = found.end()
            if self._text[at] != ".":
                break
            at += 1
        return parts, at

    def _value(self, at: int, path: Path) -> int:
        self._values[path] = at
        if self._text[at] in "[{":
            return self._collection(at, path)
        scalar = SCALAR.match(self._text, at)
        assert scalar, "scanned text that tomllib has not accepted"
        return scalar.end()

    def _collection(self, at: int, path: Path) -> int:
        """An array or an inline table: elements by index, pairs by key."""
        opened, closing = self._text[at], {"[": "]", "{": "}"}[self._text[at]]
        at, index = self._blank(at + 1), 0
        while self._text[at] != closing:
            at = self._value(at, (*path, index)) if opened == "[" else self._pair(at, path)
            index += 1
            at = self._blank(at)
            if self._text[at] == ",":
                at = self._blank(at + 1)
        return at + 1

    def _blank(self, at: int) -> int:
        blank = BLANK.match(self._text, at)
        return blank.end() if blank else at
