"""Words that several sections of a report share: styled names, figures of the brief, counts."""

from outboard.brief import Brief
from outboard.quantity import CURRENT, TEMPERATURE, VOLTAGE, Dimension, shown
from outboard.report.document.content import Styled, Words
from outboard.report.words import plain
from outboard.span import Span

NO_BREAK, JOINED = "\N{NO-BREAK SPACE}", "\N{WORD JOINER}"
SHORT = 26
"""Letters of a condition that is not torn."""

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def part(name: str) -> Styled:
    """The name of a part."""
    return Styled(name, "part")


def net(name: str) -> Styled:
    """The name of a net."""
    return Styled(name, "net")


def quiet(words: str) -> Styled:
    """A remark within a line."""
    return Styled(words, "quiet")


def bold(words: str) -> Styled:
    """What the eye should find."""
    return Styled(words, "bold")


def sentence(text: str) -> str:
    """Words with a capital to begin with and a stop at the end."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", ":", "?")) else f"{text}."


def counted(number: int, noun: str) -> str:
    """ "three requirements"."""
    word = NUMBERS[number] if number < len(NUMBERS) else str(number)
    return f"{word} {noun}" + ("" if number == 1 else "s")


def where_words(corner: str) -> str:
    """ "20.5 V in · 5 A · 40 °C · least gain Q2": short conditions whole, the dots at the ends of lines."""
    pieces = [words.replace(" ", NO_BREAK).replace("…", f"…{JOINED}") if len(words) <= SHORT else words
              for words in corner.split(", ")]  # fmt: skip
    return f"{NO_BREAK}· ".join(pieces)


def span_words(span: Span, dimension: Dimension) -> str:
    """ "16 V … 18 V … 20.5 V"; one value where all are the same."""
    if span.least == span.most:
        return shown(span.usual, dimension, 4, zeros=False)
    return " … ".join(shown(value, dimension, 4, zeros=False) for value in span)


def unsigned(brief: Brief) -> str:
    """What a reader of figures of a negative supply must know; nothing for a positive one."""
    negative = brief.output is not None and brief.output.voltage < 0.0
    return " Voltages of this negative output are told by their size, without the sign." if negative else ""


def lead(brief: Brief) -> str:
    """The design in one line: what comes out of what, and how it is arranged."""
    pieces = []
    if brief.output is not None and brief.input is not None:
        volts = shown(brief.output.voltage, VOLTAGE, 4, zeros=False)
        amperes = shown(brief.output.load.most, CURRENT, 4, zeros=False)
        span = brief.input.voltage
        ends = [shown(value, VOLTAGE, 4, zeros=False) for value in (span.least, span.most)]
        source = f"from {ends[0]} to {ends[1]}" if ends[0] != ends[1] else f"from {ends[0]}"
        pieces.append(f"{volts}, {amperes} {source}")
    if brief.stage is not None:
        stage = brief.stage
        devices = f"{counted(stage.count, 'pass device')} {stage.pass_type}"
        driver = f"driver {stage.driver}, " if stage.driver else ""
        pieces.append(f"{stage.arrangement} stage with a {stage.regulator}, {driver}{devices}")
    ambient = span_words(brief.surroundings.ambient, TEMPERATURE)
    pieces.append(f"{ambient} around".replace(" ", NO_BREAK))
    return "; ".join(pieces)


def volts_between(span: Span) -> str:
    """ "11.98 V (11.5 … 12.5)"; millivolts where they are small."""
    if max(abs(span.least), abs(span.most)) < 1.0:
        ends = f"{plain(1e3 * span.least, _places(span, 1e3))} … {plain(1e3 * span.most, _places(span, 1e3))}"
        return f"{plain(1e3 * span.usual, _places(span, 1e3))} mV ({ends})"
    return f"{plain(span.usual, 2)} V ({plain(span.least, 2)} … {plain(span.most, 2)})"


def _places(span: Span, factor: float) -> int:
    return 0 if max(abs(span.least), abs(span.most)) * factor >= 10.0 else 1


NO_WORDS: Words = "–"
