"""Faults: what is found about designs of which everybody knows the answer, and about planted weaknesses."""

import json
import math
from collections import Counter
from pathlib import Path

import pytest

from outboard.cli.program import main
from outboard.dossier import opened
from outboard.formulas.fuse import fuse_rating
from outboard.whatif import modes
from outboard.whatif.cautions import HOT, MAINS, cautions
from outboard.whatif.fault import likeliest, single_faults
from outboard.whatif.faults import HARMLESS, OPEN, OVERVOLTAGE, FaultReport, fault_report
from outboard.whatif.remedies import remedies

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def report() -> FaultReport:
    return fault_report(opened(EXAMPLES / "observatory.toml").design)


def outcome_of(report: FaultReport, words: str):  # type: ignore[no-untyped-def]
    return next(found for found in report.outcomes if found.fault.words == words)


def test_a_shorted_pass_device_puts_the_input_on_the_load(report: FaultReport) -> None:
    found = outcome_of(report, "collector and emitter of Q2 shorted")
    assert found.consequence == OVERVOLTAGE
    # nothing is left between input and output but 60 mΩ of the feed: 20.5 V without load (Ohm's law)
    assert found.first.outputs is not None
    assert found.first.outputs[1] == pytest.approx(20.5, abs=0.01)


def test_the_bleed_shows_its_worth_only_hot_and_without_load(report: FaultReport) -> None:
    found = outcome_of(report, "R2 open")
    assert found.consequence == OVERVOLTAGE
    assert outcome_of(report, "R2 halved").consequence == HARMLESS


def test_a_base_resistor_that_opens_lets_the_output_climb(report: FaultReport) -> None:
    """All of the regulator's current becomes base current (common practice, no source)."""
    assert outcome_of(report, "R1 open").consequence == OVERVOLTAGE


def test_current_driven_backwards_is_never_harmless_without_a_figure(report: FaultReport) -> None:
    found = outcome_of(report, "battery on the output, input off")
    assert found.consequence == OPEN
    assert any("driven backwards" in words for words in found.unknown)


def test_a_chain_ends_after_three_links_and_never_breaks_a_part_twice(report: FaultReport) -> None:
    for found in report.outcomes:
        names = [found.fault.part, *(link.fault.part for link in found.links)]
        assert len(found.links) <= 3
        assert max(Counter(name for name in names if name).values(), default=1) == 1


def test_a_lost_reference_puts_the_input_on_the_load() -> None:
    """[NEC-G12702] section 5.2: the raw input comes out; so does a follower whose reference diode opens."""
    found = fault_report(opened(EXAMPLES / "museum-follower.toml").design)
    for words in ("ref of U1 open", "D4 open"):
        one = outcome_of(found, words)
        assert one.consequence == OVERVOLTAGE and not one.unknown


def test_a_hot_restart_that_has_one_equilibrium_comes_back_to_it(report: FaultReport) -> None:
    """Without foldback there is one way: the outputs are those of the design as it is."""
    found = outcome_of(report, "hot restart into a load of constant current")
    assert found.consequence == HARMLESS
    assert found.first.outputs == pytest.approx(report.healthy.outputs, rel=1e-6)


def test_shares_of_one_part_do_not_pass_the_whole() -> None:
    design = opened(EXAMPLES / "observatory.toml").design
    shares: Counter[str] = Counter()
    for fault in single_faults(design):
        shares[fault.part] += fault.share or 0.0
    assert all(share <= 1.0 + 1e-12 for share in shares.values())
    assert shares["Q1"] == pytest.approx(1.0)
    assert shares["U1"] == pytest.approx(1.0)


def test_gravest_first_and_the_exit_code_says_it(report: FaultReport, capsys: pytest.CaptureFixture[str]) -> None:
    order = [found.consequence for found in report.outcomes]
    assert order == sorted(order, key=order.index)
    assert order[0] == OVERVOLTAGE
    assert main(["faults", str(EXAMPLES / "observatory.toml"), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "FAIL"
    assert {"readings_V", "output_V"} <= told["faults"][0]["first"].keys()


def test_fuse_is_the_next_of_the_series_above_what_it_carries() -> None:
    """Preferred currents 5 A, 6.3 A, 8 A (IEC 60127, series R10 of ISO 3; from memory); 75 % used."""
    assert fuse_rating(4.0) == 6.3
    assert fuse_rating(4.8) == 8.0
    assert fuse_rating(100.0) is None


def test_remedies_and_cautions_speak_of_what_was_found(report: FaultReport) -> None:
    design = opened(EXAMPLES / "observatory.toml").design
    told = " ".join(remedies(design, report))
    for word in ("crowbar", "limiter", "diode from its output to its input", "fuse of 8 A"):
        assert word in told
    found = list(cautions(design))
    assert MAINS in found and HOT in found


def test_what_a_fault_leaves_open_is_undecided_not_harmless() -> None:
    for name in ("observatory", "model-railway", "wrong-attic-server"):
        for found in fault_report(opened(EXAMPLES / f"{name}.toml").design).outcomes:
            assert not (found.unknown and found.consequence == HARMLESS), found.fault.words


FOLDBACK = """
title = "A limit that folds back"
[input]
voltage = "30 V"
[output]
voltage = "12 V"
tolerance = "5 %"
load = ["0 A", "0.2 A", "{load}"]
[[parts]]
name = "U1"
kind = "regulator"
pins = {{ in = "in", out = "out", ref = "ground" }}
set_voltage = "12 V"
current_limit = "1.5 A"
short_circuit_current = "0.4 A"
foldback_start = "10 V"
foldback_end = "25 V"
"""


@pytest.mark.parametrize(("load", "hangs"), [("0.8 A", True), ("0.35 A", False)])
def test_a_limit_that_folds_back_hangs_on_a_load_that_takes_more_than_it_gives(
    tmp_path: Path, load: str, hangs: bool
) -> None:
    """0.4 A come at 30 V across it.  A load of I·tanh(v/0.1 V) with I = 0.8 A takes them at v = 0.1 V·artanh(0.5)."""
    file = tmp_path / "foldback.toml"
    file.write_text(FOLDBACK.format(load=load), encoding="utf-8")
    found = outcome_of(
        fault_report(opened(file).design), "a short taken off the output, into a load of constant current"
    )
    assert found.first.outputs is not None
    assert found.consequence == ("the output is lost" if hangs else HARMLESS)
    assert found.first.outputs[0] == pytest.approx(0.1 * math.atanh(0.5) if hangs else 12.0, rel=2e-3)


def test_a_passed_short_leaves_the_input_on_the_load(report: FaultReport) -> None:
    """The dead pass device is a wire from 20.5 V at the input; at no load nothing drops (Ohm's law)."""
    for ohms in ("0", "0.1", "0.3", "1"):
        found = outcome_of(report, f"output shorted through {ohms} Ω")
        assert found.lifted and found.consequence == OVERVOLTAGE
        assert found.last.outputs is not None and found.last.outputs[1] == pytest.approx(20.5, abs=0.01)


def test_what_fails_next_says_by_how_much(report: FaultReport) -> None:
    (first, *_) = outcome_of(report, "in and out of U1 shorted").links
    assert "allowed" in first.because and "500 mA" in first.because


def test_ratings_of_remedies_by_hand(report: FaultReport) -> None:
    """5 A at 75 % want 6.7 A: 8 A.  1.2 · 5 A = 6 A, at 20.5 V 123 W.  1.1 · 12.6 V = 13.9 V.  20.5 V / 60 mΩ = 342 A.

    Two resistors in parallel that make up 15 Ω are of 30 Ω.
    """
    told = " ".join(remedies(opened(EXAMPLES / "observatory.toml").design, report))
    for figure in ("fuse of 8 A", "limiter at 6.00 A", "123 W", "fires at 13.9 V", "342 A", "two of 30 Ω"):
        assert figure in told


def test_like_parts_fail_once_under_a_common_name() -> None:
    found = [fault for fault in single_faults(opened(EXAMPLES / "radio-shack.toml").design) if fault.alike]
    assert {fault.part for fault in found} == {"Q2", "R3"}
    assert "collector and emitter of one of Q2…Q5 shorted" in [fault.words for fault in found]


def test_what_fails_next_fails_in_its_likeliest_way() -> None:
    """The greater share of its row (MIL-HDBK-338B): short, or open for resistors."""
    design = opened(EXAMPLES / "radio-shack.toml").design
    for name in ("Q1", "R1"):
        part, way = design.part(name), likeliest(design.part(name))
        shares = modes.OF_KIND[part.part.kind].shares
        assert way is not None and way.mode == max((modes.SHORT, modes.OPEN), key=lambda mode: shares[mode])
    for kind in ("mosfet", "diode", "capacitor"):
        assert modes.OF_KIND[kind].share(modes.SHORT) > modes.OF_KIND[kind].share(modes.OPEN)
    assert modes.OF_KIND["regulator"].share(modes.IMPROPER) > modes.OF_KIND["regulator"].share(modes.SILENT)
