"""The tables of a design file that are not parts: input, output, surroundings, requirements, stage and heat."""

from collections.abc import Collection, Mapping

from outboard.brief.design import HeatPaths, Input, Mount, Output, OwnDerating, Requirements, Stage, Surroundings
from outboard.brief.entries import MOUNT, ROLES, SECTIONS, SINK
from outboard.brief.explicit import check_type
from outboard.brief.findings import Findings
from outboard.brief.near_miss import nearest
from outboard.brief.places import Places
from outboard.brief.values import Values, as_table, read_value, read_values
from outboard.network.part import AMBIENT
from outboard.quantity import TIME, quoted, shown

Raw = Mapping[str, object]


def read_sections(table: Raw, findings: Findings) -> dict[str, Values]:
    """The plain sections that the file has, each with the values that were read well."""
    sections: dict[str, Values] = {}
    for section, entries in SECTIONS.items():
        if section not in table:
            continue
        raw = as_table(table[section], (section,), findings, f"[{section}]")
        sections[section] = {} if raw is None else read_values(raw, (section,), entries, findings)
    return sections


def check_stage(
    table: Raw, sections: dict[str, Values], meant: Collection[str | None], findings: Findings,
    known_types: Collection[str] | None,
) -> None:  # fmt: skip
    """What a stage asks of the rest; `meant` are sections that the file has under a misspelt name."""
    for key in ("regulator", "driver", "pass"):
        check_type(sections["stage"].get(key), ("stage", key), findings, known_types)
    for section in ("input", "output"):
        if section not in sections and section not in meant:
            findings.add(("stage",), f"a stage needs [{section}]", f"[{section}] with what it promises",
                         f"[{section}]", at_key=True)  # fmt: skip
        voltage = sections.get(section, {}).get("voltage")
        if voltage is not None and (voltage if section == "output" else voltage.least) <= 0:
            findings.add((section, "voltage"), "a stage is for positive voltages", "more than 0 V",
                         "the parts of a negative circuit as [[parts]]")  # fmt: skip
    if isinstance(table["stage"], dict):
        _check_arrangement(table["stage"], findings)


def _check_arrangement(stage: Raw, findings: Findings) -> None:
    """A compound stage has a driver and may have a bleed, a bypass has neither."""
    if stage.get("arrangement") == "compound" and "driver" not in stage:
        findings.add(("stage", "driver"), "this is missing; it makes the base current of a compound's pass device",
                     "type of the driver", 'driver = "BD140"', at_key=True)  # fmt: skip
    if stage.get("arrangement") == "bypass":
        reasons = {
            "driver": "a bypass has no driver, because R1 drives its pass device directly",
            "bleed": "a bypass has no bleed, because R1 lies from base to emitter already",
        }
        for key in reasons.keys() & stage.keys():
            findings.add(("stage", key), reasons[key], f"no {key}, or a compound stage", 'arrangement = "compound"',
                         at_key=True)  # fmt: skip


def read_heat(table: Raw, stage: Values | None, findings: Findings) -> HeatPaths:
    """Sinks and what is mounted on them."""
    heat = as_table(table.get("heat", {}), ("heat",), findings, "[heat]") or {}
    sinks = _sinks(heat.get("sinks", {}), findings)
    mounts: dict[str, Mount] = {}
    for role, raw in heat.items():
        path = ("heat", role)
        if role == "sinks":
            continue
        if role not in ROLES:
            findings.unknown(path, (*ROLES, "sinks"), "device of a stage")
        elif stage is None:
            findings.add(path, "there is no [stage] with such a device", "heat in the part itself",
                         'heat = { to = "sink", resistance = "1.5 K/W" }', at_key=True)  # fmt: skip
        elif role == "driver" and stage.get("arrangement") == "bypass":
            findings.add(path, "a bypass has no driver", "pass and regulator", at_key=True)
        elif mount := _mount(raw, path, sinks, findings):
            mounts[role] = mount
    return HeatPaths({name: sink for name, sink in sinks.items() if sink is not None}, mounts)


def _sinks(raw: object, findings: Findings) -> dict[str, float | None]:
    """Every sink by name; None where its thermal resistance could not be read."""
    path = ("heat", "sinks")
    sinks: dict[str, float | None] = {}
    for name, value in (as_table(raw, path, findings, "[heat.sinks]") or {}).items():
        if not name.strip() or name == AMBIENT:
            what = f"{quoted(name)} is no name for a sink"
            findings.add((*path, name), what, "a name of its own", 'main = "0.7 K/W"', at_key=True)
        sinks[name] = read_value(value, (*path, name), SINK, findings)
    return sinks


def _mount(raw: object, path: tuple[str, str], sinks: Collection[str], findings: Findings) -> Mount | None:
    table = as_table(raw, path, findings, f'{path[1]} = {{ sink = "main", pad = "0.5 K/W" }}')
    if table is None:
        return None
    values = read_values(table, path, MOUNT, findings)
    sink = values.get("sink")
    if sink is not None and sink not in sinks:
        meant = nearest(sink, sinks)
        write = f'sink = "{meant}"' if meant else f'[heat.sinks] with {sink} = "0.7 K/W"'
        findings.add((*path, "sink"), f"there is no sink {quoted(sink)}", "a sink of [heat.sinks]", write)
    return Mount(**values) if values.keys() == MOUNT.keys() else None


def input_of(values: Values | None) -> Input | None:
    """The input as promised."""
    return None if values is None else Input(**_with_defaults("input", values))


def output_of(values: Values | None) -> Output | None:
    """The output as promised."""
    return None if values is None else Output(**_with_defaults("output", values))


def surroundings_of(values: Values) -> Surroundings:
    """The surroundings; 25 °C when nothing is said."""
    return Surroundings(**_with_defaults("surroundings", values))


def requirements_of(values: Values, derating: Values | None) -> Requirements:
    """The requirements; a time of short circuit as text again; the file's own derating where it asks for that."""
    whole = _with_defaults("requirements", values)
    short = whole["short_circuit"]
    own = OwnDerating(**_with_defaults("derating", derating)) if derating is not None else None
    words = shown(short, TIME) if isinstance(short, float) else short
    return Requirements(**whole | {"short_circuit": words, "own_derating": own if whole["derating"] == "own" else None})


def check_derating(table: Raw, sections: dict[str, Values], findings: Findings) -> None:
    """The word "own" and the table [derating] go together."""
    own = sections.get("requirements", {}).get("derating") == "own"
    if own and "derating" not in table:
        findings.add(("requirements", "derating"), "there is no table [derating]", "its shares in [derating]",
                     "[derating]", at_key=True)  # fmt: skip
    if "derating" in table and not own:
        findings.add(("derating",), "[derating] counts only when [requirements] asks for it", "the word own",
                     'derating = "own"', at_key=True)  # fmt: skip


def stage_of(values: Values | None, places: Places) -> Stage | None:
    """The stage; what is None in it is to be sized."""
    if values is None:
        return None
    whole = _with_defaults("stage", values)
    written = {key: places.value(("stage", key)) for key in values}
    return Stage(pass_type=whole.pop("pass"), **whole | {"count": int(whole["count"]), "places": written})


def _with_defaults(section: str, values: Values) -> Values:
    return {key: values.get(key, entry.default) for key, entry in SECTIONS[section].items()}
