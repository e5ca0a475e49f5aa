"""The rules of the house that no linter knows: what is in the repository, and what must never be."""

import ast
import os
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "outboard"
MODULES = sorted(SOURCE.rglob("*.py"))
LONGEST_MODULE = 400

# Top to bottom.
LAYERS = [
    *("cli", "bench", "report", "draw", "dossier", "search", "measure", "whatif", "explain", "checks", "analysis"),
    *("quantities", "cases", "arrangements", "own_parts", "brief", "identify", "network", "devices", "formulas"),
    *("parts", "span", "quantity", "constants", "sources", "files", "errors"),
]

# Written in pieces, so that this file passes its own test.
FORBIDDEN = ["tran" + "script", "you" + "tube", "youtu" + ".be", ".." + "/shared", "/work" + "/"]
TEXT = {".py", ".md", ".toml", ".lock", ".json", ".svg", ".html", ".css", ".js", ".yml", ".txt", ".cfg", ".typ", ""}
NOT_OURS = {".git", ".venv", ".hypothesis", "__pycache__", "dist", "build"}


def own_texts() -> Iterator[Path]:
    """Every text file of the repository that a person wrote."""
    for folder, folders, files in os.walk(ROOT):
        folders[:] = [name for name in folders if name not in NOT_OURS and not name.endswith("_cache")]
        yield from (Path(folder, name) for name in files if Path(name).suffix in TEXT and name != ".venv.lock")


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


def pinned(lock: str) -> dict[str, str]:
    """Names and versions of a lock file."""
    lines = [line for line in (ROOT / lock).read_text().splitlines() if line and not line.startswith("#")]
    return {canonicalize_name(name): version for name, version in (line.split("==") for line in lines)}


def test_licence_is_there_and_named_in_the_package() -> None:
    assert (ROOT / "LICENSE").read_text().startswith("MIT License\n\nCopyright (c) 2026 The Outboard authors")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["license"] == "MIT"
    assert project["license-files"] == ["LICENSE"]


@pytest.mark.parametrize("script", ["run", ".ci/run"])
def test_scripts_are_executable(script: str) -> None:
    assert os.access(ROOT / script, os.X_OK)


@pytest.mark.parametrize("lock", ["requirements.lock", "requirements-dev.lock"])
def test_locks_hold_nothing_but_pinned_names(lock: str) -> None:
    text = (ROOT / lock).read_text()
    assert "http" not in text
    for line in text.splitlines():
        assert line.startswith("#") or re.fullmatch(r"[A-Za-z0-9_.-]+==[0-9][0-9A-Za-z.]*", line), line


@pytest.mark.parametrize("locks", [["requirements.lock"], ["requirements.lock", "requirements-dev.lock"]])
def test_locks_are_closed(locks: list[str]) -> None:
    """What a pinned package needs is pinned too, at a version that it accepts."""
    versions = {name: version for lock in locks for name, version in pinned(lock).items()}
    for name in versions:
        for text in metadata.requires(name) or []:
            needed = Requirement(text)
            if needed.marker is None or needed.marker.evaluate({"extra": ""}):
                assert canonicalize_name(needed.name) in versions, f"{name} needs {needed}"
                assert needed.specifier.contains(versions[canonicalize_name(needed.name)]), f"{name} needs {needed}"


def test_locks_do_not_overlap() -> None:
    assert not pinned("requirements.lock").keys() & pinned("requirements-dev.lock").keys()


def test_project_and_locks_name_the_same_packages() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    runtime, development = pinned("requirements.lock"), pinned("requirements-dev.lock")
    for versions, wanted in (
        (runtime, project["dependencies"]),
        (runtime | development, project["optional-dependencies"]["dev"]),
    ):
        for needed in map(Requirement, wanted):
            assert needed.specifier.contains(versions[canonicalize_name(needed.name)]), needed


def imported(path: Path) -> Iterator[str]:
    """The outermost names that a module imports, wherever in the module it does so."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
            yield node.module.split(".")[0]


def test_the_package_imports_only_what_is_pinned_for_run_time() -> None:
    """Else a verb works for whoever has the tests' packages and for nobody else.  What is optional has one home."""
    distributions = metadata.packages_distributions()
    runtime = pinned("requirements.lock").keys()
    optional = {"dossier/cluster.py": {"dask", "distributed"}}
    for path in MODULES:
        allowed = runtime | optional.get(path.relative_to(ROOT / "src" / "outboard").as_posix(), set())
        for name in set(imported(path)) - sys.stdlib_module_names - {"outboard"}:
            homes = {canonicalize_name(home) for home in distributions.get(name, [])}
            assert homes & allowed, f"{named(path)} imports {name}, which requirements.lock does not pin"


def test_readme_begins_with_the_job_in_prose() -> None:
    blocks = [block for block in (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n") if block.strip()]
    assert blocks[0].startswith("# ")
    first = blocks[1].lstrip()
    assert first[0].isalpha() and "```" not in first
    assert len(first.split()) >= 40, "the first paragraph says what the job is"


def test_what_the_readme_shows_and_runs_is_there() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"!\[[^]]+\]\(([^)]+)\)", text)
    run = re.findall(r"^\./run \w+ (\S+\.toml)", text, re.MULTILINE)
    assert shown and run
    assert [name for name in shown + run if not (ROOT / name).is_file()] == []


def test_every_layer_has_its_place_in_the_contract_and_every_module_is_a_layer() -> None:
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    (layers,) = [contract["layers"] for contract in contracts if contract["type"] == "layers"]
    assert re.findall(r"\w+", " ".join(layers)) == LAYERS
    modules = {path.stem for path in SOURCE.iterdir() if path.suffix == ".py" or (path / "__init__.py").is_file()}
    assert modules - {"__init__", "__main__"} <= set(LAYERS)


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_module_is_short_and_says_what_it_imports_and_catches(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_MODULE
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom):
            assert all(alias.name != "*" for alias in node.names), f"line {node.lineno}: import *"
        if isinstance(node, ast.ExceptHandler):
            assert node.type is not None, f"line {node.lineno}: bare except"


def test_the_project_speaks_of_itself_alone() -> None:
    found = []
    for path in own_texts():
        text = path.read_text(encoding="utf-8").lower()
        found += [f"{named(path)}: {word}" for word in FORBIDDEN if word in text]
    assert found == []
