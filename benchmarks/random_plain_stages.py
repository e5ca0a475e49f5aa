"""Random bypass and compound stages for the sturdiness run, without options: invented and wild on purpose."""

import numpy as np

from outboard.network.part import Heat, Part


class Dice:
    """Random numbers of one stage."""

    def __init__(self, seed: int, number: int) -> None:
        self.random = np.random.default_rng([seed, number])

    def between(self, low: float, high: float) -> float:
        return float(self.random.uniform(low, high))

    def decades(self, low: float, high: float) -> float:
        return float(np.exp(self.random.uniform(np.log(low), np.log(high))))

    def chance(self, share: float) -> bool:
        return bool(self.random.random() < share)

    def maybe(self, values: dict[str, float], field: str, share: float, low: float, high: float) -> None:
        """With this chance the field gets a value over the decades between low and high."""
        value = self.decades(low, high)
        if self.chance(share):
            values[field] = value


def transistor_values(dice: Dice) -> dict[str, float]:
    values = {
        "saturation_current": dice.decades(1e-15, 1e-10),
        "forward_gain": dice.decades(5.0, 300.0),
        "reverse_gain": dice.decades(0.5, 10.0),
        "gain_temperature_exponent": dice.between(0.0, 2.0),
        "emitter_leakage_emission": dice.between(1.3, 2.0),
        "cutoff_doubling": dice.between(8.0, 12.0),
    }
    dice.maybe(values, "forward_early_voltage", 0.7, 20.0, 300.0)
    dice.maybe(values, "reverse_early_voltage", 0.2, 5.0, 50.0)
    dice.maybe(values, "forward_knee_current", 0.7, 0.1, 30.0)
    dice.maybe(values, "emitter_leakage_current", 0.6, 1e-14, 1e-9)
    dice.maybe(values, "collector_leakage_current", 0.2, 1e-14, 1e-10)
    dice.maybe(values, "cutoff_current", 0.6, 1e-9, 1e-5)
    dice.maybe(values, "base_resistance", 0.6, 0.05, 10.0)
    dice.maybe(values, "emitter_resistance", 0.6, 1e-3, 0.1)
    dice.maybe(values, "collector_resistance", 0.6, 1e-3, 0.5)
    dice.maybe(values, "emitter_breakdown_voltage", 0.2, 4.0, 9.0)
    return values


def regulator_values(dice: Dice) -> dict[str, float]:
    limit = dice.decades(0.1, 5.0)
    values = {
        "set_voltage": dice.between(3.0, 24.0),
        "output_resistance": dice.decades(1e-3, 0.1),
        "line_coefficient": dice.between(0.0, 1e-3),
        "set_voltage_tempco": dice.between(-2e-4, 2e-4),
        "dropout_voltage": dice.between(0.3, 2.5),
        "dropout_resistance": dice.decades(0.1, 2.0),
        "dropout_tempco": dice.between(-3e-3, 1e-3),
        "current_limit": limit,
        "short_circuit_current": limit * dice.between(0.1, 1.0),
        "foldback_start": dice.between(3.0, 12.0),
        "foldback_end": dice.between(15.0, 35.0),
        "limit_tempco": dice.between(-4e-3, 1e-3),
        "quiescent_current": dice.decades(1e-4, 1e-2),
        "quiescent_load_coefficient": dice.decades(1e-4, 1e-2),
        "shutdown_temperature": 273.15 + dice.between(125.0, 180.0),
        "shutdown_width": dice.between(0.5, 4.0),
    }
    dice.maybe(values, "quiescent_line_coefficient", 0.5, 1e-6, 1e-4)
    dice.maybe(values, "sharpness", 0.5, 2e-5, 2e-3)
    dice.maybe(values, "divider_resistance", 0.5, 1e3, 1e5)
    dice.maybe(values, "reverse_voltage", 0.3, 0.4, 1.0)
    return values


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
