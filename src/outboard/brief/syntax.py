"""TOML text to plain values, and tomllib's complaints in words that say what to write."""

import re
import tomllib
from dataclasses import dataclass
from typing import Any

from outboard.brief.places import Places
from outboard.errors import Mistake, WrongInput

AT_LEAST = "at least [[parts]], or [input], [output] and [stage]"
BEGINNING = "[[parts]] or [stage]"

ENDLESS_KEY = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){12}""")
"""A key of more parts than any design file has; tomllib takes very long over thousands of them."""

LEXEME = re.compile(
    r"""\#[^\n]*|\"{3}(?:[^\\]|\\.)*?\"{3}|'{3}.*?'{3}|(\"{3}|'{3})|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|(["'\[\]{}])""",
    re.DOTALL,
)
"""Comments and whole strings, else one quotation mark or bracket on its own."""

SAYINGS: tuple[tuple[str, str, str, str], ...] = (
    ("Expected newline or end of document", "something follows a finished value", "text in quotation marks",
     'voltage = "12 V"'),
    ("Invalid value", "there is no value that can be read", "a number, or text in quotation marks", 'voltage = "12 V"'),
    ("Expected '=' after a key", "a key stands without its =", "key = value", 'bleed = "47 Ω"'),
    ("Invalid statement", "this is neither a key with its value nor a [table]", "key = value", 'bleed = "47 Ω"'),
    ("Invalid initial character for a key part", "a key is missing or has odd letters", "letters, figures, _ and -",
     'bleed = "47 Ω"'),
    ("Cannot overwrite a value", "the same key is written twice", "each key once", "one of the two"),
    ("Duplicate inline table key", "the same key is written twice", "each key once", "one of the two"),
    ("Cannot declare", "the same table is written twice", "each [table] once", "one [table] with all its keys"),
    ("Cannot mutate immutable", "this is closed already", "one way of writing it", "[[parts]] throughout"),
    ("Expected ']' at the end of a table", "the header of a table is not closed", "a closing bracket", "[stage]"),
    ("Expected ']]' at the end of an array", "the header of a part is not closed", "two closing brackets", "[[parts]]"),
    ("Illegal character '\\n'", "the text is not closed", "a closing quotation mark", 'driver = "BD140"'),
    ("Found invalid character '\\n'", "the text is not closed", "a closing quotation mark", 'driver = "BD140"'),
    ("Unterminated string", "the text is not closed", "a closing quotation mark", 'driver = "BD140"'),
    ("Expected \"'", "the text is not closed", "a closing quotation mark", 'driver = "BD140"'),
    ("Unclosed array", "the list is not closed", "a comma or ]", '["16 V", "18 V", "20.5 V"]'),
    ("Unclosed inline table", "the braces are not closed on their line", "a comma or }", '{ a = "in", b = "x" }'),
    ("Illegal character", "there is an unprintable character", "plain text", "the line anew"),
    ("Found invalid character", "there is an unprintable character", "plain text", "the line anew"),
    ("Unescaped '\\'", "a \\ in text has no meaning here", "text without \\", 'title = "my design"'),
    ("Exceeds the limit", "a number has thousands of figures", "a number", "1000"),
)  # fmt: skip
"""How tomllib begins its sentence, then ours: what is wrong, what was expected, what to write."""

UNCLOSED = ("Unclosed", "Unterminated", "Expected \"'", "Illegal character '\\n'", "Found invalid character '\\n'")
UNQUOTED = ("Expected newline or end of document", "Invalid value")


@dataclass(frozen=True, slots=True)
class Source:
    """A design file as plain values, with the places they stand at."""

    name: str
    table: dict[str, Any]
    places: Places


def parsed(text: str, name: str) -> Source:
    """Text to plain values and places; WrongInput with line and column when it is not TOML."""
    # tomllib folds line ends as well; the same text keeps the places right
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if not re.sub(r"#[^\n]*", "", text).strip():
        raise WrongInput([Mistake("nothing in it", AT_LEAST, BEGINNING, file=name, line=1, column=1)])
    _refuse_what_hurts(text, name)
    try:
        return Source(name, tomllib.loads(text), Places(text))
    except RecursionError:
        line, column = _place(text, _unclosed(text) or 0)
        mistake = Mistake("brackets are nested too deeply", AT_LEAST, BEGINNING, file=name, line=line, column=column)
        raise WrongInput([mistake]) from None
    except ValueError as error:
        raise WrongInput([_mistake(str(error), text, name)]) from None


def _refuse_what_hurts(text: str, name: str) -> None:
    """Stop before tomllib at what would name no line or take minutes."""
    endless = ENDLESS_KEY.search(text)
    at = endless.start() if endless else text.find("\0")
    if at >= 0:
        what = "a key of this many parts is none of ours" if endless else "there is a NUL character, so this is no text"
        line, column = _place(text, at)
        raise WrongInput([Mistake(what, "plain text in TOML", BEGINNING, file=name, line=line, column=column)])


def _mistake(sentence: str, text: str, name: str) -> Mistake:
    """The mistake behind a sentence of tomllib such as “Invalid value (at line 3, column 8)”."""
    found = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", sentence)
    own = sentence[: found.start()] if found else sentence
    line, column = (int(found[1]), int(found[2])) if found and found[1] else _place(text, len(text.rstrip()))
    if own.startswith(UNCLOSED) and (opened := _unclosed(text)) is not None:
        line, column = _place(text, opened)
    if own.startswith("Exceeds") and (endless := re.search(r"[0-9_]{1000,}", text)):
        line, column = _place(text, endless.start())
    written = text.split("\n")[line - 1]
    key, _, value = (piece.strip() for piece in written.partition("#")[0].partition("="))
    what, expected, write = next(
        (saying[1:] for saying in SAYINGS if own.startswith(saying[0])),
        (f"this is not TOML ({own[:80]})", "key = value", 'bleed = "47 Ω"'),
    )
    if own.startswith(UNQUOTED) and key and value and not set(value) & set("\"'[]{}\\"):
        what, write = f"{key} = {value}: {what}"[:120], f'{key} = "{value.strip("“”„‘’»«")}"'[:60]
    elif own.startswith("Duplicate"):
        what = f"{own.partition(' key ')[2][:40]} is written twice"
    elif own.startswith("Cannot overwrite") and key:
        what = f"{key[:40]} is written twice"
        column = len(written) - len(written.lstrip()) + 1
    return Mistake(what, expected, write, file=name, line=line, column=column)


def _unclosed(text: str) -> int | None:
    """Where the first quotation mark without a partner stands, else the innermost bracket left open."""
    opened: list[int] = []
    for found in LEXEME.finditer(text):
        mark = found[2]
        if found[1] or mark in ('"', "'"):
            return found.start()
        if mark in ("[", "{"):
            opened.append(found.start())
        elif mark and opened:
            opened.pop()
    return opened[-1] if opened else None


def _place(text: str, at: int) -> tuple[int, int]:
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
