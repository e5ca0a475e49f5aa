"""The types of the catalogue: what is refused, what is found, whose members they are, what is shown and cited."""

import pytest

from outboard.constants import ZERO_CELSIUS
from outboard.errors import WrongInput
from outboard.parts import UnknownType, catalogue, find, ratings
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


def test_a_junction_that_does_not_exist_is_refused():
    assert "no junction" in str(mistakes_of('name = "X1"\nkind = "diode"\njunction = "vacuum"\n')[0])


def test_what_is_inside_a_package():
    assert find("TIP122").darlington and find("TIP120").darlington and not find("2N3055").darlington
    wrong = 'name = "X1"\nkind = "bipolar"\npolarity = "npn"\ninside = "three"\n'
    (mistake,) = mistakes_of(wrong)
    assert "'three'" in str(mistake) and "darlington" in str(mistake)
    assert "inside" in str(mistakes_of('name = "X1"\nkind = "diode"\ninside = "darlington"\n')[0])


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


@pytest.mark.parametrize(("name", "adjustable"), [("317", True), ("1117", True), ("1117-5.0", False), ("7805", False)])
def test_what_is_set_by_resistors(name, adjustable):
    assert find(name).adjustable is adjustable


# Members of a family


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


def test_a_suffix_makes_a_member_of_its_own():
    """Digitron 1N4728-1N4764: 10 % without a suffix, 5 % with A; the rest is the same."""
    plain, close = find("1N4733"), find("1n4733a")
    assert [row.most for row in plain.rows("VZ_tolerance")] == [0.10]
    assert [row.most for row in close.rows("VZ_tolerance")] == [0.05]
    assert ratings(plain)["I_ZM"].value == ratings(close)["I_ZM"].value == 0.178
    assert len(find("1N47xx").members) == 48
    assert "VZ_tolerance" not in {row.name for row in find("1N47xx").figures if row.conditions.group}


def test_grades_are_members():
    """ON Semiconductor MC7808A: 7.84 V to 8.16 V; what an unmarked 7808 meets is from memory."""
    graded, plain = find("7808A"), find("7808")
    cold = [(row.least, row.most) for row in graded.rows("VO") if row.conditions.junction_temperature]
    assert cold == [(7.84, 8.16)]
    assert ratings(plain)["V_O_most"].origin.kind == "recalled" and ratings(plain)["V_O_most"].value == 8.4
    assert ratings(graded)["V_O_most"].origin.kind == "limit" and ratings(graded)["V_O_most"].value == 8.3


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


# Sources and what is shown


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


def test_a_figure_is_worth_no_more_than_its_conditions():
    """LM1117-5.0: the sheet's 4.8 V to 5.2 V was seen, the input voltages that belong to it are from memory."""
    band = find("1117-5.0").rows("VO")[1]
    assert band.source == "S25" and band.kind("least") == "recalled"
    assert ratings(find("1117-5.0"))["V_O_least"].origin.kind == "recalled"
    assert find("7805").rows("VO")[1].kind("least") == "limit"


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
