"""How wide words get, measured in the very faces that the drawing is lettered in."""

import struct
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parents[1] / "fonts"
DIGITS = "0123456789"
ABOVE, BELOW = 0.76, 0.24
"""What letters take above and below their base line, as a share of their size."""


@dataclass(frozen=True, slots=True)
class Face:
    """A face at a size, and the class that says so in the drawing."""

    name: str
    file: str
    size: float


PART = Face("n", "SourceSerif4-Semibold.ttf", 16.0)
TYPE = Face("t", "SourceSans3-Regular.ttf", 14.0)
VALUE = Face("v", "SourceSans3-Regular.ttf", 14.0)
BOLD = Face("b", "SourceSans3-Semibold.ttf", 14.0)
NET = Face("net", "SourceSerif4-It.ttf", 16.0)
PIN = Face("pin", "SourceSerif4-It.ttf", 13.5)
SMALL = Face("s", "SourceSans3-Regular.ttf", 12.5)


def width(words: str, face: Face) -> float:
    """How wide words get in a face; every digit counts as the widest, for figures change."""
    return _width(words, face.file) * face.size


@cache
def _width(words: str, file: str) -> float:
    advances, other = _advances(file)
    return sum(advances.get(ord(letter), other) for letter in words)


@cache
def _advances(file: str) -> tuple[dict[int, float], float]:
    """Advance widths by character, in ems, as the font file has them; and that of a character that it lacks."""
    data = (FONTS / file).read_bytes()
    count = struct.unpack(">H", data[4:6])[0]
    tables = {}
    for number in range(count):
        tag, _, offset, _ = struct.unpack(">4s3I", data[12 + 16 * number : 28 + 16 * number])
        tables[tag] = offset
    em = struct.unpack(">H", data[tables[b"head"] + 18 : tables[b"head"] + 20])[0]
    metrics = struct.unpack(">H", data[tables[b"hhea"] + 34 : tables[b"hhea"] + 36])[0]
    advance = [
        struct.unpack(">H", data[tables[b"hmtx"] + 4 * glyph : tables[b"hmtx"] + 4 * glyph + 2])[0] / em
        for glyph in range(metrics)
    ]
    glyphs = _glyphs(data, tables[b"cmap"])
    found = {code: advance[min(glyph, metrics - 1)] for code, glyph in glyphs.items()}
    widest = max(found[ord(digit)] for digit in DIGITS)
    return found | {ord(digit): widest for digit in DIGITS}, advance[0]


def _glyphs(data: bytes, start: int) -> dict[int, int]:
    """Glyph numbers by character, from the table of the basic plane (format 4) of the font file."""
    count = struct.unpack(">H", data[start + 2 : start + 4])[0]
    for number in range(count):
        offset = start + struct.unpack(">I", data[start + 8 + 8 * number : start + 12 + 8 * number])[0]
        if struct.unpack(">H", data[offset : offset + 2])[0] == 4:
            return _segments(data, offset)
    return {}


def _segments(data: bytes, offset: int) -> dict[int, int]:
    twice = struct.unpack(">H", data[offset + 6 : offset + 8])[0]
    count, shape = twice // 2, f">{twice // 2}H"

    def column(number: int) -> tuple[int, ...]:
        begin = offset + 14 + number * twice + (2 if number else 0)
        return struct.unpack(shape, data[begin : begin + twice])

    ends, starts, deltas, ranges = (column(number) for number in range(4))
    found = {}
    for segment in range(count):
        for code in range(starts[segment], min(ends[segment], 0xFFFE) + 1):
            if ranges[segment] == 0:
                found[code] = (code + deltas[segment]) & 0xFFFF
                continue
            place = offset + 16 + 3 * twice + 2 * segment + ranges[segment] + 2 * (code - starts[segment])
            glyph = struct.unpack(">H", data[place : place + 2])[0]
            if glyph:
                found[code] = (glyph + deltas[segment]) & 0xFFFF
    return found
