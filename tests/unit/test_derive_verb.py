"""The verb derive: pages in every form, networks in time, mistakes, keys, files."""

import json
import time
import tomllib
from pathlib import Path

import pytest
from derived_designs import BYPASS, COMPOUND, EXAMPLES, ROOT, run

from outboard.dossier import opened
from outboard.explain.asked import Asked
from outboard.explain.deadline import TooLong, within
from outboard.explain.derivation import derived
from outboard.report.derive_page import page

NETWORKS = sorted((ROOT / "tests" / "reference" / "networks").glob("*.toml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_typst_pages_compile(path: Path) -> None:
    """The page of every example's first result; typst itself is the judge."""
    typst = pytest.importorskip("typst")
    text = page(derived(opened(path).design, Asked(("I_REG",))), "typst")
    assert typst.compile(text.encode()).startswith(b"%PDF")


@pytest.mark.parametrize("path", NETWORKS, ids=lambda path: path.stem)
def test_every_network_is_derived_in_time_or_refused_in_words(path: Path) -> None:
    """Networks of up to twelve unknowns within ten seconds; what has no hand model says so."""
    parts = tomllib.loads(path.read_text())["parts"]
    kinds = {part["kind"] for part in parts}
    nets = {net for part in parts if not part["kind"].startswith("thermal") for net in part.get("pins", {}).values()}
    carrying = sum(part["kind"] in ("bipolar", "mosfet", "regulator", "diode", "source") for part in parts)
    run(str(BYPASS), "--of", "V_O")  # the solver and the algebra are loaded
    start = time.process_time()
    found = run(str(path), "--of", "V_O", "--json")
    if len(nets - {"ground"}) + carrying <= 12:
        assert time.process_time() - start < 10.0
    if found.exit_code == 0:
        (only,) = json.loads(found.output)["results"]
        assert only["solved_value"] is None or abs(only["value"]) < 100.0
    else:
        assert found.exit_code in (2, 3) and found.output and kinds


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_arrangements_are_derived_within_two_seconds(path: Path) -> None:
    run(str(path))  # the solver is loaded
    start = time.process_time()
    assert run(str(path)).exit_code == 0
    assert time.process_time() - start < 2.0


def test_time_limit_speaks_clearly() -> None:
    with pytest.raises(TooLong, match="did not end within"), within(0.05):
        while True:
            pass


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--of", "I_X"], "I_X is no letter of this network"),
        (["--within", "40%"], "no share that a formula may be off by"),
        (["--let", "V_BE1"], "does not say what a letter is"),
        (["--let", "h_FE1=200,150,80"], "do not rise"),
        (["--find", "R1"], "belong together"),
        (["--find", "R9", "--of", "I_C1", "--target", "1A", "--let", "Z=1"], "Z is no letter"),
        (["--without", "R77"], "no part is named 'R77'"),
        (["--as", "papyrus"], "is no form of a page"),
        (["--order-free"], "how --gap is to be shared out"),
    ],
)
def test_mistakes_say_what_to_write(words: list[str], said: str) -> None:
    found = run(str(COMPOUND), *words)
    assert found.exit_code == 2
    assert said in " ".join(found.output.split())


def test_only_explain_needs_symbols_and_only_when_it_computes() -> None:
    import subprocess
    import sys

    code = "import sys, outboard.cli.program, outboard.cli.derive; sys.exit('sympy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], env=_environment(), check=False).returncode == 0


def _environment() -> dict[str, str]:
    import os

    return dict(os.environ)


KEYS = {
    "quantity", "meaning", "unit", "value", "solved_value", "definitions", "equations", "substitutions", "gain",
    "exact", "too_long_to_shorten", "from_main_terms", "coincides", "neglects", "shortest", "slopes", "found",
    "difference", "gap",
}  # fmt: skip


def test_json_has_stable_keys() -> None:
    found = json.loads(run(str(BYPASS), "--json", "--slopes", "--gap", "--within", "1%").output)
    assert set(found) == {"regime", "letters", "load_A", "events_along_load", "events_down_input", "results", "beside",
                          "notes"}  # fmt: skip
    for result in found["results"]:
        assert set(result) == KEYS
        assert set(result["exact"]) == {"text", "latex", "mathml", "typst"}
        assert result["gap"]["steps"][-1]["value"] == pytest.approx(result["solved_value"], rel=1e-7)


def test_page_goes_into_a_file_of_the_form_that_its_name_says(tmp_path: Path) -> None:
    for name, sign in (("a.md", "# "), ("a.tex", r"\documentclass"), ("a.html", "<!doctype"), ("a.typ", "#set page(")):
        assert run(str(BYPASS), "-o", str(tmp_path / name), "--quiet").exit_code == 0
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(sign)
