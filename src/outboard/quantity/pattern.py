"""What a written quantity looks like, as a regular expression for editors that check a file while it is typed."""

from outboard.quantity.dimensions import PREFIXES, Dimension

NUMBER = "[+\\-−]?(?:[0-9]+(?:\\.[0-9]*)?|\\.[0-9]+)(?:[eE][+\\-−]?[0-9]+)?"
SPACE = "[ \\u00a0\\u202f\\u2009]*"
LOOK_ALIKES = {"Ω": "[Ω\\u2126]", "μ": "[μµ]", "^": "\\^", "/": "\\/"}


def pattern(dimension: Dimension) -> str:
    """Regular expression (the dialect of JSON Schema) that a text must match to be read as this quantity."""
    prefixes = "".join(PREFIXES) + "µ"
    units = [f"[{prefixes}]{_literal(unit)}" for unit in sorted(dimension.prefixed)]
    units += [_literal(unit) for unit in (*dimension.spellings, *dimension.codes)]
    tail = f"(?:{'|'.join(units)})" if units else ""
    plain = f"{NUMBER}{SPACE}{tail + '?' if tail and dimension.bare else tail}"
    if not dimension.codes:
        return f"^{plain}$"
    spelled = "|".join(_literal(unit) for unit in dimension.spellings)
    marked = f"[+\\-−]?[0-9]*[{''.join(dimension.codes)}µ][0-9]+{SPACE}(?:{spelled})?"
    return f"^(?:{plain}|{marked})$"


def _literal(unit: str) -> str:
    return "".join(LOOK_ALIKES.get(letter, letter) for letter in unit)
