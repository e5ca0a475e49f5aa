"""Designs that tests derive, and the verb that derives them."""

from pathlib import Path

from click.testing import CliRunner, Result

from outboard.cli.program import program

ROOT = Path(__file__).resolve().parents[1]
COMPOUND = ROOT / "examples" / "observatory.toml"
BYPASS = ROOT / "examples" / "model-railway.toml"
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))


def run(*words: str) -> Result:
    return CliRunner().invoke(program, ["derive", *words])
