"""The mistake a person makes when writing a quantity."""


class QuantityMistake(ValueError):
    """A text that is not the quantity it should be: what it is, what was expected, what to write.

    `mended` says that `write` is the person's own text put right, and not just an example.
    """

    def __init__(self, what: str, expected: str, write: str, mended: bool = False) -> None:
        self.what = what
        self.expected = expected
        self.write = write
        self.mended = mended
        super().__init__(f"{what}; expected {expected}; write {write}")


def quoted(text: object, room: int = 40) -> str:
    """A person's text in quotation marks, on one line and not longer than a message can bear."""
    words = "".join(letter if letter.isprintable() else "·" for letter in str(text))
    return f"“{words if len(words) <= room else words[: room - 1] + '…'}”"
