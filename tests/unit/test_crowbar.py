"""The crowbar: when it fires, that it stays off in service, what the load sees, what the fuse has to do."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from outboard.arrangements import Design, designed
from outboard.arrangements.crowbar import DRIFT, STEADY, Trip, Unknown, crowbar_of, trip, trip_of
from outboard.brief import read_text
from outboard.checks.finding import FAIL, PASS, UNDECIDED
from outboard.checks.verification import verified
from outboard.cli.program import program
from outboard.constants import REFERENCE_TEMPERATURE
from outboard.errors import WrongInput
from outboard.formulas import NoSolution
from outboard.formulas.crowbar import (
    clearing_time,
    crowbar_resistor,
    discharge_joule_integral,
    exponential_joule_integral,
    stored_energy,
    zener_drift,
)
from outboard.network.circuit import laid_out
from outboard.network.part import Part
from outboard.network.solve import solved
from outboard.parts import find
from outboard.whatif.faults import HARMLESS, LOST, OVERVOLTAGE, FaultReport, fault_report
from outboard.whatif.omit import EARNS, ESSENTIAL, omission
from outboard.whatif.remedies import remedies

EXAMPLES = Path(__file__).parents[2] / "examples"
OBSERVATORY = (EXAMPLES / "observatory.toml").read_text(encoding="utf-8")
NEGATIVE = (EXAMPLES / "audio-rack-negative.toml").read_text(encoding="utf-8")
BAR = 'crowbar = "15 V"\nthyristor = "BT151"\n'
T0 = REFERENCE_TEMPERATURE


def with_bar(text: str = OBSERVATORY, keys: str = BAR, withstands: str = "18.5 V") -> str:
    """An example with a crowbar."""
    stated = f'[output]\nwithstands = "{withstands}"\n' if withstands else "[output]\n"
    return text.replace("[output]\n", stated).replace("[stage]\n", f"[stage]\n{keys}")


def design(text: str) -> Design:
    return designed(read_text(text, "stage.toml"))


@pytest.fixture(scope="module")
def barred() -> Design:
    return design(with_bar())


@pytest.fixture(scope="module")
def report(barred: Design) -> FaultReport:
    return fault_report(barred)


# --- formulas ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("volts", "per_cent"), [(9.1, 0.068), (12.0, 0.077), (15.0, 0.082), (24.0, 0.088)])
def test_drift_of_zener_diodes_is_as_printed(volts: float, per_cent: float) -> None:
    """Jinan Jingheng, 1N957 series: coefficient of the Zener voltage in %/K at 25 °C; a line through them, to 7 %."""
    found = zener_drift(slope=DRIFT, zener_voltage=volts, steady_voltage=STEADY)
    assert found == pytest.approx(0.01 * per_cent * volts, rel=0.07)


def test_joule_integral_of_a_decay() -> None:
    """Littelfuse, fuse selection guide, chart 1: ½·I_p²·t_1 for an exponential with time constant t_1."""
    assert exponential_joule_integral(peak=8.0, time_constant=4e-3) == pytest.approx(0.128, rel=1e-12)


def test_a_discharge_gives_all_its_energy_to_the_resistance() -> None:
    """R·∫i²dt is ½CV², whatever R is."""
    for ohms in (0.01, 0.3, 10.0):
        integral = discharge_joule_integral(capacitance=1e-3, trip=15.0, resistance=ohms)
        assert ohms * integral == pytest.approx(stored_energy(capacitance=1e-3, trip=15.0), rel=1e-12)


def test_time_to_clear_uses_up_the_joule_integral() -> None:
    assert 300.0**2 * clearing_time(joule_integral=72.0, prospective=300.0) == pytest.approx(72.0)


def test_a_gate_that_takes_more_than_the_test_current_has_no_resistor() -> None:
    with pytest.raises(NoSolution):
        crowbar_resistor(gate_voltage=1.5, test_current=10e-3, gate_current=15e-3)


# --- when it fires ----------------------------------------------------------------------------------------------------


def test_trip_voltages_by_hand() -> None:
    """1N4744A: 15 V ± 5 % at 17 mA, 14 Ω. BT151: 0.25 V fires none, 1.5 V at 15 mA every one, at 25 °C; RT 750 Ω."""
    found = trip(find("1N4744A"), find("BT151"), 750.0, 0.0, T0, T0)
    assert isinstance(found, Trip)
    assert found.least.value == pytest.approx(14.25 + 14.0 * (0.25 / 750.0 - 17e-3) + 0.25, rel=1e-9)
    assert found.most.value == pytest.approx(15.75 + 14.0 * (15e-3 + 1.5 / 750.0 - 17e-3) + 1.5, rel=1e-9)


@pytest.mark.parametrize("thyristor", ["BT151", "TYN612", "2N6504"])
def test_cold_hot_and_tolerance_only_widen_the_trip(thyristor: str) -> None:
    def ends(*around: float) -> tuple[float, float]:
        found = trip(find("1N4744A"), find(thyristor), 470.0, *around)
        assert isinstance(found, Trip)
        return found.least.value, found.most.value

    still = ends(0.0, T0, T0)
    for around in ((0.05, T0, T0), (0.0, T0 - 35.0, T0), (0.0, T0, T0 + 40.0)):
        least, most = ends(*around)
        assert least <= still[0] and most >= still[1] and (least, most) != still


def test_gate_current_in_the_cold_is_as_printed() -> None:
    """onsemi 2N6504: 75 mA at −40 °C; nothing is extrapolated to where the sheet prints."""
    from outboard.arrangements.crowbar import gate

    found = gate(find("2N6504"), T0 - 65.0)
    assert found is not None and found.current == pytest.approx(75e-3) and found.voltage == pytest.approx(1.5)
    assert not any(origin.kind == "default" for origin in found.origins)


def test_what_cannot_be_told_is_not_told() -> None:
    low = trip(find("1N4733A"), find("BT151"), 100.0, 0.05, T0, T0)
    tied = trip(find("1N4744A"), find("BT151"), 1e-3, 0.0, T0, T0)
    assert isinstance(low, Unknown) and isinstance(tied, Unknown)


def test_the_trigger_is_chosen_for_the_wanted_voltage_within_what_is_allowed() -> None:
    for wanted, withstands, expected in (
        ("15 V", "18.5 V", "1N4744A"),
        ("13 V", "18.5 V", "1N4744A"),  # 13 V diodes may fire below 12.6 V
        ("18 V", "", "1N4746A"), ("18 V", "18.5 V", "1N4744A"),
    ):  # fmt: skip
        made = design(with_bar(keys=f'crowbar = "{wanted}"\nthyristor = "BT151"\n', withstands=withstands))
        chosen = made.part("DT").type
        assert chosen is not None and chosen.name == expected, wanted
        bar = crowbar_of(made)
        assert bar is not None
        found = trip_of(made, bar)
        assert isinstance(found, Trip) and found.least.value > 12.6


def test_a_written_trigger_is_kept_and_judged() -> None:
    made = design(with_bar(keys=BAR + 'trigger = "1N4742A"\n'))
    assert made.part("DT").type == find("1N4742A")
    notes = " ".join(made.notes)
    assert "fires between" in notes and "may fire from" in notes


def test_what_the_load_withstands_is_asked_for() -> None:
    assert any("stays undecided until [output]" in note for note in design(with_bar(withstands="")).notes)
    assert any("withstands 16.0 V" in note for note in design(with_bar(withstands="16 V")).notes)


# --- the network ------------------------------------------------------------------------------------------------------


def across(volts: float, **values: float) -> float:
    """Current through a thyristor across a source behind 1 Ω [A]."""
    thyristor = {"off_state_resistance": 1e6, "gate_saturation_current": 1e-15, "on_voltage": 0.85,
                 "on_resistance": 30e-3, **values}  # fmt: skip
    parts = (
        Part("input", "source", {"plus": "in", "minus": "ground"}, {"voltage": volts, "resistance": 1.0}),
        Part("QT", "thyristor", {"anode": "in", "cathode": "ground", "gate": "g"}, thyristor),
        Part("RT", "resistor", {"a": "g", "b": "ground"}, {"resistance": 100.0}),
    )
    block = solved(laid_out(parts, T0))
    assert block.is_solved.all()
    return float(block.pin_current("QT", "anode")[0, 0])


def test_blocking_it_leaks_and_fired_it_follows_its_line() -> None:
    """Ohm's law twice: 12 V over 1 MΩ; (12 V − 0.85 V) over 1.03 Ω, beside the leakage."""
    assert across(12.0) == pytest.approx(12.0 / (1e6 + 1.0), rel=1e-6)
    assert across(12.0, fired=1.0) == pytest.approx((12.0 - 0.85) / 1.03, rel=1e-4)
    assert across(-12.0, fired=1.0) == pytest.approx(-12.0 / (1e6 + 1.0), rel=1e-3)


# --- verify -----------------------------------------------------------------------------------------------------------


def verdicts(text: str) -> dict[str, str]:
    found = verified(design(text))
    return {one.requirement: one.verdict for one in found.findings if one.part == "QT"}


def test_verdicts_turn_with_what_they_are_held_against() -> None:
    assert verdicts(with_bar()) == {
        "crowbar stays off": PASS, "gate of the crowbar at rest": PASS, "crowbar fires in time": PASS,
    }  # fmt: skip
    assert verdicts(with_bar(withstands=""))["crowbar fires in time"] == UNDECIDED
    assert verdicts(with_bar(withstands="17 V"))["crowbar fires in time"] == FAIL
    low = verdicts(with_bar(keys=BAR + 'trigger = "1N4741A"\n'))
    assert low["crowbar stays off"] == FAIL


def test_only_limits_count_when_the_file_asks_for_it() -> None:
    """What fires a BT151 at −10 °C is not printed, so the last trip voltage rests on a default."""
    text = with_bar().replace('trust         = "typical"', 'trust         = "limits"')
    assert text != with_bar()
    assert verdicts(text)["crowbar fires in time"] == UNDECIDED


# --- faults -----------------------------------------------------------------------------------------------------------


def outcome_of(report: FaultReport, words: str):  # type: ignore[no-untyped-def]
    return next(found for found in report.outcomes if found.fault.words == words)


def test_a_shorted_pass_device_fires_it_and_the_load_lives(report: FaultReport, barred: Design) -> None:
    found = outcome_of(report, "collector and emitter of Q2 shorted")
    bar = crowbar_of(barred)
    assert bar is not None
    bounds = trip_of(barred, bar)
    assert isinstance(bounds, Trip)
    assert found.consequence == LOST and found.first.outputs is not None
    assert found.first.outputs[1] == pytest.approx(bounds.most.value)
    fired = found.first.crowbar
    assert fired is not None and fired.part == "QT" and fired.joule_integral == 72.0
    # 20.5 V behind 60 mΩ, into 0.9 V and 37 mΩ (BT151: 1.75 V at 23 A) beside the short of a milliohm
    assert fired.surge == pytest.approx((20.5 - 0.9) / (0.060 + 0.036957 + 0.001), rel=0.02)


def test_without_the_crowbar_the_same_fault_kills_the_load() -> None:
    plain = OBSERVATORY.replace("[output]\n", '[output]\nwithstands = "18.5 V"\n')
    found = outcome_of(fault_report(design(plain)), "collector and emitter of Q2 shorted")
    assert found.consequence == OVERVOLTAGE and found.first.crowbar is None


@pytest.mark.parametrize(("words", "consequence"), [
    ("DT open", HARMLESS), ("RT open", HARMLESS), ("gate of QT open", HARMLESS), ("RT shorted", HARMLESS),
    ("cathode and gate of QT shorted", HARMLESS), ("DT shorted", LOST), ("anode and gate of QT shorted", LOST),
])  # fmt: skip
def test_faults_of_the_crowbar_itself(report: FaultReport, words: str, consequence: str) -> None:
    """Open it never fires and nobody notices; a shorted trigger fires at once, and no over-voltage comes of it."""
    found = outcome_of(report, words)
    assert found.consequence == consequence
    assert (found.first.crowbar is not None) == (consequence == LOST)
    assert found.first.outputs is not None and found.first.outputs[1] < 12.7


def test_a_crowbar_that_fires_too_late_is_no_remedy() -> None:
    made = design(with_bar(withstands="16 V"))
    found = fault_report(made)
    assert outcome_of(found, "collector and emitter of Q2 shorted").consequence == OVERVOLTAGE
    assert any("lower trip voltage" in words for words in remedies(made, found))


def test_the_fuse_is_asked_for(report: FaultReport, barred: Design) -> None:
    told = remedies(barred, report)
    assert any("fire the crowbar QT" in words and "a fuse of 8 A" in words and "72 A²s" in words for words in told)
    assert not any("a crowbar that fires at" in words for words in told)


# --- the mirror image, and the file -----------------------------------------------------------------------------------


def test_a_negative_crowbar_stands_the_other_way_up_and_fires() -> None:
    made = design(with_bar(NEGATIVE, 'crowbar = "20 V"\nthyristor = "TYN612"\n', "25 V"))
    assert dict(made.part("QT").part.pins) == {"anode": "ground", "cathode": "out", "gate": "t"}
    assert dict(made.part("DT").part.pins) == {"anode": "t", "cathode": "ground"}
    found = outcome_of(fault_report(made), "collector and emitter of Q1 shorted")
    if found.first.crowbar is None:  # −23 V may stay below the last trip voltage: then the load bears it
        assert found.consequence != OVERVOLTAGE
    assert outcome_of(fault_report(made), "DT shorted").first.crowbar is not None


@pytest.mark.parametrize(("keys", "what"), [
    ('crowbar = "15 V"\n', "crowbar"), ('thyristor = "BT151"\n', "thyristor"), (BAR + 'trigger = "BD140"\n', "trigger"),
    ('crowbar = "15 V"\nthyristor = "1N4744A"\n', "thyristor"), ('RT = "100 Ω"\n', "RT"),
    ('crowbar = "-15 V"\nthyristor = "BT151"\n', "crowbar"), ('crowbar = "15 V"\nthyristor = "BT515"\n', "thyristor"),
])  # fmt: skip
def test_mistakes_are_located(keys: str, what: str) -> None:
    with pytest.raises(WrongInput) as caught:
        design(with_bar(keys=keys))
    (mistake,) = caught.value.mistakes
    assert what in mistake.what or what in str(mistake.where)
    assert mistake.line is not None


def test_written_out_it_is_the_same_circuit(tmp_path: Path) -> None:
    def solved_parts(path: Path) -> object:
        told = CliRunner().invoke(program, ["solve", str(path), "--json"])
        return json.loads(told.output)["parts"]

    first, second = tmp_path / "stage.toml", tmp_path / "parts.toml"
    first.write_text(with_bar(), encoding="utf-8")
    second.write_text(CliRunner().invoke(program, ["expand", str(first)]).output, encoding="utf-8")
    assert solved_parts(first) == solved_parts(second)


def test_every_arrangement_may_have_one() -> None:
    for path in sorted(EXAMPLES.glob("*.toml")):
        text = path.read_text(encoding="utf-8")
        if "[stage]" in text:
            made = design(with_bar(text, 'crowbar = "15 V"\nthyristor = "TYN612"\n', ""))
            assert {"QT", "DT", "RT"} <= {part.name for part in made.parts}, path.name





def test_a_crowbar_that_never_fires_fails() -> None:
    """A gate tied to its cathode: the whole input comes through, 20.5 V."""
    found = verified(design(with_bar(keys=BAR + 'RT = "0.01 Ω"\n')))
    (late,) = (one for one in found.findings if one.requirement == "crowbar fires in time")
    assert late.verdict == FAIL and late.worst == pytest.approx(20.5)


def test_what_each_of_its_parts_is_for(barred: Design) -> None:
    told = {one.part: one.word for one in omission(barred, ["DT", "RT"]).purposes}
    assert told["DT"] == ESSENTIAL and told["RT"] in (ESSENTIAL, EARNS)
