"""Figures of one type together: the ratings that they come to, and the contradictions that are found among them."""

from dataclasses import replace

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.parts import find, package_resistance, ratings
from outboard.parts.consistency import catalogue_findings, consistency

# Ratings


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


def test_of_two_makers_the_weaker_counts_for_the_new_types():
    """D44H11: 70 W, 1.8 K/W (ON Semiconductor), 50 W, 2.5 K/W (ST); BC557: 0.5 W, 250 K/W (Rectron)."""
    rated = ratings(find("D44H11"))
    assert (rated["P_tot"].value, rated["R_thJC"].value) == (50, 2.5)
    assert ratings(find("BC557"))["R_thJA"].value == 250


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


# Contradictions


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


def test_a_least_gain_above_a_most_gain_is_found():
    part = find("2N3055")
    odd = replace(part.rows("hFE")[0], least=90.0, most=None)
    found = consistency(replace(part, figures=(*part.figures, odd)))
    assert any("least h_FE 90 above most h_FE 70" in finding.words for finding in found)


def test_members_of_families_are_checked():
    """A member that contradicts itself shows up although only its family is in the list."""
    family = find("1N47xx")
    assert catalogue_findings({"1N47xx": family}) == consistency(family)
    assert all(finding.severity == "note" for name in family.members for finding in consistency(find(name)))


def test_weak_and_recalled_figures_are_listed():
    words = [finding.words for finding in consistency(find("7812"))]
    assert any("damaged text" in one and "Texas Instruments" in one for one in words)
    assert any("recalled" in finding.words for finding in consistency(find("TIP36C")))
    weak = [finding.words for finding in consistency(find("2N3904")) if "damaged text" in finding.words]
    assert len(weak) == 1 and weak[0].startswith("h_FE, V_BE(sat), V_CE(sat)"), "one remark for one document"


def test_a_document_is_remarked_on_once():
    words = [finding.words for finding in consistency(find("1N540x"))]
    assert sum("damaged text" in one for one in words) == 1
