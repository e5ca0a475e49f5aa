"""A person's own parts: forms, the same rules as the catalogue's, whose place they take, and files that are broken."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
import tomlkit
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from outboard.cli.parts import KINDS as OFFERED
from outboard.cli.program import program
from outboard.dossier import opened
from outboard.errors import Mistake, WrongInput
from outboard.identify import identified
from outboard.own_parts import add, form, own_shelf
from outboard.own_parts.folders import person_folder
from outboard.own_parts.short_form import read_own
from outboard.parts import catalogue, find
from outboard.parts.consistency import consistency
from outboard.parts.library import KINDS
from outboard.parts.ratings import ratings
from outboard.parts.shelf import beside

ROOT = Path(__file__).resolve().parents[2]
RAILWAY = (ROOT / "examples" / "model-railway.toml").read_text(encoding="utf-8")
SHEET = "Invented Semiconductors, OWN, revision 2, page 1"


def filled(kind: str, sheet: str = SHEET) -> str:
    """A form with its sheet named."""
    return form(kind).replace('sheet = ""', f'sheet = "{sheet}"')


def saved(folder: Path, text: str, name: str = "own.toml") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def mistakes_of(path: Path) -> tuple[Mistake, ...]:
    with pytest.raises(WrongInput) as caught:
        read_own(path)
    for mistake in caught.value.mistakes:
        assert mistake.file == str(path) and "\n" not in str(mistake)
    return caught.value.mistakes


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(program, [str(argument) for argument in arguments])


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A person's folder that is not there yet; the current folder is an empty one."""
    own, work = tmp_path / "own", tmp_path / "work"
    work.mkdir()
    monkeypatch.setenv("OUTBOARD_PARTS", str(own))
    monkeypatch.chdir(work)
    return own


# The form


@pytest.mark.parametrize("kind", OFFERED)
def test_a_form_is_refused_until_its_document_is_named(kind: str, tmp_path: Path) -> None:
    """A kind that has no types yet is refused for that."""
    (mistake,) = mistakes_of(saved(tmp_path, form(kind)))
    assert mistake.where == ("sheet" if kind in KINDS else "kind")
    written = 'sheet = ""' if kind in KINDS else f'kind        = "{kind}"'
    assert form(kind).splitlines()[(mistake.line or 0) - 1] == written


@pytest.mark.parametrize("kind", sorted(set(OFFERED) & set(KINDS)))
def test_a_form_filled_in_is_a_type_without_contradictions_that_makes_a_device(kind: str, tmp_path: Path) -> None:
    part_type = read_own(saved(tmp_path, filled(kind)))
    assert part_type.kind == kind
    assert [one for one in consistency(part_type) if one.severity != "note"] == []
    assert identified(part_type).values
    assert {figure.source for figure in part_type.figures} == {SHEET}
    assert {figure.kind("most") for figure in part_type.figures} == {"limit"}


def test_there_is_a_form_for_every_kind_that_has_types() -> None:
    assert set(KINDS) <= set(OFFERED)


def test_a_plain_value_is_the_most_that_the_sheet_allows(tmp_path: Path) -> None:
    rated = ratings(read_own(saved(tmp_path, filled("bipolar"))))
    # the numbers of the form itself
    assert rated["V_CEO"].value == 60.0 and rated["I_C"].value == 10.0 and rated["R_thJC"].value == 1.56
    assert rated["T_J"].value == pytest.approx(423.15)


def test_recalled_is_allowed_and_marked(tmp_path: Path) -> None:
    whole = read_own(saved(tmp_path, filled("diode", "recalled")))
    assert {figure.kind("most") for figure in whole.figures} == {"recalled"}
    remembered = 'RthJA = { most = "40 K/W", source = "recalled" }'
    one = read_own(saved(tmp_path, filled("diode").replace('RthJA  = "40 K/W"', remembered)))
    assert [figure.name for figure in one.figures if figure.kind("most") == "recalled"] == ["RthJA"]


# What is wrong in a form, the line as it is written instead, pieces of the message
WRONG = [
    ('VCEO    = "60 V"', 'VCEO    = "60 A"', ["most of VCEO: “60 A” is a current"]),
    ('VCEO    = "60 V"', 'VCEX0   = "60 V"', ["no such figure as “VCEX0”"]),
    ('VCEO    = "60 V"', 'VCEO = { most = "60 V", source = "S9999" }', ["unknown source 'S9999'"]),
    ('VCEO    = "60 V"', 'VCEO = { most = "60 V", source = "" }', ["VCEO has no source"]),
    ('VCEO    = "60 V"', 'VCEO = { least = "60 V", most = "50 V" }', ["do not rise"]),
    ('VCEO    = "60 V"', 'VCEO = { most = "60 V", temprature = "25 °C" }', ["unknown condition temprature"]),
    ('VCEO    = "60 V"', 'VCEO = { text = "nothing" }', ["VCEO: no value"]),
    ('VCEO    = "60 V"', "VCEO = nan", ["most of VCEO", "finite"]),
    ('VCEO    = "60 V"', "VCEO = []", ["the list is empty"]),
    ('VCEO    = "60 V"', "VCEO = [[1]]", ["a plain value does not say"]),
    ('VBE_on  = { most = "1.5 V", collector_current = "4 A", collector_emitter_voltage = "4 V" }', 'hfe = 20',
     ["a plain value does not say what it is", "least, typical or most"]),
    ('polarity    = "pnp" ', 'polarity    = "PNP" ', ["no polarity 'PNP'"]),
    ('kind        = "bipolar"', 'kind        = "tube"', ["“tube” is no kind"]),
    ('name        = "OWN-PNP"', 'name        = "../OWN"', ["“../OWN” is no name"]),
    ('packages    = ["TO-220"]', 'packages    = "TO-220"', ["no list of texts"]),
    ('packages    = ["TO-220"]', 'case        = "TO-220"', ["no such key as “case”"]),
    (f'sheet = "{SHEET}"', 'sheet = "somewhere"', ["“somewhere” names no document", "publisher"]),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after", "pieces"), WRONG)
def test_a_mistake_is_told_at_its_line(before: str, after: str, pieces: list[str], tmp_path: Path) -> None:
    text = filled("bipolar")
    assert before in text
    (mistake,) = mistakes_of(saved(tmp_path, text.replace(before, after)))
    assert text.replace(before, after).splitlines()[(mistake.line or 0) - 1].startswith(after), str(mistake)
    assert mistake.expected
    for piece in pieces:
        assert piece in str(mistake)


def test_figures_that_contradict_each_other_are_refused(tmp_path: Path) -> None:
    (mistake,) = mistakes_of(saved(tmp_path, filled("bipolar").replace('IC_peak = "15 A"', 'IC_peak = "5 A"')))
    assert "continuous I_C 10 A above the peak current 5 A" in mistake.what


def test_a_transistor_without_gain_is_not_taken(folder: Path, tmp_path: Path) -> None:
    text = filled("bipolar").replace("hFE = [", "hfe = [")
    with pytest.raises(WrongInput, match="neither h_FE nor I_C can be left out"):
        add(saved(tmp_path, text))
    assert not folder.exists()


names = st.sampled_from([
    "name", "kind", "sheet", "figures", "packages", "hFE", "VCEO", "VF", "least", "most", "source", "inside", "derived",
    "collector_current", "output_current", "text", "group", "polarity",
])  # fmt: skip
values = st.recursive(
    st.booleans() | st.integers() | st.floats() | st.sampled_from(["", "recalled", "60 V", "4 A", "bipolar", "A, B"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=4),
)


@settings(max_examples=200)
@given(st.dictionaries(names, values, max_size=5), st.sampled_from(sorted(set(OFFERED) & set(KINDS))), values)
def test_any_table_is_a_type_or_wrong_input(table: dict[str, object], kind: str, figure: object) -> None:
    from tempfile import TemporaryDirectory

    figures = {"VCEO": figure, "hFE": figure}
    with TemporaryDirectory() as place:
        for content in (table, {"name": "X", "kind": kind, "sheet": "A, B", "figures": figures} | table):
            try:
                read_own(saved(Path(place), tomlkit.dumps(content)))
            except WrongInput as wrong:
                assert all(mistake.line for mistake in wrong.mistakes)


# Adding


def test_add_copies_the_form_with_its_comments(folder: Path, tmp_path: Path) -> None:
    path = saved(tmp_path, filled("bipolar"))
    result = run("parts", "add", path)
    assert result.exit_code == 0, result.output
    assert (folder / "OWN-PNP.toml").read_text(encoding="utf-8") == filled("bipolar")
    assert os.listdir(folder) == ["OWN-PNP.toml"]
    again = run("parts", "add", path)
    assert again.exit_code == 2 and "--replace" in again.stderr
    assert run("parts", "add", path, "--replace", "--quiet").exit_code == 0


def test_form_is_printed_and_asked_for_by_name(folder: Path) -> None:
    assert run("parts", "add", "--form", "diode").stdout == form("diode")
    wrong = run("parts", "add", "--form", "diod")
    assert wrong.exit_code == 2 and "--form diode" in wrong.stderr
    assert run("parts", "add").exit_code == 2
    assert run("parts", "add", "x.toml", "--form", "diode").exit_code == 2
    missing = run("parts", "add", "nowhere.toml")
    assert missing.exit_code == 2 and "nowhere.toml: there is no such file" in missing.stderr


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    monkeypatch.setenv("OUTBOARD_PARTS", str(blocked / "parts"))
    result = run("parts", "add", saved(tmp_path, filled("diode")))
    assert result.exit_code == 2 and "cannot be written" in result.stderr and "OUTBOARD_PARTS" in result.stderr


def test_where_the_parts_of_a_person_lie(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OUTBOARD_PARTS", "/somewhere")
    assert person_folder() == Path("/somewhere")
    monkeypatch.delenv("OUTBOARD_PARTS")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert person_folder() == tmp_path / "outboard" / "parts"
    monkeypatch.delenv("XDG_CONFIG_HOME")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert person_folder() == tmp_path / "home" / ".config" / "outboard" / "parts"


# In designs


def own_railway(folder: Path, name: str = "OWN-PNP") -> Path:
    return saved(folder, RAILWAY.replace("TIP2955", name), "railway.toml")


def test_a_design_may_name_an_own_part_and_its_verdict_says_so(folder: Path, tmp_path: Path) -> None:
    design = own_railway(tmp_path)
    unknown = run("verify", design)
    assert unknown.exit_code == 2 and "the catalogue has no “OWN-PNP”" in unknown.stderr
    place = saved(folder, filled("bipolar"))
    said = f"OWN-PNP is a part of your own: {place}"
    for verb in ("verify", "solve", "omit", "faults"):
        words = run(verb, design)
        assert words.exit_code in (0, 1, 3), words.output
        assert said.replace(" ", "") in "".join(words.stdout.split()), verb
    assert said in json.loads(run("verify", design, "--json").stdout)["notes"]


def test_a_recalled_figure_shows_in_the_verdict(folder: Path, tmp_path: Path) -> None:
    saved(folder, filled("bipolar", "recalled"))
    verdict = json.loads(run("verify", own_railway(tmp_path), "--json").stdout)
    assert any("recalled" in words for finding in verdict["findings"] for words in finding["rests_on"])


def test_an_own_part_stands_in_front_of_the_catalogue_and_that_is_said(folder: Path, tmp_path: Path) -> None:
    before = opened(own_railway(tmp_path, "TIP2955"))
    assert before.design.notes == ()
    saved(folder, filled("bipolar").replace("OWN-PNP", "TIP2955"))
    dossier = opened(own_railway(tmp_path, "TIP2955"))
    (note,) = dossier.design.notes
    assert note.endswith("in place of the catalogue's TIP2955")
    assert dossier.design.part("Q1").ratings["I_C"].value == 10.0  # of the form; the catalogue has 15 A
    assert dossier.inputs != before.inputs
    listed, shown = run("parts", "list"), run("parts", "show", "tip2955")
    for words in (listed, shown):
        assert "inplaceofthecatalogue'sTIP2955" in "".join(words.stdout.split())
    assert "I_C 10 A" in " ".join(listed.stdout.split())


def test_figures_of_an_own_part_are_in_the_fingerprint_and_its_place_is_not(folder: Path, tmp_path: Path) -> None:
    design = own_railway(tmp_path)
    saved(folder, filled("bipolar"), "one.toml")
    first = opened(design).inputs
    (folder / "one.toml").rename(folder / "two.toml")
    assert opened(design).inputs == first
    saved(folder, filled("bipolar").replace('VCEO    = "60 V"', 'VCEO    = "61 V"'), "two.toml")
    assert opened(design).inputs != first


def test_parts_beside_the_design_go_before_those_of_the_person(folder: Path, tmp_path: Path) -> None:
    saved(folder, filled("bipolar"))
    near = saved(tmp_path / "parts", filled("bipolar").replace('IC_cont = "10 A"', 'IC_cont = "9 A"'))
    dossier = opened(own_railway(tmp_path))
    assert dossier.design.part("Q1").ratings["I_C"].value == 9.0
    assert str(near) in dossier.design.notes[0]


def test_own_parts_end_with_the_design_that_brought_them(folder: Path, tmp_path: Path) -> None:
    saved(tmp_path / "parts", filled("bipolar"))
    opened(own_railway(tmp_path))
    assert "OWN-PNP" not in catalogue()
    own = own_shelf(tmp_path)
    with beside(own):
        assert find("own-pnp") is own.types["OWN-PNP"]


def test_a_broken_file_is_told_to_whoever_needs_it_and_to_nobody_else(folder: Path, tmp_path: Path) -> None:
    path = saved(folder, filled("bipolar").replace('"60 V"', '"60 A"'))
    refused = run("verify", own_railway(tmp_path))
    assert refused.exit_code == 2
    assert refused.stderr.startswith(f"{path}:17:") and "is a current" in refused.stderr
    assert run("verify", own_railway(tmp_path, "TIP2955"), "--quiet").exit_code == 0
    assert run("parts", "show", "7812").exit_code == 0
    assert run("parts", "show", "OWN-PNP").exit_code == 2
    listed = run("parts", "list")
    assert listed.exit_code == 0 and "not read" in listed.stdout
    checked = run("parts", "check", "--json")
    assert checked.exit_code == 1
    assert json.loads(checked.stdout)["remarks"][0]["part"] == "OWN-PNP"


def test_a_broken_file_hides_the_catalogues_type_of_its_name(folder: Path, tmp_path: Path) -> None:
    path = saved(folder, 'name = "TIP2955"\nkind = "bipolar\n')
    refused = run("verify", own_railway(tmp_path, "TIP2955"))
    assert refused.exit_code == 2 and refused.stderr.startswith(f"{path}:2:")


def test_two_files_for_one_part_are_a_mistake(folder: Path, tmp_path: Path) -> None:
    saved(folder, filled("bipolar"), "a.toml")
    saved(folder, filled("bipolar"), "b.toml")
    refused = run("solve", own_railway(tmp_path))
    assert refused.exit_code == 2 and "a.toml too" in refused.stderr


def test_a_part_that_makes_no_device_is_told_to_whoever_uses_it(folder: Path, tmp_path: Path) -> None:
    path = saved(folder, filled("bipolar").replace("hFE = [", "hfe = ["))
    refused = run("solve", own_railway(tmp_path))
    assert refused.exit_code == 2 and str(path) in refused.stderr and "h_FE" in refused.stderr


@pytest.mark.parametrize("kind", ["folder", "pipe", "binary", "large", "loop", "empty", "deep"])
def test_odd_things_among_the_parts_stop_nothing(kind: str, folder: Path, tmp_path: Path) -> None:
    folder.mkdir()
    path = folder / "odd.toml"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "loop":
        path.symlink_to(path)
    else:
        content = {"binary": bytes(range(256)), "large": b"#" * 10_000_000, "empty": b"", "deep": b"a=" + b"[" * 9000}
        path.write_bytes(content[kind])
    start = time.perf_counter()
    assert run("solve", own_railway(tmp_path, "TIP2955"), "--quiet").exit_code == 0
    assert run("parts", "list").exit_code == 0
    assert time.perf_counter() - start < 2.0


def test_help_and_mistakes_do_not_read_parts(folder: Path) -> None:
    saved(folder, filled("bipolar"))
    code = (
        "import sys; from outboard.cli import main; main(['--help']); "
        "print([name for name in sys.modules if 'own_parts' in name])"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True,
                           env=os.environ | {"PYTHONPATH": str(ROOT / "src")})  # fmt: skip
    assert ended.stdout.rstrip().endswith("[]")
