"""Random regulator stages for the sturdiness run: invented and wild on purpose, many of them nobody would build."""

from dataclasses import dataclass, field

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

    def pick(self, *choices: str) -> str:
        return str(self.random.choice(choices))

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


def mosfet_values(dice: Dice) -> dict[str, float]:
    values = {
        "threshold_voltage": dice.between(0.8, 4.0),
        "transconductance": dice.decades(0.2, 50.0),
        "slope": dice.between(1.0, 1.6),
        "threshold_tempco": dice.between(-7e-3, 0.0),
    }
    dice.maybe(values, "output_conductance", 0.6, 1e-3, 5e-2)
    dice.maybe(values, "drain_resistance", 0.7, 1e-3, 0.3)
    dice.maybe(values, "body_saturation_current", 0.7, 1e-14, 1e-9)
    return values


def diode_values(dice: Dice) -> dict[str, float]:
    values = {"saturation_current": dice.decades(1e-14, 1e-8), "emission_coefficient": dice.between(1.0, 2.0)}
    dice.maybe(values, "series_resistance", 0.6, 5e-3, 0.5)
    return values


def zener_values(dice: Dice, voltage: float) -> dict[str, float]:
    values = {"saturation_current": 1e-14, "breakdown_voltage": voltage, "breakdown_current": dice.decades(1e-3, 0.1)}
    dice.maybe(values, "breakdown_resistance", 0.7, 0.05, 20.0)
    dice.maybe(values, "breakdown_emission", 0.5, 1.0, 4.0)
    return values


@dataclass
class Stage:
    """One stage while it is put together; `negative` turns every polarity and every source round."""

    dice: Dice
    negative: bool
    shared: bool
    parts: list[Part] = field(default_factory=list)
    warm: set[str] = field(default_factory=set)

    def polarity(self, of_positive: str) -> str:
        turned = {"pnp": "npn", "npn": "pnp", "p-channel": "n-channel", "positive": "negative"}
        return turned[of_positive] if self.negative else of_positive

    def heat(self, name: str, resistance: float | None = None) -> Heat:
        sink = "sink" if self.shared else f"{name} sink"
        self.warm.add(sink)
        return Heat(sink, self.dice.decades(0.5, 100.0) if resistance is None else resistance)

    def across(self, kind: str, name: str, values: dict[str, float], net: str) -> None:
        ends = ("ground", net) if self.negative else (net, "ground")
        self.parts.append(Part(name, kind, dict(zip(("plus", "minus"), ends, strict=True)), values))

    def resistor(self, name: str, a: str, b: str, low: float, high: float) -> None:
        self.parts.append(Part(name, "resistor", {"a": a, "b": b}, {"resistance": self.dice.decades(low, high)}))

    def diode(self, name: str, anode: str, cathode: str, values: dict[str, float]) -> None:
        ends = (cathode, anode) if self.negative else (anode, cathode)
        pins = dict(zip(("anode", "cathode"), ends, strict=True))
        self.parts.append(Part(name, "diode", pins, values, heat=self.heat(name)))

    def transistor(
        self, name: str, polarity: str, nets: tuple[str, str, str], values: dict[str, float], hot: float | None = None
    ) -> None:
        """Collector, base, emitter; or drain, gate, source."""
        kind = "mosfet" if polarity == "p-channel" else "bipolar"
        pins = ("drain", "gate", "source") if kind == "mosfet" else ("collector", "base", "emitter")
        self.parts.append(Part(name, kind, dict(zip(pins, nets, strict=True)), values, self.polarity(polarity),
                               heat=self.heat(name, hot)))  # fmt: skip

    def outputs(self, polarity: str, base: str, near: str, far: str) -> float:
        """One to four output devices side by side, with or without ballast; the gain of the usual one."""
        dice = self.dice
        usual = mosfet_values(dice) if polarity == "p-channel" else transistor_values(dice)
        hot, alike = dice.decades(0.3, 100.0), dice.chance(0.5)
        ballast = dice.decades(0.005, 0.5) if dice.chance(0.7) else 0.0
        for k in range(int(dice.random.integers(1, 5))):
            name, lead = f"Q{k + 2}", f"e{k + 2}" if ballast else near
            own = dict(usual)
            for spread in ("saturation_current", "forward_gain", "transconductance"):
                if spread in own and not alike:
                    own[spread] *= dice.decades(0.6, 1.6)
            self.transistor(name, polarity, (far, base, lead), own, hot)
            if ballast:
                self.parts.append(Part(f"R{name}", "resistor", {"a": near, "b": lead}, {"resistance": ballast}))
        return usual.get("forward_gain", 30.0)


def feed(stage: Stage) -> str:
    """The way from the input to the regulator, and what of it a limiter watches; the net the outputs begin at."""
    dice = stage.dice
    if dice.chance(0.25):  # a diode beside the resistor makes up for V_BE
        stage.resistor("R1", "in", "d", 0.05, 3.0)
        stage.diode("D1", "d", "x", diode_values(dice))
        stage.resistor("R9", "in", "x", 100.0, 10e3)
    else:
        stage.resistor("R1", "in", "x", 0.3, 30.0)
    if not dice.chance(0.25):
        return "in"
    stage.resistor("R8", "in", "sense", 0.02, 2.0)
    stage.transistor("Q8", "pnp", ("x", "sense", "in"), transistor_values(dice))
    return "sense"


def helpers(stage: Stage, arrangement: str) -> tuple[float, str]:
    """The transistors around the regulator: their gain, and the net of the regulator's output."""
    dice = stage.dice
    if arrangement == "follower":
        gain = stage.outputs("npn", "b", "out", "in")
        stage.resistor("R2", "b", "out", 20.0, 5e3)
        return gain, "b"
    near = feed(stage)
    if arrangement in ("bypass", "mosfet"):
        return stage.outputs("pnp" if arrangement == "bypass" else "p-channel", "x", near, "out"), "out"
    if arrangement == "darlington":
        stage.transistor("Q1", "pnp", ("out", "x", "m"), transistor_values(dice))
        gain = stage.outputs("pnp", "m", near, "out")
        stage.resistor("R2", near, "m", 10.0, 2e3)
        return 3.0 * gain, "out"
    stage.transistor("Q1", "pnp", ("y", "x", near), transistor_values(dice))
    gain = stage.outputs("npn", "y", "out", "in")
    if dice.chance(0.7):
        stage.resistor("R2", "y", "out", 10.0, 10e3)
    return gain, "out"


def reference(stage: Stage, arrangement: str, out: str) -> str:
    """What the regulator refers to: ground, a divider, a diode or a Zener diode that lifts it."""
    dice = stage.dice
    kind = (
        "diode" if arrangement == "follower" and dice.chance(0.6) else dice.pick("ground", "ground", "divider", "zener")
    )
    if kind == "ground":
        return "ground"
    if kind == "divider":
        stage.resistor("R6", out, "ref", 50.0, 2e3)
        stage.resistor("R7", "ref", "ground", 20.0, 5e3)
    elif kind == "diode":
        stage.diode("D6", "ref", "ground", diode_values(dice))
    else:
        stage.diode("D6", "ground", "ref", zener_values(dice, dice.between(2.5, 9.0)))
    return "ref"


def besides(stage: Stage, voltage: float, limit: float) -> None:
    """What may hang on the rails besides: protection, and loads of other kinds."""
    dice = stage.dice
    if dice.chance(0.15):
        stage.diode("D2", "out", "in", diode_values(dice))
    if dice.chance(0.15):
        stage.diode("D3", "ground", "out", zener_values(dice, voltage * dice.between(0.8, 1.5)))
    if dice.chance(0.1):
        stage.diode("D4", "ground", "in", zener_values(dice, voltage * dice.between(0.9, 2.0)))
    usual = voltage / limit
    values = {
        "lamp": {"lamp_voltage": voltage, "lamp_power": voltage * limit * dice.decades(0.05, 1.0)},
        "battery": {"battery": voltage * dice.between(0.3, 1.2), "resistance": dice.decades(0.02, 2.0)},
        "power": {"power": voltage * limit * dice.decades(0.02, 0.7), "cut_in_voltage": dice.between(0.5, 4.0)},
        "resistance": {"resistance": usual * dice.decades(0.5, 20.0)},
        "none": {},
    }
    kind = dice.pick("none", "none", "none", *values)
    lamp = values["lamp"]
    lamp["cold_resistance"] = dice.between(0.05, 0.2) * lamp["lamp_voltage"] ** 2 / lamp["lamp_power"]
    if values[kind]:
        stage.across("load", f"{kind} beside", values[kind], "out")


def random_stage(seed: int, number: int) -> tuple[list[Part], float, float]:
    """Parts, ambient temperature [K] and the largest load [A] of one stage."""
    dice = Dice(seed, number)
    stage = Stage(dice, dice.chance(0.25), dice.chance(0.5))
    arrangement = dice.pick("bypass", "bypass", "compound", "compound", "darlington", "follower", "mosfet")
    values = regulator_values(dice)
    voltage, limit = values["set_voltage"], values["current_limit"]
    resistance = dice.decades(1e-3, 0.3) if dice.chance(0.7) else 0.0
    stage.across("source", "input", {"voltage": voltage + dice.between(2.0, 20.0), "resistance": resistance}, "in")
    stage.across("load", "load", {"draws": 0.0}, "out")
    gain, out = helpers(stage, arrangement)
    pins = {"in": "in" if arrangement == "follower" else "x", "out": out, "ref": reference(stage, arrangement, out)}
    polarity = stage.polarity("positive")
    stage.parts.append(Part("U1", "regulator", pins, values, polarity, heat=stage.heat("U1")))
    besides(stage, voltage, limit)
    for name in sorted(stage.warm):
        ends = {"a": name, "b": "ambient"}
        stage.parts.append(Part(f"{name} to air", "thermal_resistance", ends, {"resistance": dice.decades(0.3, 30.0)}))
    most = min(1.3 * limit * (1.0 + gain * dice.between(0.1, 1.0)), dice.decades(2.0, 60.0))
    return stage.parts, 273.15 + dice.between(-40.0, 125.0), most
