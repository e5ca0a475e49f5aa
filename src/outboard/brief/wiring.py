"""The leads of a design: how long and how thick each is."""

from collections.abc import Mapping

from outboard.brief.design import Conductor
from outboard.brief.entries import LEADS, WIRE
from outboard.brief.findings import Findings
from outboard.brief.values import as_table, read_values
from outboard.formulas.wire import gauge_diameter, round_section


def read_wiring(table: Mapping[str, object], findings: Findings) -> Mapping[str, Conductor]:
    """Every lead of [wiring] that was read well, by name."""
    leads: dict[str, Conductor] = {}
    raw = as_table(table.get("wiring", {}), ("wiring",), findings, "[wiring]") or {}
    for name, value in raw.items():
        if name not in LEADS:
            findings.unknown(("wiring", name), tuple(LEADS), "lead")
        elif lead := _conductor(value, ("wiring", name), findings):
            leads[name] = lead
    return leads


def _conductor(raw: object, path: tuple[str, str], findings: Findings) -> Conductor | None:
    write = f'{path[1]} = {{ length = "0.5 m", section = "1.5 mm²" }}'
    table = as_table(raw, path, findings, write)
    if table is None:
        return None
    values = read_values(table, path, WIRE, findings)
    if ("section" in table) == ("gauge" in table):
        what = "a wire has a section or a gauge" + (", not both" if "section" in table else "")
        findings.add(path, what, "one of the two", write, at_key=True)
        return None
    if "length" not in values or not {"section", "gauge"} & values.keys():
        return None
    if "section" in values:
        return Conductor(values["length"], values["section"])
    section = round_section(wire_diameter=gauge_diameter(number=values["gauge"]))
    return Conductor(values["length"], section, values["gauge"])
