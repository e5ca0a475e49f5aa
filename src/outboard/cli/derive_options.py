"""What `derive` may be told: constants, shares, targets, the other design."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from outboard.errors import Mistake, WrongInput

if TYPE_CHECKING:
    from outboard.arrangements import Design
    from outboard.explain.asked import Asked
    from outboard.quantity import Dimension

FORMS = ("terminal", "markdown", "latex", "html", "typst")


def notation(ctx: click.Context, param: click.Parameter, value: str) -> str:
    """One of the forms."""
    if value not in FORMS:
        what, write = f"--as: “{value}” is no form of a page", "--as markdown"
        raise WrongInput([Mistake(what, ", ".join(FORMS), write, "--as")])
    return value


def share_of_one(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    """A share: 1%, 0.01."""
    from outboard.quantity import RATIO

    number = None if value is None else _read(value, RATIO, "--within")
    if number is not None and not 0.0 < number < 0.3:
        what = f"--within: “{value}” is no share that a formula may be off by"
        raise WrongInput([Mistake(what, "more than nothing, less than 30 %", "--within 1%", "--within")])
    return number


def letter_values(
    ctx: click.Context, param: click.Parameter, value: Sequence[str]
) -> Mapping[str, tuple[float, float, float]]:
    """LETTER=VALUE or LETTER=LEAST,USUAL,MOST."""
    found = {}
    for text in value:
        name, sign, numbers = text.partition("=")
        name, pieces = name.strip(), [piece.strip() for piece in numbers.split(",")]
        if "," in name or not sign or len(pieces) not in (1, 3) or not name:
            what = f"--let: “{text}” does not say what a letter is"
            raise WrongInput([Mistake(what, "LETTER=VALUE, or least, usual and most", "--let V_BE1=0.6V", "--let")])
        read = [_read(piece, dimension_of(name), "--let") for piece in pieces]
        least, usual, most = (read * 3)[:3] if len(read) == 1 else read
        if not least <= usual <= most:
            what = f"--let: least, usual and most of {name} do not rise"
            raise WrongInput([Mistake(what, "three values that rise", f"--let {name}=…", "--let")])
        found[name] = (least, usual, most)
    return found


def dimension_of(letter: str) -> "Dimension":
    """What a letter measures, by its first sign."""
    from outboard.quantity import CONDUCTANCE, CURRENT, NUMBER, RESISTANCE, VOLTAGE

    return {"g": CONDUCTANCE, "V": VOLTAGE, "I": CURRENT, "R": RESISTANCE, "r": RESISTANCE}.get(letter[:1], NUMBER)


def target_of(letter: str, value: str) -> float:
    """What a quantity is to become."""
    return _read(value, dimension_of(letter), "--target")


def _read(value: str, dimension: "Dimension", option: str) -> float:
    from outboard.quantity import QuantityMistake, parse

    try:
        return parse(value, dimension)
    except QuantityMistake as mistake:
        raise WrongInput([Mistake(f"{option}: {mistake.what}", mistake.expected, mistake.write, option)]) from None


def question(file: str, told: Mapping[str, Any]) -> "tuple[Asked, Design | None]":
    """What is asked, and the design that is to stand beside it."""
    from outboard.explain.asked import Asked

    quantities = tuple(told["quantities"])
    if (told["find"] is None) != (told["target"] is None):
        what = "--find and --target belong together"
        raise WrongInput([Mistake(what, "which part, and what for", "--of I_REG --find R1 --target 0.3A", "--find")])
    target = None
    if told["target"] is not None:
        quantities = quantities or ("I_REG",)
        target = target_of(quantities[0], told["target"])
    if told["order_free"] and not told["gap"]:
        what = "--order-free says how --gap is to be shared out"
        raise WrongInput([Mistake(what, "both", "--gap --order-free", "--gap")])
    asked = Asked(
        quantities, told["input_voltage"], told["load"], told["ambient"], told["values"], told["within"],
        told["find"], target, told["slopes"], told["gap"], told["order_free"], told["exact"],
    )  # fmt: skip
    return asked, _other(file, told["without"], told["beside"])


def _other(file: str, without: str | None, beside: str | None) -> "Design | None":
    if without is not None and beside is not None:
        raise WrongInput([Mistake("--without and --beside each name another design", "one of them", "", "--beside")])
    if without is None and beside is None:
        return None
    from dataclasses import replace

    from outboard.dossier import opened

    if beside is not None:
        return opened(beside).design
    design = opened(file).design
    kept = tuple(part for part in design.parts if part.name != without)
    if len(kept) == len(design.parts):
        names = ", ".join(part.name for part in design.parts)
        raise WrongInput([Mistake(f"--without: no part is named '{without}'", f"one of {names}", "", "--without")])
    return replace(design, parts=kept)
