"""The feed: its keys, what the stage needs, the verdicts, the verb with its answers, its figure."""

import json
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from math import sqrt
from pathlib import Path

import pytest

from outboard.analysis.feed import FeedReport, feed_report
from outboard.analysis.feed_parts import transformer
from outboard.analysis.operating import operating_point
from outboard.arrangements import expand
from outboard.brief import read_text, written
from outboard.brief.feed_entries import FEED
from outboard.checks.feed import judged
from outboard.checks.feed_cautions import feed_cautions
from outboard.checks.finding import FAIL, PASS, UNDECIDED, Finding
from outboard.cli.program import main
from outboard.dossier import Dossier, opened, opened_text, ran, with_feed
from outboard.draw.mains_cycle import feed_figure
from outboard.draw.sheet import svg_text
from outboard.errors import WrongInput
from outboard.report.document.build import document
from outboard.report.document.content import Figure, Headline, Items, Table, Terms
from outboard.report.document.material import gathered
from outboard.report.document.parts_list import csv_text

EXAMPLES = Path(__file__).parents[2] / "examples"
RIGHT, WRONG = EXAMPLES / "print-shop-feed.toml", EXAMPLES / "wrong-print-shop-feed.toml"


@pytest.fixture(scope="module")
def shop() -> Dossier:
    return with_feed(opened(RIGHT))


@pytest.fixture(scope="module")
def thought() -> Dossier:
    return with_feed(opened(WRONG))


def changed(dossier: Dossier, **keys: object) -> dict[str, Finding]:
    """Findings by requirement, with some keys of [feed] otherwise; cycles are run anew where they depend on them."""
    assert dossier.brief.feed is not None
    feed = replace(dossier.brief.feed, **keys)  # type: ignore[arg-type]
    brief = replace(dossier.brief, feed=feed)
    ratings = {"reservoir_voltage", "reservoir_ripple", "fuse", "fuse_melting"}
    alike = keys.keys() <= ratings
    report = replace(ran(dossier.feed).report, feed=feed) if alike else feed_report(dossier.design, feed)
    return {finding.requirement: finding for finding in judged(brief, report).findings}


def text_with(**keys: str | None) -> str:
    """The example with some lines of [feed] written anew or left out."""
    lines = []
    for line in RIGHT.read_text(encoding="utf-8").splitlines():
        key = line.partition("=")[0].strip()
        if key in keys and key in FEED:
            if keys[key] is not None:
                lines.append(f"{key} = {keys[key]}")
        else:
            lines.append(line)
    fresh = [f"{key} = {value}" for key, value in keys.items() if value is not None
             and not any(line.startswith(f"{key} =") for line in lines)]  # fmt: skip
    at = lines.index("[feed]") + 1
    return "\n".join([*lines[:at], *fresh, *lines[at:]])


# --- the design file ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("keys", "told", "where"), [
    ({"mains": None}, "this is missing", "feed.mains"),
    ({"frequency": '"50 V"'}, "50 V", "feed.frequency"),
    ({"power": None}, "neither power nor secondary_current", "feed"),
    ({"secondary_current": '"8 A"'}, "says the same", "feed.power"),
    ({"regulation": None}, "neither regulation nor secondary_winding", "feed"),
    ({"regulation": None, "secondary_winding": '"80 mΩ"'}, "both windings have resistance", "feed.secondary_winding"),
    ({"rectifier": '"bridg"'}, "none of the choices", "feed.rectifier"),
    ({"diode": '"1N5040"'}, "the catalogue has no", "feed.diode"),
    ({"diode": None}, "neither diode nor forward_voltage", "feed"),
    ({"forward_resistance": '"10 mΩ"'}, "its own resistance", "feed.forward_resistance"),
    ({"reservoir": '"0 µF"'}, "out of bounds", "feed.reservoir"),
    ({"fuse": None, "fuse_melting": '"1 A²s"'}, "no fuse that could melt", "feed.fuse_melting"),
    ({"primary": '"24 V"'}, "far from the rated voltage", "feed.primary"),
    ({"reservoir_voltag": '"35 V"'}, "no such key", "feed.reservoir_voltag"),
])  # fmt: skip
def test_mistakes_are_told_at_their_place(keys: dict[str, str | None], told: str, where: str) -> None:
    with pytest.raises(WrongInput) as wrong:
        opened_text(text_with(**keys), "a.toml")
    (mistake,) = wrong.value.mistakes
    assert told in mistake.what and mistake.where == where
    assert mistake.line is not None and mistake.line > 1


def test_a_transistor_is_no_rectifier() -> None:
    dossier = opened_text(text_with(diode='"2N3055"'), "a.toml")
    with pytest.raises(WrongInput) as wrong:
        with_feed(dossier)
    assert "2N3055 is a bipolar" in wrong.value.mistakes[0].what and wrong.value.mistakes[0].line is not None


def test_a_reservoir_that_only_follows_the_mains_is_refused() -> None:
    dossier = opened_text(text_with(reservoir='"10 nF"', reservoir_ESR=None), "a.toml")
    with pytest.raises(WrongInput) as wrong:
        with_feed(dossier)
    assert "only follows the mains" in wrong.value.mistakes[0].what and wrong.value.mistakes[0].line is not None


def test_a_feed_that_collapses_is_said_to(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text(text_with(reservoir='"10 µF"'), encoding="utf-8")
    assert main(["feed", str(file)]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "the feed collapses at 207 V mains" in told


def test_a_feed_survives_expanding_and_editing(tmp_path: Path) -> None:
    dossier = opened(RIGHT)
    again = read_text(expand.expanded_text(dossier.design), "a.toml")
    assert again.feed == dossier.brief.feed
    file = tmp_path / "a.toml"
    file.write_text(RIGHT.read_text(encoding="utf-8"), encoding="utf-8")
    assert written(file, {"R1": 2.2}).feed == dossier.brief.feed
    assert "# a minute, then it is safe to touch" in file.read_text(encoding="utf-8")


def test_the_diodes_count_in_the_fingerprint() -> None:
    plain = RIGHT.read_text(encoding="utf-8")
    assert opened_text(plain, "a.toml").inputs != opened_text(plain.replace("MBR1045", "SB560"), "a.toml").inputs


def test_every_key_is_described_in_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    main(["schema"])
    schema = json.loads(capsys.readouterr().out)["properties"]["feed"]
    assert schema["properties"].keys() == FEED.keys()
    assert all(entry["description"] for entry in schema["properties"].values())
    assert set(schema["required"]) == {"mains", "frequency", "secondary", "rectifier", "reservoir"}


# --- transformer ----------------------------------------------------------------------------------------------------


def test_windings_and_regulation_tell_the_same() -> None:
    """10 V at 5 A with 20 % are 12 V behind 0.4 Ω (Ohm's law); 0.2 Ω each side of a ratio of 12/120 tell it too."""
    base = opened(RIGHT).brief.feed
    assert base is not None
    common = {"primary": 120.0, "secondary": 10.0, "power": None, "secondary_current": 5.0}
    by_rise = transformer(replace(base, **common, regulation=0.2), "")
    assert (by_rise.without_load, by_rise.resistance) == pytest.approx((12.0, 0.4))
    by_ohms = transformer(replace(base, **common, regulation=None, secondary_winding=0.2, primary_winding=20.0), "")
    assert (by_ohms.without_load, by_ohms.resistance) == pytest.approx((12.0, 0.4), rel=1e-9)


def test_halves_of_a_tapped_winding() -> None:
    """Loss P = u·2·V·I shared equally; one half conducts alone: R = P/4I² + P/8I² = 0.75·u·V/I (derived)."""
    base = opened(RIGHT).brief.feed
    assert base is not None
    tapped = replace(base, rectifier="centre tap")
    assert tapped.rated_current == pytest.approx(160.0 / 30.0)
    resistance = 0.75 * 0.08 * 15.0 / tapped.rated_current
    assert transformer(tapped, "").resistance == pytest.approx(resistance)
    loss, current = 0.08 * 160.0, tapped.rated_current
    half, primary = loss / 4.0 / current**2, loss / 8.0 / current**2
    ohms = replace(tapped, regulation=None, secondary_winding=half, primary_winding=primary * (230.0 / 16.2) ** 2)
    assert transformer(ohms, "").without_load == pytest.approx(16.2, rel=1e-9)
    assert transformer(ohms, "").resistance == pytest.approx(resistance, rel=1e-9)


# --- what the stage needs -------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def report(shop: Dossier) -> FeedReport:
    return ran(shop.feed).report


def test_the_stage_holds_just_above_what_it_needs_and_not_below(shop: Dossier, report: FeedReport) -> None:
    need = report.needs[-1]
    assert need.voltage is not None and need.load == 3.0 and need.current == pytest.approx(3.015, abs=0.01)
    above, below = (
        operating_point(shop.design, input_voltage=need.voltage + step, load=3.0, ambient=need.ambient)
        for step in (0.02, -0.05)
    )
    assert not any("dropped out" in words for words in above.warnings)
    assert any("dropped out" in words for words in below.warnings)


def test_the_valley_in_a_word_is_that_of_the_lowest_mains(report: FeedReport) -> None:
    worst = report.cycles[report.worst]
    assert (worst.case.mains, worst.case.need.load) == (207.0, 3.0)
    assert (worst.case.reservoir_word, worst.case.diodes_word) == ("least", "cold")
    assert worst.valley < worst.mean < worst.peak
    assert report.most_crest == pytest.approx(sqrt(2.0) * 15.0 * 1.08 * 253.0 / 230.0)


def test_a_centre_tap_spares_a_diode_and_doubles_the_reverse_voltage(shop: Dossier, report: FeedReport) -> None:
    found = changed(shop, rectifier="centre tap", power=None, secondary_current=8.0)
    bridge = {one.requirement: one for one in ran(shop.feed).verdict.findings}
    name = "reverse voltage of a diode"
    assert found[name].worst == pytest.approx(2.0 * (bridge[name].worst or 0.0))
    assert found[name].verdict == FAIL
    assert (found["valley within the promised input"].worst or 0.0) > 0.0


# --- verdicts -------------------------------------------------------------------------------------------------------


def test_the_example_passes_and_the_first_thought_fails(shop: Dossier, thought: Dossier) -> None:
    assert ran(shop.feed).verdict.verdict == PASS
    failing = {one.requirement for one in ran(thought.feed).verdict.findings if one.verdict == FAIL}
    assert {"valley within the promised input", "valley above drop-out of the stage"} <= failing
    report = ran(thought.feed).report
    worst = report.cycles[report.worst]
    assert worst.dropped_out is not None and 0.1 < worst.dropped_out < 0.4
    assert worst.mean > (worst.case.need.voltage or 99.0)  # the meter shows enough


@pytest.mark.parametrize(("requirement", "key", "enough", "short"), [
    ("voltage across the reservoir", "reservoir_voltage", 26.0, 25.0),
    ("ripple current of the reservoir", "reservoir_ripple", 8.0, 2.0),
    ("current of the fuse for hours", "fuse", 0.8, 0.5),
])  # fmt: skip
def test_three_verdicts_of_a_rating(shop: Dossier, requirement: str, key: str, enough: float, short: float) -> None:
    assert changed(shop, **{key: enough})[requirement].verdict == PASS
    assert changed(shop, **{key: short})[requirement].verdict == FAIL
    left_open = changed(shop, **{key: None})[requirement]
    assert left_open.verdict == UNDECIDED and key in left_open.missing[0] and left_open.worst is None


def test_a_transformer_that_is_too_small_fails(shop: Dossier) -> None:
    assert changed(shop, power=80.0)["current of the secondary"].verdict == FAIL


def test_diodes_without_a_type_leave_their_ratings_open(shop: Dossier) -> None:
    found = changed(shop, diode=None, forward_voltage=0.8)
    assert found["reverse voltage of a diode"].verdict == UNDECIDED
    assert found["valley within the promised input"].verdict == PASS


def test_a_fuse_must_bear_ten_thousand_charges(shop: Dossier) -> None:
    """29 % of its melting integral each (Littelfuse, chart 2)."""
    name = "fuse, charging the reservoir"
    found = changed(shop, fuse_melting=10.0)[name]
    assert found.verdict == PASS and found.limit == pytest.approx(2.9)
    assert changed(shop, fuse_melting=0.5)[name].verdict == FAIL
    assert name not in changed(shop)


@pytest.mark.parametrize(("derating", "verdict", "share"), [("workshop", PASS, 0.8), ("MIL-STD-975M", UNDECIDED, 1.0)])
def test_policies_take_their_share(shop: Dossier, derating: str, verdict: str, share: float) -> None:
    brief = replace(shop.brief, requirements=replace(shop.brief.requirements, derating=derating))
    findings = {one.requirement: one for one in judged(brief, ran(shop.feed).report).findings}
    found = findings["voltage across the reservoir"]
    assert found.limit == pytest.approx(35.0 * share) and found.verdict == verdict
    fuse = findings["current of the fuse for hours"]
    # W9: 0.40 at 25 °C of a fuse between the rows of 0.75 A and 1 A is not in the table
    assert fuse.verdict == (UNDECIDED if derating.startswith("MIL") else PASS)


def test_only_limits_leave_it_open(shop: Dossier) -> None:
    brief = replace(shop.brief, requirements=replace(shop.brief.requirements, trust="limits"))
    findings = {one.requirement: one for one in judged(brief, ran(shop.feed).report).findings}
    assert findings["valley within the promised input"].verdict == UNDECIDED
    assert findings["voltage across the reservoir"].verdict == PASS  # rests on nothing weak


def test_a_negative_supply_is_fed_alike() -> None:
    text = (EXAMPLES / "audio-rack-negative.toml").read_text(encoding="utf-8")
    feed = """
[feed]
mains = "230 V"
frequency = "50 Hz"
secondary = "18 V"
power = "160 VA"
regulation = "8 %"
rectifier = "centre tap"
diode = "MUR820"
reservoir = "22000 µF"

[input]"""
    found = ran(with_feed(opened_text(text.replace("[input]", feed.lstrip(), 1), "a.toml")).feed)
    assert all(need.voltage is not None and 15.0 < need.voltage < 20.0 for need in found.report.needs[1:])
    assert all(need.current is not None and need.current >= (need.load or 0.0) for need in found.report.needs)


# --- the verb -------------------------------------------------------------------------------------------------------


def test_exit_codes(tmp_path: Path) -> None:
    assert main(["feed", str(RIGHT), "--quiet"]) == 0
    assert main(["feed", str(WRONG), "--quiet"]) == 1
    open_file = tmp_path / "open.toml"
    open_file.write_text(text_with(reservoir_voltage=None), encoding="utf-8")
    assert main(["feed", str(open_file), "--quiet"]) == 3


def test_a_file_without_a_feed_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["feed", str(EXAMPLES / "observatory.toml")]) == 2
    assert "no [feed]" in capsys.readouterr().err


def test_words_for_people(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["feed", str(WRONG)]) == 1
    told = " ".join(capsys.readouterr().out.split())
    for words in ("valley decides", "drops out for 22 % of the cycle", "mains kill", "bleeder", "slow-acting"):
        assert words in told


def test_json_has_the_figures(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["feed", str(RIGHT), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "PASS" and len(told["cycles"]) == 81
    assert {"valley_V", "mean_V", "peak_V", "dropped_out_share", "reservoir_ripple_A"} <= told["cycles"][0].keys()
    assert told["switching_on"]["peak_A"] > 50.0
    assert told["needs"][-1]["load_A"] == 3.0
    assert len(told["cautions"]) == 4


def test_the_bleeder_time_is_that_of_an_exponential(report: FeedReport) -> None:
    """1 kΩ, 22 mF and 20 %, from 25.2 V to 5 V: 26.4 s · ln 5.04 = 43 s."""
    assert "43 s" in list(feed_cautions(report))[-1]


# --- the figure -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("word", ["worst", "usual", "high"])
@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_figures_of_all_cycles(thought: Dossier, word: str, theme: str) -> None:
    report = ran(thought.feed).report
    drawn = svg_text(feed_figure(report, report.chosen(word), "a title", theme))  # type: ignore[arg-type]
    ids = {node.get("id") for node in ElementTree.fromstring(drawn).iter()}
    assert {"reservoir", "winding", "charging", "level-the-stage-needs"} <= ids
    assert ("drop-out" in ids) == (word == "worst")


def test_a_figure_is_written_where_it_was_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "cycle.svg"
    assert main(["feed", str(RIGHT), "--quiet", "--figure", str(file), "--at", "high", "--theme", "print"]) == 0
    assert "<title>Print shop" in file.read_text(encoding="utf-8")
    assert main(["feed", str(RIGHT), "--quiet", "--figure", str(tmp_path / "cycle.pdf")]) == 2
    assert main(["feed", str(RIGHT), "--quiet", "--at", "noon"]) == 2


# --- the report -----------------------------------------------------------------------------------------------------


def test_the_report_has_a_section_and_says_it_first() -> None:
    material = gathered(opened(WRONG))
    made = document(material)
    titles = [section.title for section in made.sections]
    assert titles.index("The feed") < titles.index("Heat")
    (headline,) = [block for block in made.opening if isinstance(block, Headline)]
    assert (headline.verdict, headline.words) == ("FAIL", "The stage passes, its feed fails.")
    assert "The feed before it fails" in headline.rest and "raw supply" not in headline.rest
    section = made.sections[titles.index("The feed")]
    assert {type(block) for block in section.blocks} >= {Figure, Table, Items}
    bought = csv_text(material)
    assert "feed transformer" in bought and "4 × MBR1045" in bought and ",0.0047," in bought
    cautions = made.sections[titles.index("Cautions")].blocks[0]
    assert isinstance(cautions, Items) and any("bleeder" in str(words) for words in cautions.items)


def test_a_report_without_a_feed_says_why() -> None:
    made = document(gathered(opened(EXAMPLES / "observatory.toml")))
    assert "The feed" not in [section.title for section in made.sections]
    terms = made.sections[-1].blocks[0]
    assert isinstance(terms, Terms) and ("feed", "the file has no [feed]") in terms.items
