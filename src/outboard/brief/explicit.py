"""The explicit parts of a design file, [[parts]]: kinds, pins, fields, polarity and the ways to be heated."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from outboard.brief.entries import PART_HEAT, PART_ROLE, field_entry
from outboard.brief.entry import Entry
from outboard.brief.findings import Findings
from outboard.brief.near_miss import nearest
from outboard.brief.places import Path
from outboard.brief.values import Values, as_table, described, known_values, misspelt, read_values
from outboard.network.fields import KINDS, LOAD_FORMS, MODELS, PINS, POLARITIES, POLARITY_SAID, fields
from outboard.quantity import quoted

TYPED = ("diode", "bipolar", "mosfet", "regulator", "thyristor")
"""Kinds of which the catalogue knows types."""

HEATED = ("resistor", "capacitor", "inductor", "diode", "bipolar", "mosfet", "regulator", "thyristor")
"""Kinds that have a temperature."""

HEADING = {
    "name": Entry("a name of its own", required=True, example='"R1"'),
    "kind": Entry("the kind of part", required=True, choices=tuple(KINDS), example='"resistor"'),
}
"""What every part says first."""

COMMON = (*HEADING, "role", "pins", "polarity", "model", "type", "heat")
"""The keys of a part that are not fields of its kind."""


def read_parts(value: object, findings: Findings, known_types: Collection[str] | None) -> list[Values]:
    """Every part that could be read; notes the mistakes of each, and names that are used twice."""
    if not isinstance(value, list):
        findings.add(("parts",), f"{described(value)} where a list of parts is wanted", "[[parts]] before each part",
                     "[[parts]]", at_key=True)  # fmt: skip
        return []
    parts: list[Values] = []
    taken: set[str] = set()
    for index, raw in enumerate(value):
        path = ("parts", index)
        table = as_table(raw, path, findings, '{ name = "R1", kind = "resistor", … }')
        part: Values = {} if table is None else _part(table, path, findings, known_types)
        name = part.get("name")
        if name in taken:
            findings.add((*path, "name"), f"there is a part {quoted(name)} already", "a name of its own",
                         f'name = "{_free(name, taken)}"')  # fmt: skip
        elif name:
            taken.add(name)
        parts.append(part)
    return parts


def check_type(name: object, path: Path, findings: Findings, known_types: Collection[str] | None) -> None:
    """Note a type that the catalogue does not know; without a catalogue everything passes."""
    if isinstance(name, str) and known_types is not None and name not in known_types:
        meant = nearest(name, known_types)
        findings.add(path, f"the catalogue has no {quoted(name)}", "a type of the catalogue",
                     f'{path[-1]} = "{meant}"' if meant else "one of those that `outboard parts` lists")  # fmt: skip


def _part(table: Mapping[str, object], path: Path, findings: Findings, known_types: Collection[str] | None) -> Values:
    kind = table.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        return _heading(table, path, findings)
    model = table.get("model")
    own = MODELS.get((kind, model)) if isinstance(model, str) else None
    reading = _Reading(kind, table, path, findings, {
        name: field_entry(name, field) for name, field in (fields(kind) if own is None else own).items()
    })  # fmt: skip
    part = reading.part()
    check_type(part["type"], (*path, "type"), findings, known_types)
    return part


def _heading(table: Mapping[str, object], path: Path, findings: Findings) -> Values:
    """The part of a kind that is unknown: only its name and kind can be judged."""
    every_field = {field for kind in KINDS for field in fields(kind)}
    unknown = {key: value for key, value in table.items() if nearest(key, HEADING) and key not in every_field}
    meant = misspelt(unknown, path, COMMON, findings, "key of a part")
    return known_values(table, path, HEADING, findings, meant)


@dataclass(frozen=True, slots=True)
class _Reading:
    """One part of a known kind while it is read."""

    kind: str
    table: Mapping[str, object]
    path: Path
    findings: Findings
    fields: Mapping[str, Entry]

    def part(self) -> Values:
        """Everything the part says; what it must not say is noted."""
        known = (*COMMON, *self.fields)
        meant = misspelt(self.table, self.path, known, self.findings, f"field of a {self.kind}")
        part: Values = {"path": self.path, "polarity": None, "model": None, "type": None, "role": None}
        part |= known_values(self.table, self.path, HEADING | self._words(), self.findings, meant)
        part["pins"] = self._pins()
        part["heat"] = self._heat()
        part["values"] = known_values(self.table, self.path, self._entries(), self.findings, meant)
        if self.kind == "load" and self.table.keys() <= set(known):
            self._check_form()
        self._check_foldback(part["values"])
        self._check_lamp(part["values"])
        return part

    def _note(self, key: str, what: str, expected: str, write: str = "") -> None:
        self.findings.add((*self.path, key), what, expected, write, at_key=True)

    def _words(self) -> dict[str, Entry]:
        """Polarity, model and type, as far as this kind has them."""
        models = tuple(model for kind, model in MODELS if kind == self.kind)
        polarities = POLARITIES.get(self.kind, ())
        entries = {
            "polarity": Entry(
                " or ".join(polarities),
                required=self.kind in POLARITY_SAID,
                choices=polarities,
                example=f'"{polarities[0]}"' if polarities else "",
            ),
            "model": Entry("a model of this kind", choices=models, example='"constant_gain"'),
            "type": Entry("a type of the catalogue", example='"2N3055"'),
            "role": PART_ROLE,
        }
        foreign = {
            "polarity": None if polarities else f"a {self.kind} has no polarity",
            "model": None if models else f"a {self.kind} has one model only",
            "type": None if self.kind in TYPED else f"there are no types of {self.kind}",
        }
        for key, reason in foreign.items():
            if reason:
                del entries[key]
                if key in self.table:
                    self._note(key, reason, f"no {key}")
        return entries

    def _pins(self) -> Values:
        pins = PINS[self.kind]
        example = "pins = { " + ", ".join(f'{pin} = "…"' for pin in pins) + " }"
        if "pins" not in self.table:
            self._note("pins", "this is missing", f"the nets of {', '.join(pins)}", example)
            return {}
        path = (*self.path, "pins")
        table = as_table(self.table["pins"], path, self.findings, example)
        entries = {pin: Entry("the name of a net", required=True, example='"…"') for pin in pins}
        return {} if table is None else read_values(table, path, entries, self.findings, f"pin of a {self.kind}")

    def _heat(self) -> Values | None:
        if "heat" not in self.table:
            return None
        if self.kind not in HEATED:
            self._note("heat", f"a {self.kind} has no temperature", "no heat")
            return None
        path = (*self.path, "heat")
        table = as_table(self.table["heat"], path, self.findings, 'heat = { to = "sink", resistance = "1.5 K/W" }')
        return None if table is None else read_values(table, path, PART_HEAT, self.findings)

    def _entries(self) -> Mapping[str, Entry]:
        """The fields; a type from the catalogue stands for those that are left out."""
        if "type" not in self.table:
            return self.fields
        return {name: replace(entry, required=False) for name, entry in self.fields.items()}

    def _check_form(self) -> None:
        """A load draws a current, or is a resistance, a power, a battery or a lamp: one of them, and whole."""
        given = self.table.keys() & self.fields.keys()
        if any(needs <= given <= needs | may for needs, may in LOAD_FORMS.values()):
            return
        for form, (needs, may) in LOAD_FORMS.items():
            if given and given <= needs | may:
                missing = sorted(needs - given)
                write = f"{missing[0]} = {self.fields[missing[0]].example}"
                what = f"{' and '.join(missing)} missing"
                self.findings.add(self.path, what, f"{' and '.join(sorted(needs))} of a {form}", write, at_key=True)
                return
        what = f"{', '.join(sorted(given))} do not go together" if given else "what it draws is missing"
        expected = "one of draws, resistance, power, battery with resistance, lamp_voltage with lamp_power"
        self.findings.add(self.path, what, expected, 'draws = "3 A"', at_key=True)

    def _check_foldback(self, values: Values) -> None:
        # what a type leaves out is in the catalogue, not among the defaults
        defaults: Values = {} if "type" in self.table else {name: of.default for name, of in self.fields.items()}
        known = defaults | values
        start, end = known.get("foldback_start", -math.inf), known.get("foldback_end", math.inf)
        if self.kind == "regulator" and start >= end:
            path = (*self.path, "foldback_end" if "foldback_end" in values else "foldback_start")
            expected, write = f"foldback_end above {start:g} V", f'foldback_end = "{start + 15:g} V"'
            self.findings.add(path, "the foldback ends before it starts", expected, write)

    def _check_lamp(self, values: Values) -> None:
        if {"lamp_voltage", "lamp_power", "cold_resistance"} <= values.keys():
            hot = values["lamp_voltage"] ** 2 / values["lamp_power"]
            if values["cold_resistance"] >= hot:
                path, what = (*self.path, "cold_resistance"), "a cold lamp has less resistance than a hot one"
                self.findings.add(path, what, f"less than {hot:.3g} Ω", f'cold_resistance = "{hot / 10:.3g} Ω"')


def _free(name: str, taken: Collection[str]) -> str:
    """A name like this one that is not taken."""
    stem = name.rstrip("0123456789") or name
    return next(free for number in range(1, len(taken) + 2) if (free := f"{stem}{number}") not in taken)
