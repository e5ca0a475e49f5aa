"""The manual says what the program does: every command answers what is shown, and the site is whole."""

import re
import sys
from html.parser import HTMLParser
from pathlib import Path
from types import ModuleType

import pytest

from outboard.cli.program import VERBS

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = sorted(path.stem for path in DOCS.glob("*.md"))
SECONDS = re.compile(r"\b\d+(\.\d+)? s\b")


@pytest.fixture(scope="module")
def tools() -> tuple[ModuleType, ...]:
    sys.path.insert(0, str(ROOT / "tools"))
    try:
        import manual
        import manual_blocks
        import manual_formulas
        import manual_keys
    finally:
        sys.path.remove(str(ROOT / "tools"))
    return manual, manual_blocks, manual_formulas, manual_keys


@pytest.mark.parametrize("name", PAGES)
def test_commands_answer_what_the_page_shows(name: str, tools: tuple[ModuleType, ...]) -> None:
    """`./run manual --renew` writes down what comes out now."""
    text = (DOCS / f"{name}.md").read_text(encoding="utf-8")
    assert tools[1].renewed(text) == text


def test_a_wrong_answer_and_a_wrong_end_would_be_caught(tools: tuple[ModuleType, ...]) -> None:
    text = "```console\n$ outboard --version\nsomething else\n```\n"
    assert tools[1].renewed(text) != text
    with pytest.raises(tools[1].BlockFails):
        tools[1].renewed("```console exit=1\n$ outboard --version\n```\n")


def test_what_is_cut_shows_only_lines_that_were_asked_for(tools: tuple[ModuleType, ...]) -> None:
    shown = tools[1].renewed("```console lines=1,3-4\n$ outboard --help\n```\n").splitlines()
    assert shown[2].startswith("Usage") and shown[3] == "…" and shown[-2] == "…" and len(shown) == 8


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_its_page_with_its_help(verb: str) -> None:
    assert f"$ outboard {verb} --help\nUsage:" in (DOCS / f"verb-{verb}.md").read_text(encoding="utf-8")


def test_formulas_are_those_of_the_program(tools: tuple[ModuleType, ...]) -> None:
    assert tools[2].page() == (DOCS / "formulas.md").read_text(encoding="utf-8")


def test_keys_of_the_design_file_are_those_that_are_read(tools: tuple[ModuleType, ...]) -> None:
    assert tools[3].page() == (DOCS / "design-file.md").read_text(encoding="utf-8")


def test_every_page_is_listed(tools: tuple[ModuleType, ...]) -> None:
    assert sorted(name for name, _ in tools[0].pages()) == PAGES


class Addresses(HTMLParser):
    """What a page refers to, and the places in it."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [value for name, value in attrs if name in ("href", "src") and value]


def test_the_site_is_whole_and_needs_no_network(tmp_path: Path, tools: tuple[ModuleType, ...]) -> None:
    site = tmp_path / "site"
    for page in tools[0].build(site):
        reader = Addresses()
        reader.feed(page.read_text(encoding="utf-8"))
        assert reader.found
        for address in reader.found:
            assert "//" not in address, f"{page.name}: {address}"
            assert address.startswith("#") or (site / address.partition("#")[0]).is_file(), f"{page.name}: {address}"
    style = (site / "manual.css").read_text(encoding="utf-8")
    for address in re.findall(r"url\(([^)]+)\)", style):
        assert "//" not in address and (site / address).is_file()


def test_options_of_a_command_are_not_torn_and_pictures_open(tmp_path: Path, tools: tuple[ModuleType, ...]) -> None:
    tools[0].build(tmp_path)
    page = (tmp_path / "verb-derive.html").read_text(encoding="utf-8")
    assert "<i>$ </i>outboard derive model-railway.toml <span>--of</span> I_REG</b>" in page
    assert '<a class="figure" href="boundaries.svg"><picture>' in page
    keys = (tmp_path / "design-file.html").read_text(encoding="utf-8")
    assert '<td data-head="such as"><code class="whole">&quot;60 mΩ&quot;</code></td>' in keys


def test_no_answer_is_shown_that_differs_from_run_to_run() -> None:
    for name in PAGES:
        for line in (DOCS / f"{name}.md").read_text(encoding="utf-8").splitlines():
            assert not (SECONDS.search(line) and " points " in line), f"{name}: {line}"
