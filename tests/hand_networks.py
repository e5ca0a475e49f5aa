"""Small networks of explicit parts of constant gain, for derivations that are set against printed figures."""

from collections.abc import Iterable

from outboard.arrangements import designed
from outboard.brief import read_text
from outboard.explain.asked import Asked, Derivation, Result
from outboard.explain.derivation import derived

ENDLESS = 1e9
"""A gain that leaves the base current out."""


def table(name: str, kind: str, pins: dict[str, str], **values: object) -> str:
    inside = ", ".join(f'{pin} = "{net}"' for pin, net in pins.items())
    keys = "".join(f'{key} = "{v}"\n' if isinstance(v, str) else f"{key} = {v}\n" for key, v in values.items())
    return f'[[parts]]\nname = "{name}"\nkind = "{kind}"\npins = {{ {inside} }}\n{keys}\n'


def supply(volts: float) -> str:
    return table("input", "source", {"plus": "in", "minus": "ground"}, voltage=f"{volts} V")


def resistor(name: str, a: str, b: str, ohms: float) -> str:
    return table(name, "resistor", {"a": a, "b": b}, resistance=ohms)


def transistor(name: str, polarity: str, c: str, b: str, e: str, gain: float, v_be: float) -> str:
    return table(name, "bipolar", {"collector": c, "base": b, "emitter": e}, polarity=polarity, model="constant_gain",
                 gain=gain, base_emitter_voltage=v_be)  # fmt: skip


def regulator(volts: float, at: str = "x", limit: float = 10.0) -> str:
    return table("U1", "regulator", {"in": at, "out": "out", "ref": "ground"}, set_voltage=f"{volts} V",
                 quiescent_current=0.0, current_limit=limit, output_resistance=1e-6)  # fmt: skip


def load(amperes: float | None = None, ohms: float | None = None) -> str:
    draws = {"draws": f"{amperes} A"} if ohms is None else {"resistance": f"{ohms} Ω"}
    return table("load", "load", {"plus": "out", "minus": "ground"}, **draws)


def derivation(parts: Iterable[str], without: str | None = None, **asked: object) -> Derivation:
    text = "".join(parts)
    design = designed(read_text(text, "example.toml"))
    other = None
    if without is not None:
        other = designed(read_text("\n\n".join(p for p in text.split("\n\n") if f'"{without}"' not in p), "other.toml"))
    return derived(design, Asked(**asked), other)  # type: ignore[arg-type]


def result(found: Derivation, name: str) -> Result:
    return next(entry for entry in found.results if entry.name == name)


def compound(bleed: float | None, first: float, second: float, v_be: float = 0.6, **more: float) -> list[str]:
    """A PNP driver, an NPN pass device and, where there is one, a bleed across the latter's junction."""
    parts = [supply(20), resistor("R1", "in", "x", more.get("base", 1.2)),
             transistor("Q1", "pnp", "y", "x", "in", first, v_be),
             transistor("Q2", "npn", "in", "y", "out", second, v_be), regulator(12),
             load(more.get("amperes", 3.0))]  # fmt: skip
    return parts if bleed is None else [*parts, resistor("R2", "y", "out", bleed)]
