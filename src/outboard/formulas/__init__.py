"""Every hand equation once: text, function, symbols with units, where it holds, source.

`find(key)` gives one formula, `formulas()` all of them by key.  A formula is called with SI numbers by name:

    from outboard.formulas.base_resistor import base_resistor_for_handover
    base_resistor_for_handover(base_emitter_voltage=0.65, handover_current=0.3)                  # 2.1666… Ω
    base_resistor_for_handover.evaluated(base_emitter_voltage=0.65, handover_current=0.3).text   # with its working
"""

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from types import MappingProxyType
from typing import Any

from outboard.formulas.formula import Formula, NoSolution, Symbol, Worked

__all__ = ["SUBJECTS", "Formula", "NoSolution", "Symbol", "Worked", "find", "formulas"]

SUBJECTS = (
    "current_division",
    "base_resistor",
    "sharing",
    "compound",
    "headroom",
    "limiting",
    "foldback",
    "crowbar",
    "regulator",
    "divider",
    "follower",
    "mosfet_bypass",
    "parallel_regulators",
    "leakage",
    "transistor",
    "junction",
    "ballast",
    "dissipation",
    "part_derating",
    "resistor_derating",
    "connection_derating",
    "thermal",
    "thermal_stability",
    "safe_area",
    "convection",
    "transformer",
    "rectifier",
    "fuse",
    "wire",
)
"""The modules of this package that hold formulas, in the order in which a reader meets them."""


@cache
def formulas() -> Mapping[str, Formula[Any]]:
    """All formulas by key, subject after subject; ValueError when two share a key."""
    found: dict[str, Formula[Any]] = {}
    for subject in SUBJECTS:
        for entry in vars(import_module(f"{__name__}.{subject}")).values():
            if isinstance(entry, Formula) and found.setdefault(entry.key, entry) is not entry:
                raise ValueError(f"two formulas have the key {entry.key!r}")
    return MappingProxyType(found)


def find(key: str) -> Formula[Any]:
    """The formula with this key; KeyError when there is none."""
    return formulas()[key]
