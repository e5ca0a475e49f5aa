"""The colours and strokes of the plate: one set by day, one by night, one for paper in black and white.

With `data-theme` auto the reader's own setting decides; light, dark and print are forced. On paper tint becomes
hatching: dots, then lines, then crossed lines, each denser than the last.
"""

LIGHT = {
    "paper": "#fbf8f1", "ink": "#1c2530", "ink2": "#55606b", "rf": "#bccfde", "rc": "#7c9ab3", "heat": "#b0451c",
    "t0": "#fffdf8", "t1": "#fbeedb", "t2": "#f5d9b4", "t3": "#edb97f", "t4": "#e09858", "t5": "#d07c3d",
    "tx": "#8c2a17",
}  # fmt: skip
DARK = {
    "paper": "#151a20", "ink": "#ece6d9", "ink2": "#a9b0b6", "rf": "#31516b", "rc": "#6b94b3", "heat": "#ee8f55",
    "t0": "#1a2027", "t1": "#332b1f", "t2": "#493721", "t3": "#63431f", "t4": "#7e4d1c", "t5": "#9b5616",
    "tx": "#f0b79c",
}  # fmt: skip
PRINT = {
    "paper": "#fff", "ink": "#000", "ink2": "#333", "rf": "#d9d9d9", "rc": "#555", "heat": "#000", "t0": "#fff",
    "t1": "url(#h1)", "t2": "url(#h2)", "t3": "url(#h3)", "t4": "url(#h4)", "t5": "url(#h5)", "tx": "#000",
}  # fmt: skip
STEPS = ("t0", "t1", "t2", "t3", "t4", "t5", "tx")

RULES = """
.paper{fill:var(--paper)}
.rc,.rf,.ln,.halo{fill:none;stroke-linejoin:round}.rc{stroke:var(--rc)}.rf{stroke:var(--rf)}
.pc{fill:var(--rc);stroke:var(--rc);stroke-width:1.8;stroke-linejoin:round}.pf{fill:var(--rf)}
.ln{stroke:var(--ink);stroke-width:1.25;stroke-linecap:square}.halo{stroke:var(--paper)}
.bd{fill:var(--t0);stroke:var(--ink);stroke-width:1.6;stroke-linejoin:round}
.in,.pl,.bar,.zig,.st{fill:none;stroke:var(--ink);stroke-width:1.6}.st{stroke-width:1.25}.pl{stroke-width:2}.bar{stroke-width:2.6}
.zig{stroke-linejoin:round}.ar,.dot{fill:var(--ink)}.hl{fill:var(--paper)}.heat{fill:var(--heat)}
.hit{fill:none;pointer-events:all}
.bd.wash{stroke:none;fill:none}.tx .bd{stroke-width:3}.tx .zig{stroke-width:3}
.sw{fill:var(--rf);stroke:var(--rc);stroke-width:.9}.tick{fill:none;stroke:var(--ink);stroke-width:.8}
.w{fill:var(--ink)}text{fill:var(--ink);font-variant-numeric:tabular-nums lining-nums;white-space:pre}
.n{font:600 16px 'Source Serif 4',Georgia,serif}.t,.v{font:14px 'Source Sans 3',system-ui,sans-serif}
.b{font:600 14px 'Source Sans 3',system-ui,sans-serif}.net{font:italic 16px 'Source Serif 4',Georgia,serif}
.pin{font:italic 13.5px 'Source Serif 4',Georgia,serif}.s{font:12.5px 'Source Sans 3',system-ui,sans-serif}
.t,.s{fill:var(--ink2)}.part .t{fill:var(--ink)}
.part:focus-visible .bd,.part.chosen .bd{stroke-width:3}
.tx .in,.tx .bar{stroke:var(--paper)}.tx .ar,.tx.part text,.tx.part .w,.tx.part .t{fill:var(--paper)}
[data-theme=print] .hal{paint-order:stroke;stroke:#fff;stroke-width:5px;stroke-linejoin:round}
@media print{.hal{paint-order:stroke;stroke:#fff;stroke-width:5px;stroke-linejoin:round}}
"""

HATCHES = (
    ("h1", 7.0, '<circle cx="3.5" cy="3.5" r=".8"/>'),
    ("h2", 7.0, '<path d="M0 3.5H7"/>'),
    ("h3", 4.0, '<path d="M0 2H4"/>'),
    ("h4", 6.0, '<path d="M0 3H6M3 0V6"/>'),
    ("h5", 3.4, '<path d="M0 1.7H3.4M1.7 0V3.4"/>'),
)
"""Name, pitch and stroke of the hatching of t1 … t5."""


def _set(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in colours.items())


def stylesheet() -> str:
    """All rules of a drawing, each held to the drawing itself so that several fit on one page."""
    dark, printed = _set(DARK), _set(PRINT)
    head = (
        f".plate{{{_set(LIGHT)}}}"
        f"@media(prefers-color-scheme:dark){{.plate[data-theme=auto]{{{dark}}}}}"
        f"@media print{{.plate{{{printed}}}}}"
        f".plate[data-theme=dark]{{{dark}}}.plate[data-theme=print]{{{printed}}}"
    )
    tints = "".join(f".plate .{step} .bd,.plate .sq.{step}{{fill:var(--{step})}}" for step in STEPS)
    tints += ".plate .part.t0 .bd.wash{fill:none}"
    return head + _held(RULES) + tints + ".plate .sq{stroke:var(--ink);stroke-width:.8}"


def _held(rules: str) -> str:
    """Every selector put under the class of the drawing."""
    found = []
    for rule in rules.replace("\n", "").replace("}}", "}\x00").split("}"):
        if not rule.strip("\x00"):
            continue
        lead, _, rest = rule.rpartition("@media print{")
        prefix = "@media print{" if lead or rule.startswith("@media") else ""
        selectors, _, body = rest.strip("\x00").partition("{")
        held = ",".join(
            f".plate{one}" if one.startswith("[") else f".plate .{one[1:]}" if one.startswith(".") else f".plate {one}"
            for one in selectors.split(",")
        )  # fmt: skip
        found.append(f"{prefix}{held}{{{body}}}" + ("}" if prefix else ""))
    return "".join(found)


def hatches() -> str:
    """The patterns that stand for tint on paper."""
    return "<defs>" + "".join(
        f'<pattern id="{name}" width="{pitch:g}" height="{pitch:g}" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect width="{pitch:g}" height="{pitch:g}" fill="#fff"/>'
        f'<g fill="#333" stroke="#333" stroke-width=".7">{stroke}</g></pattern>'
        for name, pitch, stroke in HATCHES
    ) + "</defs>"
