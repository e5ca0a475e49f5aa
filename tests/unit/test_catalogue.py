"""The catalogue: what it refuses, what it finds, what it says of itself."""

from dataclasses import replace

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.errors import WrongInput
from outboard.parts import (
    UnknownType,
    catalogue,
    find,
    find_stock,
    heat_sinks,
    package_resistance,
    ratings,
    resistor_ratings,
    sink_corrections,
    stock,
)
from outboard.parts.consistency import catalogue_findings, consistency
from outboard.parts.dimensions import FIGURES
from outboard.parts.library import read_types
from outboard.parts.listing import figure_rows, list_rows
from outboard.parts.records import SYMBOLS
from outboard.sources import RECALLED, source, sources

THE_TYPES = [
    "7805", "7812", "7815", "78M05", "BD140", "BD139", "TIP32C", "TIP2955", "TIP3055", "MJ2955", "2N3055", "MJE15031",
    "TIP36C", "1N400x", "1N540x", "BD242C", "TIP31C", "TIP42C", "TIP41C", "D45H11", "D44H11", "MJL1302A", "TIP35C",
    "MJ15003", "MJ15024", "2N3771", "2N3772", "2N3773", "TIP122", "TIP127", "2N3906", "2N3904", "BC557", "2N2907A",
    "2N4403",
    "7808", "7824", "78L05", "317", "350", "338", "1117", "1117-5.0", "1086", "1085", "1085-5.0", "1084",
    "7905", "7912", "337",
    "IRF9540N", "IRF4905", "IRF9530N", "IRFP9140",
    "SB560", "MBR1045", "MUR820", "1N47xx", "P6KE", "1.5KE",
    "BT151", "TYN612", "2N6504",
]  # fmt: skip


def file_with(row: str, name: str = "hFE") -> str:
    return f'name = "X1"\nkind = "bipolar"\npolarity = "npn"\n[figures]\n{name} = [\n    {{ {row} }},\n]\n'


def mistakes_of(text: str):
    with pytest.raises(WrongInput) as caught:
        read_types(text, "x1.toml")
    return caught.value.mistakes


def test_the_types_are_there():
    assert sorted(catalogue()) == sorted(THE_TYPES)


def test_a_good_row_is_read_in_si():
    row = 'least = 20, most = 70, collector_current = "150 mA", case_temperature = "25 °C", source = "S68"'
    (part,) = read_types(file_with(row), "x1.toml")
    (figure,) = part.rows("hFE")
    assert (figure.least, figure.typical, figure.most) == (20, None, 70)
    assert figure.conditions.collector_current == 0.15
    assert figure.conditions.case_temperature == 25 + ZERO_CELSIUS


@pytest.mark.parametrize(
    ("row", "name", "words"),
    [
        ("least = 20", "hFE", "no source"),
        ('least = 20, source = "S9999"', "hFE", "unknown source"),
        ('most = "5 furlong", source = "S68"', "VCEO", "no unit"),
        ('most = "5 A", source = "S68"', "VCEO", "a current"),
        ('least = 70, most = 20, source = "S68"', "hFE", "do not rise"),
        ('least = 5, typical = 9, most = 8, source = "S68"', "hFE", "do not rise"),
        ('source = "S68"', "hFE", "no value"),
        ('least = 20, collector_curent = "1 A", source = "S68"', "hFE", "unknown condition collector_curent"),
        ('most = "1 V", source = "S68"', "VXYZ", "unknown figure VXYZ"),
        ('most = "1 V", input_voltage = ["9 V", "7 V"], source = "S68"', "VO", "no range"),
    ],
)
def test_refused_rows_name_file_and_place(row, name, words):
    (mistake,) = mistakes_of(file_with(row, name))
    assert words in str(mistake)
    assert mistake.file == "x1.toml"
    assert name in mistake.where


def test_all_mistakes_come_at_once():
    second = 'VCEO = [\n    { most = "1 W", source = "S68" },\n]\n'
    text = file_with('least = 70, most = 20, collector_current = "1 V"') + second
    assert len(mistakes_of(text)) == 4, "no order, no source, two wrong units"


def test_a_kind_or_polarity_that_does_not_exist_is_refused():
    assert "no kind" in str(mistakes_of('name = "X1"\nkind = "valve"\n')[0])
    assert "no polarity" in str(mistakes_of('name = "X1"\nkind = "bipolar"\npolarity = "up"\n')[0])


def test_what_is_inside_a_package():
    assert find("TIP122").darlington and find("TIP120").darlington and not find("2N3055").darlington
    wrong = 'name = "X1"\nkind = "bipolar"\npolarity = "npn"\ninside = "three"\n'
    (mistake,) = mistakes_of(wrong)
    assert "'three'" in str(mistake) and "darlington" in str(mistake)
    assert "inside" in str(mistakes_of('name = "X1"\nkind = "diode"\ninside = "darlington"\n')[0])


def test_a_member_may_have_a_package_of_its_own():
    """NTE 2N2907A in TO-18: 200 °C, 325 K/W; Motorola P2N2907A in TO-92: 150 °C, 200 K/W, 1.5 W at the case."""
    metal, plastic = ratings(find("2N2907A")), ratings(find("PN2907A"))
    assert (metal["T_J"].value - ZERO_CELSIUS, metal["R_thJA"].value) == (pytest.approx(200), 325)
    assert (plastic["T_J"].value - ZERO_CELSIUS, plastic["R_thJA"].value) == (pytest.approx(150), 200)
    assert "P_tot" not in metal and plastic["P_tot"].value == 1.5


def test_members_of_a_darlington_family():
    """ON Semiconductor TIP120/D: 60 V for the TIP120, 100 V for the TIP122."""
    assert [ratings(find(name))["V_CEO"].value for name in ("TIP120", "TIP122")] == [60, 100]
    assert ratings(find("TIP120"))["V_CBO"].origin.kind == "recalled"


def test_of_two_makers_the_weaker_counts_for_the_new_types():
    """D44H11: 70 W, 1.8 K/W (ON Semiconductor), 50 W, 2.5 K/W (ST); BC557: 0.5 W, 250 K/W (Rectron)."""
    rated = ratings(find("D44H11"))
    assert (rated["P_tot"].value, rated["R_thJC"].value) == (50, 2.5)
    assert ratings(find("BC557"))["R_thJA"].value == 250


@pytest.mark.parametrize(
    ("spelling", "name"), [("LM7812", "7812"), ("lm7812", "7812"), (" 2n3055 ", "2N3055"), ("TIP2955G", "TIP2955")]
)
def test_aliases(spelling, name):
    assert find(spelling).name == name


def test_an_unknown_type_comes_with_near_misses():
    with pytest.raises(UnknownType) as caught:
        find("2N3054")
    assert "2N3055" in caught.value.near
    assert "2N3055" in str(caught.value)


def test_members_of_a_family_have_their_own_voltage():
    """Diodes Inc DS28002: 50/100/200/400/600/800/1000 V for 1N4001 to 1N4007."""
    voltages = [ratings(find(f"1N400{number}"))["V_RRM"].value for number in range(1, 8)]
    assert voltages == [50, 100, 200, 400, 600, 800, 1000]
    assert ratings(find("1N400x"))["V_RRM"].value == 50, "the family's name promises no more than its weakest member"
    assert ratings(find("1N4007"))["I_F"].value == 1


def test_gain_groups_belong_to_their_members_only():
    """Fairchild BD140: 40 to 250 for all, 63 to 160 for group 10, at 150 mA."""

    def at_150_mA(name: str) -> list[tuple[float | None, float | None]]:
        rows = find(name).rows("hFE")
        return [(row.least, row.most) for row in rows if row.conditions.collector_current == 0.15]

    assert at_150_mA("BD140") == [(40, 250)]
    assert at_150_mA("BD140-10") == [(63, 160)]
    assert at_150_mA("BD140-16") == [(100, 250)]
    assert len(find("BD140-10").rows("hFE")) == 3


def test_every_figure_cites_a_document_or_memory():
    for part in catalogue().values():
        for figure in part.figures:
            assert figure.source == RECALLED or source(figure.source).title
            assert figure.name in FIGURES and figure.name in SYMBOLS


def test_kinds_of_figures():
    dropout = find("7805").rows("dropout")
    assert [row.kind("typical") for row in dropout] == ["typical", "recalled", "recalled"]
    assert find("7805").rows("VO")[0].kind("least") == "limit"
    assert find("7805").rows("min_load")[0].kind("typical") == "derived"
    with pytest.raises(ValueError):
        dropout[0].kind("usual")


def test_an_unknown_source_key_raises():
    with pytest.raises(KeyError):
        source("S9999")
    assert source(RECALLED).kind == "recalled"
    assert all("://" not in "".join((one.publisher, one.title, one.revision, one.page)) for one in sources().values())


def test_ratings_of_a_transistor():
    """ON Semiconductor 2N3055/D, STMicroelectronics Aug 1999."""
    rated = ratings(find("2N3055"))
    values = {symbol: rated[symbol].value for symbol in ("V_CEO", "V_CER", "V_EBO", "I_C", "I_B", "P_tot", "R_thJC")}
    assert values == {"V_CEO": 60, "V_CER": 70, "V_EBO": 7, "I_C": 15, "I_B": 7, "P_tot": 115, "R_thJC": 1.52}
    assert rated["T_J"].value == 200 + ZERO_CELSIUS
    assert rated["P_tot"].origin.kind == "limit" and rated["P_tot"].origin.source == "S69"
    assert rated["I_Sb"].figure.conditions.pulse_duration == 1


def test_a_missing_rating_is_absent():
    assert "I_C_peak" not in ratings(find("2N3055"))
    assert "I_Sb" not in ratings(find("TIP36C"))
    assert "P_tot" not in ratings(find("7805"))


def test_the_weakest_maker_counts():
    """BD139: V_CBO 100 V (Central) and 80 V (ST), peak current 2 A (Central) and 3 A (ST)."""
    rated = ratings(find("BD139"))
    assert (rated["V_CBO"].value, rated["I_C_peak"].value, rated["P_tot"].value) == (80, 2, 12.5)


def test_thermal_resistance_follows_the_package():
    """Fairchild LM78XX: 5 and 65 K/W in TO-220; ST L7800: 4 and 35 K/W in TO-3."""
    plain, metal = ratings(find("7805")), ratings(find("7805"), "TO-3")
    assert (plain["R_thJC"].value, plain["R_thJA"].value) == (5, 65)
    assert (metal["R_thJC"].value, metal["R_thJA"].value) == (4, 35)


def test_a_type_without_its_own_resistance_takes_the_bare_package():
    rating = ratings(find("2N3055"))["R_thJA"]
    assert rating.value == package_resistance("TO-3").typical == 39
    assert "bare TO-3" in rating.origin.words
    assert package_resistance("TO-92") is None


def test_guaranteed_current_and_drop_out_of_regulators():
    rated = {name: ratings(find(name)) for name in ("7805", "7812", "78M05")}
    assert {name: one["I_O"].value for name, one in rated.items()} == {"7805": 1, "7812": 1, "78M05": 0.5}
    assert "printed guaranteed" in rated["7805"]["I_O"].origin.words
    assert "V_O row" in rated["7812"]["I_O"].origin.words
    assert rated["7812"]["dropout_typical"].value == 2
    assert rated["7812"]["dropout_guaranteed"].value == 2.5, "14.5 V in for 12 V out"
    assert (rated["7812"]["V_O_least"].value, rated["7812"]["V_O_most"].value) == (11.4, 12.6)


def test_guaranteed_current_without_a_rated_current_or_an_output_row():
    part = find("7812")
    bare = replace(part, figures=tuple(figure for figure in part.figures if figure.name != "VO"))
    rated = ratings(bare)
    assert rated["I_O"].value == 1.5
    assert "load-regulation" in rated["I_O"].origin.words
    assert "V_O_least" not in rated and "dropout_guaranteed" not in rated


def test_resistor_ratings():
    """Vishay PR01/02/03: 1, 2, 3 W at 70 °C from 1 Ω up, 0.6, 1.2, 1.6 W below; Yageo SQP500: 5 W at 40 °C."""
    rows = resistor_ratings()
    assert [row.rated_power for row in rows] == sorted(row.rated_power for row in rows)
    film = {row.rated_power for row in rows if row.name.startswith("power metal film") and row.suits(0.82)}
    assert film == {0.6, 1.2, 1.6}
    assert {row.rated_power for row in rows if row.name.startswith("power metal film") and row.suits(47)} == {1, 2, 3}
    (wire,) = (row for row in rows if row.name == "ceramic-cased wirewound 5 W")
    assert wire.full_power_temperature == 40 + ZERO_CELSIUS and wire.zero_power_temperature == 275 + ZERO_CELSIUS
    assert wire.suits(0.1) and not wire.suits(0.05)
    assert all(source(row.source) for row in rows)


def changed(name: str, figure: str, **values: float) -> object:
    """A type with one value of its first row of a figure changed."""
    part = find(name)
    rows = list(part.figures)
    index = next(place for place, row in enumerate(rows) if row.name == figure)
    rows[index] = replace(rows[index], **values)
    return replace(part, figures=tuple(rows))


@pytest.mark.parametrize(
    ("name", "figure", "values", "severity", "words"),
    [
        ("2N3055", "Ptot", {"most": 150.0}, "warning", "P_tot 150 W against"),
        ("2N3055", "derating", {"most": 0.9}, "warning", "derating 0.9 W/K"),
        ("2N3055", "VCER", {"most": 50.0}, "error", "V_CEO 60 V above V_CER 50 V"),
        ("BD140", "VCBO", {"most": 60.0}, "error", "V_CEO 80 V above V_CBO 60 V"),
        ("BD140", "IC_peak", {"most": 1.0}, "error", "above the peak current"),
        ("7805", "VO", {"least": 4.0}, "error", "not inside"),
        ("7805", "IQ", {"typical": 9e-3}, "error", "does not rise"),
    ],
)
def test_contradictions_are_found(name, figure, values, severity, words):
    before = {finding for finding in consistency(find(name)) if finding.severity != "note"}
    assert before == set()
    found = [finding for finding in consistency(changed(name, figure, **values)) if finding.severity == severity]
    assert any(words in finding.words for finding in found), found


def test_a_least_gain_above_a_most_gain_is_found():
    part = find("2N3055")
    odd = replace(part.rows("hFE")[0], least=90.0, most=None)
    found = consistency(replace(part, figures=(*part.figures, odd)))
    assert any("least h_FE 90 above most h_FE 70" in finding.words for finding in found)


def test_weak_and_recalled_figures_are_listed():
    words = [finding.words for finding in consistency(find("7812"))]
    assert any("damaged text" in one and "Texas Instruments" in one for one in words)
    assert any("recalled" in finding.words for finding in consistency(find("TIP36C")))
    weak = [finding.words for finding in consistency(find("2N3904")) if "damaged text" in finding.words]
    assert len(weak) == 1 and weak[0].startswith("h_FE, V_BE(sat), V_CE(sat)"), "one remark for one document"


def test_list_rows():
    rows = {row.name: row for row in list_rows(catalogue().values())}
    assert rows["2N3055"].polarity == "NPN" and rows["2N3055"].packages == "TO-3"
    assert rows["2N3055"].ratings == "V_CEO 60 V, I_C 15 A, P_tot 115 W"
    assert "LM7812" in rows["7812"].also and "1N4007" in rows["1N400x"].also


def test_figure_rows_say_conditions_kind_and_document():
    rows = figure_rows(find("2N3055"))
    (saturated, _) = (row for row in rows if row.symbol == "V_CE(sat)")
    assert (saturated.least, saturated.most, saturated.kind) == ("", "1.1 V", "limit")
    assert saturated.conditions == "I_C = 4 A, I_B = 400 mA"
    assert saturated.citation == "ON Semiconductor, 2N3055(NPN), MJ2955(PNP), 2N3055/D, electrical table"
    (band,) = (row for row in figure_rows(find("7812")) if row.least == "11.4 V")
    assert band.conditions == "V_I = 14.5 V to 27 V, I_O = 5 mA to 1 A, P ≤ 15 W"
    assert band.kind == "limit, typical"


def test_every_figure_of_every_type_can_be_shown():
    for part in catalogue().values():
        for row in figure_rows(part):
            assert row.symbol and (row.least or row.typical or row.most) and row.citation




# ---- families with suffixes, adjustable and negative regulators, field-effect transistors ---------------------------

def test_a_suffix_makes_a_member_of_its_own():
    """Digitron 1N4728-1N4764: 10 % without a suffix, 5 % with A; the rest is the same."""
    plain, close = find("1N4733"), find("1n4733a")
    assert [row.most for row in plain.rows("VZ_tolerance")] == [0.10]
    assert [row.most for row in close.rows("VZ_tolerance")] == [0.05]
    assert ratings(plain)["I_ZM"].value == ratings(close)["I_ZM"].value == 0.178
    assert len(find("1N47xx").members) == 48
    assert "VZ_tolerance" not in {row.name for row in find("1N47xx").figures if row.conditions.group}


def test_a_junction_that_does_not_exist_is_refused():
    assert "no junction" in str(mistakes_of('name = "X1"\nkind = "diode"\njunction = "vacuum"\n')[0])


def test_grades_are_members():
    """ON Semiconductor MC7808A: 7.84 V to 8.16 V; what an unmarked 7808 meets is from memory."""
    graded, plain = find("7808A"), find("7808")
    cold = [(row.least, row.most) for row in graded.rows("VO") if row.conditions.junction_temperature]
    assert cold == [(7.84, 8.16)]
    assert ratings(plain)["V_O_most"].origin.kind == "recalled" and ratings(plain)["V_O_most"].value == 8.4
    assert ratings(graded)["V_O_most"].origin.kind == "limit" and ratings(graded)["V_O_most"].value == 8.3


@pytest.mark.parametrize(("name", "adjustable"), [("317", True), ("1117", True), ("1117-5.0", False), ("7805", False)])
def test_what_is_set_by_resistors(name, adjustable):
    assert find(name).adjustable is adjustable


def test_ratings_of_an_adjustable_regulator():
    """National LM117/LM317: 1.20 V to 1.30 V, 10 mA least load, 3 V from input to output; ST: 40 V, 5 K/W, 1.5 A."""
    rated = ratings(find("LM317T"))
    values = {symbol: rated[symbol].value for symbol in ("V_REF_least", "V_REF_most", "V_diff", "I_O", "I_O_min")}
    assert values == {"V_REF_least": 1.2, "V_REF_most": 1.3, "V_diff": 40, "I_O": 1.5, "I_O_min": 10e-3}
    assert rated["dropout_guaranteed"].value == 3 and rated["dropout_guaranteed"].origin.kind == "limit"
    assert rated["dropout_typical"].origin.kind == "recalled"
    assert rated["R_thJC"].value == 5, "National prints 4 K/W, ST 5 K/W"
    assert "V_I" not in rated and "V_O_most" not in rated


def test_a_printed_drop_out_limit_counts_before_what_the_rows_leave():
    """National LM1117: 1.4 V at 800 mA."""
    rating = ratings(find("1117-5.0"))["dropout_guaranteed"]
    assert rating.value == 1.4 and rating.figure.conditions.output_current == (0.8, 0.8)


def test_of_two_makers_the_larger_drop_out_counts():
    """7905 at 1 A: 1.1 V (National), 2.0 V (ON Semiconductor)."""
    assert ratings(find("7905"))["dropout_typical"].value == 2


def test_negative_regulators_are_magnitudes():
    """Fairchild LM79XX: −4.8 V to −5.2 V at −10 V."""
    row = find("7905").rows("VO")[0]
    assert (row.least, row.most, row.conditions.input_voltage) == (4.8, 5.2, (10, 10))
    assert find("7905").polarity == "negative"
    assert all((value or 0) >= 0 for row in find("337").figures for value in (row.least, row.typical, row.most))


def test_ratings_of_a_field_effect_transistor():
    """International Rectifier IRF9540N."""
    rated = ratings(find("IRF9540N"))
    values = {symbol: rated[symbol].value for symbol in ("V_DSS", "I_D", "I_D_peak", "V_GS", "P_tot", "R_DS_on")}
    assert values == {"V_DSS": 100, "I_D": 23, "I_D_peak": 76, "V_GS": 20, "P_tot": 140, "R_DS_on": 0.117}
    assert (rated["V_GS_th_least"].value, rated["V_GS_th_most"].value) == (2, 4)
    assert ratings(find("IRFP9140"))["V_GS_th_least"].origin.kind == "recalled"


@pytest.mark.parametrize(
    ("name", "figure", "values", "severity", "words"),
    [
        ("IRF9540N", "Ptot", {"most": 200.0}, "warning", "P_tot 200 W against"),
        ("IRF9540N", "derating", {"most": 1.1}, "warning", "derating 1.1 W/K"),
        ("IRF9540N", "ID_peak", {"most": 20.0}, "error", "above the peak current"),
        ("1N4733", "IZM", {"most": 0.25}, "warning", "greatest V_Z · I_ZM = 1.403 W"),
        ("1N4733", "IZM", {"most": 0.10}, "warning", "greatest V_Z · I_ZM = 0.561 W"),
        ("1N4733", "Ptot", {"most": 1.5}, "warning", "P_tot 1.5 W against (T_J max − 95 °C)/R_thJL"),
        ("1.5KE6.8", "VC", {"most": 12.0}, "warning", "V_C · I_PP"),
        ("1.5KE33A", "VRWM", {"most": 50.0}, "error", "V_RWM 50 V above V_C 45.7 V"),
        ("337", "VREF", {"least": 1.1}, "error", "V_REF from"),
        ("317", "VDIFF_max", {"most": 30.0}, "error", "printed up to 40 V between input and output"),
        ("317", "I_limit", {"least": 1.2}, "error", "below the guaranteed current"),
    ],
)
def test_contradictions_of_the_other_kinds_are_found(name, figure, values, severity, words):
    before = {finding for finding in consistency(find(name)) if finding.severity != "note"}
    assert before == set()
    found = [finding for finding in consistency(changed(name, figure, **values)) if finding.severity == severity]
    assert any(words in finding.words for finding in found), found


def test_members_of_families_are_checked():
    """A member that contradicts itself shows up although only its family is in the list."""
    family = find("1N47xx")
    assert catalogue_findings({"1N47xx": family}) == consistency(family)
    assert all(finding.severity == "note" for name in family.members for finding in consistency(find(name)))


def test_a_document_is_remarked_on_once():
    words = [finding.words for finding in consistency(find("1N540x"))]
    assert sum("damaged text" in one for one in words) == 1


# ---- stock -------------------------------------------------------------------------------------------------------

def test_stock_is_there():
    kinds = [record.kind for record in stock().values()]
    assert {kind: kinds.count(kind) for kind in set(kinds)} == {
        "package": 5, "resistor": 5, "capacitor": 3, "heat sink": 17,
    }  # fmt: skip
    assert not set(stock()) & set(catalogue())


def test_stock_is_found_as_people_spell_it():
    assert find_stock("comb extrusion 100 x 50").name == "comb extrusion 100 × 50"
    assert find_stock("Metal Film").kind == "resistor"
    assert find_stock("2N3055") is None


def test_heat_sinks():
    """Praktische Elektronik, table of TO-220 sinks: 24 to 2.9 K/W; the large extrusions are from memory."""
    sinks = heat_sinks()
    assert len(sinks) == 16
    assert [sink.resistance for sink in sinks] == sorted(sink.resistance for sink in sinks)
    assert {sink.origin.kind for sink in sinks if sink.origin.source == RECALLED} == {"recalled"}
    seen = {sink.name: sink.resistance for sink in sinks if sink.origin.source == "S144"}
    assert len(seen) == 10 and seen["V-fin extrusion 89 × 50"] == 2.9 and seen["finger sink 42 × 42"] == 6.8


def test_sink_corrections_run_the_right_way():
    """A cooler sink has more resistance, a longer one less; 1 where the figure was taken."""
    rows = sink_corrections()
    rises = [(row.conditions.temperature_rise, row.typical) for row in rows["rise_factor"]]
    lengths = [(row.conditions.length, row.typical) for row in rows["length_factor"]]
    for points in (rises, lengths):
        ordered = sorted(points)
        assert [factor for _, factor in ordered] == sorted((factor for _, factor in points), reverse=True)
    assert dict(rises)[75] == 1 and [x for x, factor in lengths if factor == 1] == [pytest.approx(0.0762)]
    assert rows["air_factor"][0].typical == 0.435


def test_a_resistor_series_shows_its_ratings():
    """Vishay PR01/02/03: the powers that the sizing uses are those that are shown."""
    shown = sorted(row.most for row in find_stock("power metal film").rows("P_rated"))
    used = [rating.rated_power for rating in resistor_ratings() if rating.series == "power metal film"]
    assert shown == used == [0.6, 1, 1.2, 1.6, 2, 3]
    assert {rating.series for rating in resistor_ratings()} <= set(stock())


def test_losses_and_resistances_of_capacitors_agree():
    """ESR = tan δ/(2πfC): the derived rows against the sheet's own tan δ (Lelon RGA), at 1000 µF and below."""
    rows = find_stock("aluminium general")
    losses = {row.conditions.rated_voltage: row.most for row in rows.rows("tan_delta")}
    compared = 0
    for row in rows.rows("ESR"):
        given = row.conditions
        if given.capacitance <= 1e-3:
            expected = losses[given.rated_voltage] / (2 * 3.14159265 * given.frequency * given.capacitance)
            assert row.most == pytest.approx(expected, rel=4e-3)
            assert row.kind("most") == "derived"
            compared += 1
    assert compared == 3


def test_every_stock_figure_can_be_shown():
    for record in stock().values():
        for row in figure_rows(record):
            assert row.symbol and (row.least or row.typical or row.most) and row.citation
        assert not [finding for finding in consistency(record) if finding.severity != "note"]


def test_a_figure_is_worth_no_more_than_its_conditions():
    """LM1117-5.0: the sheet's 4.8 V to 5.2 V was seen, the input voltages that belong to it are from memory."""
    band = find("1117-5.0").rows("VO")[1]
    assert band.source == "S25" and band.kind("least") == "recalled"
    assert ratings(find("1117-5.0"))["V_O_least"].origin.kind == "recalled"
    assert find("7805").rows("VO")[1].kind("least") == "limit"
