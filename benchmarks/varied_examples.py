"""Designs for the benchmarks: all examples, and variants of them with other promises and tolerances, all invented."""

import re
from pathlib import Path

import numpy as np
import tomlkit

from outboard.arrangements import designed
from outboard.brief import read_text
from outboard.errors import OutboardError

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
UNIFORM = ("gain", "V_BE", "leakage", "regulator", "forward_voltage", "resistors")
TRIES = 40
"""Variants that are drawn at the most until one is a design."""


def texts(count: int, seed: int = 1) -> dict[str, str]:
    """`count` design files by name, the examples first; spreads uniform, which reach the corners oftenest."""
    examples = {path.stem: path.read_text(encoding="utf-8") for path in sorted(EXAMPLES.glob("*.toml"))}
    found = {name: even(text) for name, text in list(examples.items())[:count]}
    names = list(examples)
    for number in range(count - len(found)):
        name = names[number % len(names)]
        found[f"{name}, varied {number + 1}"] = even(_variant(examples[name], seed, number))
    return found


def even(text: str) -> str:
    """The design with every spread uniform."""
    content = tomlkit.parse(text)
    content["tolerances"] = dict.fromkeys(UNIFORM, "uniform")
    return tomlkit.dumps(content)


def _variant(text: str, seed: int, number: int) -> str:
    """The first variant that is a design."""
    random = np.random.default_rng([seed, number])
    for _ in range(TRIES):
        varied = _varied(text, random)
        try:
            designed(read_text(varied, "varied.toml"))
        except OutboardError:
            continue
        return varied
    raise RuntimeError(f"no variant {number} is a design")


def _varied(text: str, random: np.random.Generator) -> str:
    """Other loads, inputs and ambients promised, other resistors, bleeds and sinks."""
    content = tomlkit.parse(text)
    stage, surroundings = content["stage"], content.get("surroundings", {})
    _scale(content["output"], "load", random.uniform(0.6, 1.1))
    if random.random() < 0.5:
        _scale(content["input"], "voltage", random.uniform(1.0, 1.06))
    if "ambient" in surroundings:
        surroundings["ambient"] = ["0 °C", "20 °C", f"{random.integers(25, 50)} °C"]
    stage["resistors"] = str(random.choice(["1 %", "2 %", "5 %", "10 %"]))
    for key, low, high in (("handover", 0.7, 1.4), ("ballast", 0.8, 2.5), ("bleed", 0.6, 1.5)):
        if key in stage and stage[key] != "none":
            _scale(stage, key, random.uniform(low, high))
    if int(stage.get("count", 1)) > 1:
        stage["count"] = int(random.integers(2, 5))
    for name in content.get("heat", {}).get("sinks", {}):
        _scale(content["heat"]["sinks"], name, random.uniform(0.6, 1.3))
    return tomlkit.dumps(content)


def _scale(table: dict[str, object], key: str, factor: float) -> None:
    """Multiplies the number in front of each unit, three digits kept."""

    def scaled(words: str) -> str:
        return re.sub(r"^-?[0-9.]+", lambda found: f"{float(found[0]) * factor:.3g}", words)

    value = table[key]
    table[key] = scaled(value) if isinstance(value, str) else [scaled(str(one)) for one in value]  # type: ignore[attr-defined]
