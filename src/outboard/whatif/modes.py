"""How parts fail, and which share of their failures each way has."""

from collections.abc import Mapping
from dataclasses import dataclass

SOURCE = "MIL-HDBK-338B-modes"

OPEN, SHORT, DRIFT, IMPROPER, SILENT = "open", "short", "drift", "improper output", "no output"


@dataclass(frozen=True, slots=True)
class Modes:
    """Shares of the ways in which one family of parts fails; they add up to one, or are none where no table has them.

    The handbook's own words stand in `source`; ways that rest does not show (erratic, slow) are left out of none.
    """

    family: str
    shares: Mapping[str, float]
    source: str = SOURCE

    def share(self, mode: str) -> float:
        """The share of one way, 0 when the family does not know it."""
        return self.shares.get(mode, 0.0)


TRANSISTOR = Modes("bipolar transistor", {SHORT: 0.73, OPEN: 0.27})
FIELD_EFFECT = Modes("field-effect transistor", {
    SHORT: 0.51, "output low": 0.22, DRIFT: 0.17, OPEN: 0.05, "output high": 0.05,
})  # fmt: skip
DIODE = Modes("rectifier diode", {SHORT: 0.49, OPEN: 0.36, DRIFT: 0.15})
FILM_RESISTOR = Modes("film resistor", {OPEN: 0.59, DRIFT: 0.36, SHORT: 0.05})
COMPOSITION_RESISTOR = Modes("composition resistor", {DRIFT: 0.66, OPEN: 0.31, SHORT: 0.03})
WIREWOUND_RESISTOR = Modes("wirewound resistor", {OPEN: 0.65, DRIFT: 0.26, SHORT: 0.09})
POTENTIOMETER = Modes("potentiometer", {OPEN: 0.53, "erratic": 0.40, SHORT: 0.07})
CERAMIC_CAPACITOR = Modes("ceramic capacitor", {SHORT: 0.49, DRIFT: 0.29, OPEN: 0.22})
FILM_CAPACITOR = Modes("plastic film capacitor", {OPEN: 0.42, SHORT: 0.40, DRIFT: 0.18})
ELECTROLYTIC_CAPACITOR = Modes("aluminium electrolytic capacitor", {SHORT: 0.53, OPEN: 0.35, "leak": 0.10, DRIFT: 0.02})
TANTALUM_CAPACITOR = Modes("solid tantalum capacitor", {SHORT: 0.69, OPEN: 0.17, DRIFT: 0.14})
LINEAR_CIRCUIT = Modes("integrated linear circuit", {IMPROPER: 0.77, SILENT: 0.23})
TRANSFORMER = Modes("transformer", {OPEN: 0.42, SHORT: 0.42, DRIFT: 0.16})
THYRISTOR = Modes("thyristor", {})
"""What was read of the table has no thyristor."""
FUSE = Modes("fuse", {"fails to open": 0.49, "slow to open": 0.43, "opens too early": 0.08})
CONNECTION = Modes("connection", {OPEN: 0.61, "intermittent": 0.23, SHORT: 0.16})

FAMILIES = (
    TRANSISTOR, FIELD_EFFECT, DIODE, FILM_RESISTOR, COMPOSITION_RESISTOR, WIREWOUND_RESISTOR, POTENTIOMETER,
    CERAMIC_CAPACITOR, FILM_CAPACITOR, ELECTROLYTIC_CAPACITOR, TANTALUM_CAPACITOR, LINEAR_CIRCUIT, TRANSFORMER, FUSE,
    CONNECTION,
)  # fmt: skip
"""Every family of the table."""

OF_KIND: Mapping[str, Modes] = {
    "bipolar": TRANSISTOR, "mosfet": FIELD_EFFECT, "diode": DIODE, "resistor": FILM_RESISTOR,
    "capacitor": ELECTROLYTIC_CAPACITOR, "regulator": LINEAR_CIRCUIT, "thyristor": THYRISTOR,
}  # fmt: skip
"""The family that a kind of part is taken for when nothing else is known of it."""
