"""The tables of a design file that are not parts: input, output, surroundings, requirements, stage and heat."""

from collections.abc import Collection, Mapping

from outboard.brief.design import (
    Dynamics,
    HeatPaths,
    Input,
    Mount,
    Output,
    OwnDerating,
    Requirements,
    Stage,
    Surroundings,
    Tolerances,
)
from outboard.brief.entries import MOUNT, RATED, ROLES, SECTIONS, SINK, TYPE_KEYS
from outboard.brief.explicit import check_type
from outboard.brief.findings import Findings
from outboard.brief.near_miss import nearest
from outboard.brief.places import Places
from outboard.brief.safe_area import read_safe_areas
from outboard.brief.stage_rules import misplaced
from outboard.brief.values import Values, as_table, read_value, read_values
from outboard.formulas.derating_policies import MILITARY
from outboard.network.part import AMBIENT
from outboard.quantity import CURRENT, TIME, quoted, shown

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
    stage = sections["stage"]
    for key in TYPE_KEYS:
        check_type(stage.get(key), ("stage", key), findings, known_types)
    for section in ("input", "output"):
        if section not in sections and section not in meant:
            findings.add(("stage",), f"a stage needs [{section}]", f"[{section}] with what it promises",
                         f"[{section}]", at_key=True)  # fmt: skip
    _check_signs(sections, findings)
    if isinstance(table["stage"], dict):
        for key, refusal in misplaced(table["stage"]):
            findings.add(("stage", key), refusal.reason, refusal.expected, refusal.write, at_key=True)
        _check_counts(stage, findings)


def _check_signs(sections: dict[str, Values], findings: Findings) -> None:
    """Input and output lie on the same side of ground; a negative stage is the mirror image of a positive one."""
    promised = sections.get("output", {}).get("voltage")
    feed = sections.get("input", {}).get("voltage")
    if promised == 0.0:
        findings.add(("output", "voltage"), "a stage holds no output at 0 V", "a voltage of either sign",
                     'voltage = "12 V"')  # fmt: skip
    elif promised is not None and feed is not None and (feed.least if promised > 0 else -feed.most) <= 0:
        sign, example = ("positive", '"18 V"') if promised > 0 else ("negative", '"-18 V"')
        what = f"the output is {sign}, and a stage takes it from a {sign} input"
        findings.add(("input", "voltage"), what, f"a {sign} voltage", f"voltage = {example}")


def _check_counts(stage: Values, findings: Findings) -> None:
    """A limit that folds back falls."""
    limit, foldback = stage.get("limit"), stage.get("foldback")
    if limit is not None and foldback is not None and foldback >= limit:
        what = "a limit that folds back leaves less at a shorted output than at full voltage"
        findings.add(("stage", "foldback"), what, f"less than {shown(limit, CURRENT)}",
                     f'foldback = "{shown(0.3 * limit, CURRENT)}"')  # fmt: skip
    if "regulator_ballast" in stage and stage.get("regulators") == 1:
        findings.add(("stage", "regulator_ballast"), "a single regulator needs no ballast", "regulators = 2 or more",
                     "regulators = 2", at_key=True)  # fmt: skip


def read_heat(table: Raw, stage: Values | None, findings: Findings) -> HeatPaths:
    """Sinks and what is mounted on them."""
    heat = as_table(table.get("heat", {}), ("heat",), findings, "[heat]") or {}
    sinks = _sinks(heat.get("sinks", {}), findings)
    mounts: dict[str, Mount] = {}
    for role, raw in heat.items():
        path = ("heat", role)
        if role in ("sinks", "safe_area"):
            continue
        if role not in ROLES:
            findings.unknown(path, (*ROLES, "sinks", "safe_area"), "device of a stage")
        elif stage is None:
            findings.add(path, "there is no [stage] with such a device", "heat in the part itself",
                         'heat = { to = "sink", resistance = "1.5 K/W" }', at_key=True)  # fmt: skip
        elif reason := _absent(role, stage):
            findings.add(path, reason, "pass and regulator", at_key=True)
        elif mount := _mount(raw, path, sinks, findings):
            mounts[role] = mount
    areas = read_safe_areas(heat.get("safe_area", {}), table, findings)
    return HeatPaths({name: sink for name, sink in sinks.items() if sink is not None}, mounts, areas)


def _absent(role: str, stage: Values) -> str:
    """Why a stage has no device of a role; nothing when it has one."""
    if role in ("pass", "regulator") or role in stage or "arrangement" not in stage:
        return ""
    arrangement = stage["arrangement"]
    if role == "driver":
        return "" if arrangement == "compound" else f"a {arrangement} has no driver"
    return f"[stage] names no {role.replace('_', ' ')}"


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
    own = _own_derating(derating) if derating is not None else None
    words = shown(short, TIME) if isinstance(short, float) else short
    return Requirements(**whole | {"short_circuit": words, "own_derating": own if whole["derating"] == "own" else None})


def _own_derating(values: Values) -> OwnDerating:
    """Shares by sort of rating, and those of single ratings beside them."""
    whole = _with_defaults("derating", values)
    single = {symbol: whole.pop(symbol) for symbol in RATED}
    return OwnDerating(**whole, by={symbol: share for symbol, share in single.items() if share is not None})


def check_derating(table: Raw, sections: dict[str, Values], findings: Findings) -> None:
    """The word "own" and the table [derating] go together."""
    own = sections.get("requirements", {}).get("derating") == "own"
    if own and "derating" not in table:
        findings.add(("requirements", "derating"), "there is no table [derating]", "its shares in [derating]",
                     "[derating]", at_key=True)  # fmt: skip
    if "derating" in table and not own:
        findings.add(("derating",), "[derating] counts only when [requirements] asks for it", "the word own",
                     'derating = "own"', at_key=True)  # fmt: skip
    required = sections.get("requirements", {})
    if "resistor_style" in required and required.get("derating") != MILITARY.name:
        findings.add(("requirements", "resistor_style"), "only one policy tells styles of resistors apart",
                     f"the policy {MILITARY.name}", f'derating = "{MILITARY.name}"', at_key=True)  # fmt: skip


def tolerances_of(values: Values) -> Tolerances:
    """How units lie within their tolerances."""
    return Tolerances(**_with_defaults("tolerances", values))


def dynamics_of(values: Values) -> Dynamics:
    """What moves, and how fast."""
    return Dynamics(**_with_defaults("dynamics", values))


def stage_of(values: Values | None, places: Places) -> Stage | None:
    """The stage; what is None in it is to be sized."""
    if values is None:
        return None
    whole = _with_defaults("stage", values)
    written = {key: places.value(("stage", key)) for key in values}
    counts = {key: int(whole[key]) for key in ("count", "regulators")}
    return Stage(pass_type=whole.pop("pass"), **whole | counts | {"places": written})


def _with_defaults(section: str, values: Values) -> Values:
    return {key: values.get(key, entry.default) for key, entry in SECTIONS[section].items()}
