"""Which keys of [stage] go together: what an arrangement must have, what it cannot have and why, what asks for what.

Reading and the JSON Schema both use these tables.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

ARRANGEMENTS: Mapping[str, str] = {
    "bypass": "PNP pass device beside the regulator",
    "compound": "PNP driver and NPN pass device",
    "darlington": "PNP Darlington beside the regulator, in one package or as driver and pass device",
    "pmos": "P-channel MOSFET beside the regulator",
    "follower": "NPN emitter follower behind the regulator",
}
"""Every arrangement with what it is, of a positive supply; a negative one has everything mirrored."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a key does not belong here, what is expected instead, what to write."""

    reason: str
    expected: str
    write: str = ""


def _elsewhere(reason: str, key: str, arrangement: str, article: str = "a") -> Refusal:
    """A key that another arrangement has."""
    return Refusal(reason, f"no {key}, or {article} {arrangement} stage", f'arrangement = "{arrangement}"')


def _unless(arrangement: str, keys: tuple[str, ...], reason: str) -> dict[str, Refusal]:
    return {key: _elsewhere(reason, key, arrangement) for key in keys}


_GATE = _unless("pmos", ("RG", "gate_zener"), "this stage has bipolar transistors, which have no gate")
_LOSS = _unless("follower", ("compensation",), "only a follower loses V_BE at its output")
_FIXED_SHARE = ("sharing_diode",)

_FOLLOWER_HAS_NONE = (
    "a follower has no base resistor in the regulator's lead, because the regulator's output feeds the base"
)

REFUSED: Mapping[str, Mapping[str, Refusal]] = {
    "bypass": {
        "driver": _elsewhere("a bypass has no driver, because R1 drives its pass device directly", "driver",
                             "compound"),
        "bleed": _elsewhere("a bypass has no bleed, because R1 lies from base to emitter already", "bleed", "compound"),
    } | _GATE | _LOSS,
    "compound": _GATE | _LOSS | _unless(
        "bypass", _FIXED_SHARE, "a compound has its ballast at the output, where no diode in the regulator's lead helps"
    ),
    "darlington": _GATE | _LOSS | _unless(
        "bypass", _FIXED_SHARE, "a Darlington has two V_BE, which one diode does not cancel"
    ),
    "pmos": {
        "driver": _elsewhere("a MOSFET has no driver, because its gate takes no current", "driver", "darlington"),
        "bleed": Refusal("a pmos stage has no bleed, because R1 lies from gate to source already", "no bleed",
                         'R1 = "12 Ω"'),
    } | _LOSS | _unless("bypass", _FIXED_SHARE, "a diode does not cancel the threshold voltage of a MOSFET"),
    "follower": {
        "driver": _elsewhere("a follower has no driver; an NPN Darlington as pass device needs less base current",
                             "driver", "compound"),
        "R1": Refusal(_FOLLOWER_HAS_NONE, "bleed, the resistor from base to emitter", 'bleed = "100 Ω"'),
        "handover": Refusal(_FOLLOWER_HAS_NONE, "bleed, up to whose current the regulator feeds the load alone",
                            'bleed = "100 Ω"'),
    } | _GATE | _unless("bypass", _FIXED_SHARE, "a follower's regulator carries base current only, and shares nothing"),
}  # fmt: skip
"""By arrangement, the keys of [stage] that it cannot have."""

MISSING: Mapping[str, Mapping[str, Refusal]] = {
    "compound": {
        "driver": Refusal("this is missing; it makes the base current of a compound's pass device",
                          "type of the driver", 'driver = "BD140"')
    },
}  # fmt: skip
"""By arrangement, the keys that it must have beside regulator and pass."""

ASKS_FOR: Mapping[str, tuple[str, str]] = {
    "limit": ("limiter", "there is no transistor that limits"),
    "foldback": ("limiter", "there is no transistor whose limit could fold back"),
    "RS": ("limiter", "RS is the sense resistor of a limiter"),
    "RF1": ("foldback", "RF1 is half of a foldback divider"),
    "RF2": ("foldback", "RF2 is half of a foldback divider"),
    "share": ("sharing_diode", "without the diode the transistor starts at hand-over, and the ratio is not fixed"),
    "regulator_ballast": ("regulators", "a single regulator needs no ballast"),
    "crowbar": ("thyristor", "there is no thyristor that could fire"),
    "thyristor": ("crowbar", "it is not said at which output voltage the thyristor fires"),
    "trigger": ("crowbar", "there is no crowbar that it could fire"),
    "RT": ("crowbar", "RT is the gate resistor of a crowbar"),
}
"""Keys that mean something only beside another one, with the reason."""

APART: Mapping[str, tuple[str, str]] = {
    "handover": ("sharing_diode", "with a sharing diode the transistor conducts from the start; share says how much"),
}
"""Keys that another one makes meaningless, with the reason."""

EXAMPLES: Mapping[str, str] = {
    "limiter": '"BD140"', "foldback": '"2 A"', "sharing_diode": '"1N5404"', "regulators": "2", "handover": "share = 4",
    "crowbar": '"15 V"', "thyristor": '"BT151"',
}  # fmt: skip


def misplaced(stage: Mapping[str, object]) -> Iterator[tuple[str, Refusal]]:
    """Every key that this [stage] must not have, or misses, with what to say about it."""
    arrangement = str(stage.get("arrangement"))
    for key, refusal in MISSING.get(arrangement, {}).items():
        if key not in stage:
            yield key, refusal
    for key, refusal in REFUSED.get(arrangement, {}).items():
        if key in stage:
            yield key, refusal
    if arrangement == "darlington" and "bleed" in stage and "driver" not in stage:
        reason = "a Darlington in one package has its base-emitter resistors inside"
        yield "bleed", Refusal(reason, "no bleed, or a driver", 'driver = "BD140"')
    for key, (wanted, reason) in ASKS_FOR.items():
        if key in stage and wanted not in stage and key not in REFUSED.get(arrangement, {}):
            yield key, Refusal(reason, f"{wanted} as well", f"{wanted} = {EXAMPLES[wanted]}")
    for key, (other, reason) in APART.items():
        if key in stage and other in stage:
            yield key, Refusal(reason, f"{other} or {key}, not both", EXAMPLES[key])
