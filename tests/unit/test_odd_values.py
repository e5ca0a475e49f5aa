"""Values that somebody may write and nobody means: each is told at its place, or has a plain meaning."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from outboard.brief import read_text
from outboard.cli.program import program
from outboard.errors import WrongInput

EXAMPLE = (Path(__file__).resolve().parents[2] / "examples" / "model-railway.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("verb", ["solve", "size", "divide", "verify"])
def test_a_resistor_of_nothing_is_a_wire(verb: str, tmp_path: Path) -> None:
    """A tolerance of 0 Ω is nothing either: no axis, and no bug of ours."""
    path = tmp_path / "shorted.toml"
    path.write_text(EXAMPLE.replace('resistance  = "560 Ω"', 'resistance  = "0 Ω"'), encoding="utf-8")
    result = CliRunner().invoke(program, [verb, str(path), "--json"])
    assert result.exit_code in (0, 1, 3), result.stderr


@pytest.mark.parametrize("value", ["1e300 Ω", "1e-300 Ω", "5e-324 Ω", "1.7e308 Ω", "1e31 Ω", "9e-31 Ω"])
def test_a_size_beyond_all_that_occurs_is_told(value: str) -> None:
    with pytest.raises(WrongInput) as refused:
        read_text(EXAMPLE.replace('resistance  = "560 Ω"', f'resistance  = "{value}"'), "odd.toml")
    (mistake,) = refused.value.mistakes
    assert mistake.line == EXAMPLE.count("\n", 0, EXAMPLE.index('resistance  = "560 Ω"')) + 1
    assert "beyond" in mistake.what and "4.7 kΩ" in mistake.expected


def test_a_network_without_ground_is_told_where_its_parts_begin(tmp_path: Path) -> None:
    path = tmp_path / "floating.toml"
    path.write_text(
        'title = "no reference"\n\n[[parts]]\nname = "R1"\nkind = "resistor"\npins = { a = "in", b = "x" }\n'
        'resistance = "1 kΩ"\n', encoding="utf-8",
    )  # fmt: skip
    result = CliRunner().invoke(program, ["solve", str(path), "--json"])
    assert result.exit_code == 2
    (error,) = json.loads(result.stdout)["errors"]
    assert error["line"] == 3 and "ground" in error["what"]
