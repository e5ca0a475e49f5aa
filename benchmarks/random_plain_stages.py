"""Random bypass and compound stages for the sturdiness run, without options: invented and wild on purpose."""

from random_stages import Dice, regulator_values, transistor_values

from outboard.network.part import Heat, Part


def random_stage(seed: int, number: int) -> tuple[list[Part], float, float]:
    """Parts, ambient temperature [K] and the largest load [A] of one stage."""
    dice = Dice(seed, number)
    negative, compound, shared = dice.chance(0.2), dice.chance(0.5), dice.chance(0.5)
    like_input, like_output = ("npn", "pnp") if negative else ("pnp", "npn")
    regulator = regulator_values(dice)
    voltage = regulator["set_voltage"] + dice.between(2.0, 20.0)
    devices = int(dice.random.integers(1, 5))
    ballast = dice.decades(0.005, 0.5) if dice.chance(0.7) else 0.0
    alike = dice.chance(0.5)

    def across(kind: str, name: str, values: dict[str, float], net: str) -> Part:
        ends = ("ground", net) if negative else (net, "ground")
        return Part(name, kind, dict(zip(("plus", "minus"), ends, strict=True)), values)

    def sink(name: str) -> str:
        return "sink" if shared else f"{name} sink"

    source = {"voltage": voltage, "resistance": dice.decades(1e-3, 0.3) if dice.chance(0.7) else 0.0}
    parts = [
        across("source", "input", source, "in"),
        Part("R1", "resistor", {"a": "in", "b": "x"}, {"resistance": dice.decades(0.3, 30.0)}),
        Part("U1", "regulator", {"in": "x", "out": "out", "ref": "ground"}, regulator,
             "negative" if negative else "positive", heat=Heat(sink("U1"), dice.decades(0.5, 100.0))),
        across("load", "load", {"draws": 0.0}, "out"),
    ]  # fmt: skip
    warm = {sink("U1")}
    base = "x"
    if compound:
        base = "y"
        heat = Heat(sink("Q1"), dice.decades(0.5, 100.0))
        parts.append(Part("Q1", "bipolar", {"collector": "y", "base": "x", "emitter": "in"},
                          transistor_values(dice), like_input, heat=heat))  # fmt: skip
        warm.add(sink("Q1"))
        if dice.chance(0.7):
            parts.append(Part("R2", "resistor", {"a": "y", "b": "out"}, {"resistance": dice.decades(10.0, 10e3)}))
    usual, hot = transistor_values(dice), dice.decades(0.3, 100.0)
    for k in range(devices):
        name = f"Q{k + 2}"
        own = usual if alike else usual | {
            "saturation_current": usual["saturation_current"] * dice.decades(0.5, 2.0),
            "forward_gain": usual["forward_gain"] * dice.decades(0.7, 1.4),
        }  # fmt: skip
        lead = f"e{k + 2}" if ballast else ("out" if compound else "in")
        pins = {"collector": "in" if compound else "out", "base": base, "emitter": lead}
        parts.append(Part(name, "bipolar", pins, own, like_output if compound else like_input,
                          heat=Heat(sink(name), hot)))  # fmt: skip
        warm.add(sink(name))
        if ballast:
            ends = {"a": lead, "b": "out" if compound else "in"}
            parts.append(Part(f"R{k + 3}", "resistor", ends, {"resistance": ballast}))
    for name in sorted(warm):
        resistance = {"resistance": dice.decades(0.3, 30.0)}
        parts.append(Part(f"{name} to air", "thermal_resistance", {"a": name, "b": "ambient"}, resistance))
    most = regulator["current_limit"] * (1.0 + usual["forward_gain"] * dice.between(0.1, 1.0))
    return parts, 273.15 + dice.between(-40.0, 125.0), min(1.3 * most, dice.decades(2.0, 60.0))
