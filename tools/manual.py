"""Builds the manual in docs/ into site/: plain pages that work without a network, in our own look.

python tools/manual.py            builds site/
python tools/manual.py --renew    first runs every command of the manual and writes down what it answers now
"""

import html
import re
import shutil
import sys
from collections.abc import Iterator
from itertools import cycle, pairwise
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))  # Python started with -I does not look beside the script

import manual_figures
import manual_formulas
import manual_keys
from manual_blocks import DOCS, ROOT, renewed
from markdown_it import MarkdownIt
from markdown_it.token import Token

SITE = ROOT / "site"
FONTS = ROOT / "src" / "outboard" / "draw" / "fonts"
STYLE = Path(__file__).with_name("manual.css")
ENTRY = re.compile(r"^(?:## (?P<chapter>.+)|- \[(?P<title>[^\]]+)\]\((?P<page>[\w-]+)\.md\).*)$", re.MULTILINE)
CONTENTS = "index"

PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title} · Outboard</title>
<link rel="stylesheet" href="manual.css">
</head>
<body>
<a class="skip" href="#page">to the page</a>
<header><p class="name"><a href="index.html">Outboard</a></p><a href="#contents">Contents</a></header>
<nav id="contents" aria-label="Contents">
<p class="name"><a href="index.html">Outboard</a></p>
{contents}
</nav>
<main id="page">
{body}
{onward}
</main>
</body>
</html>
"""


def chapters() -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """The chapters of the first page, each with the names and titles of its pages."""
    chapter, found = "", []
    for entry in ENTRY.finditer((DOCS / f"{CONTENTS}.md").read_text(encoding="utf-8")):
        if entry["chapter"]:
            if found:
                yield chapter, found
            chapter, found = entry["chapter"], []
        else:
            found.append((entry["page"], entry["title"]))
    yield chapter, found


def pages() -> list[tuple[str, str]]:
    """Name and title of every page, as they are read."""
    return [(CONTENTS, "Contents"), *(page for _, found in chapters() for page in found)]


def build(site: Path = SITE) -> list[Path]:
    """Write every page, the style, the faces and the pictures; the pages."""
    shutil.rmtree(site, ignore_errors=True)
    shutil.copytree(FONTS, site / "fonts")
    shutil.copy(STYLE, site)
    for picture in DOCS.glob("*.svg"):
        shutil.copy(picture, site)
    listed, written = pages(), []
    for number, (name, _) in enumerate(listed):
        written.append(site / f"{name}.html")
        written[-1].write_text(_page(name, listed, number), encoding="utf-8")
    return written


def _page(name: str, listed: list[tuple[str, str]], number: int) -> str:
    tokens = MarkdownIt("commonmark").enable("table").parse((DOCS / f"{name}.md").read_text(encoding="utf-8"))
    title = next(after.content for token, after in pairwise(tokens) if token.tag == "h1")
    for token in tokens:
        _tied(token)
    body = MarkdownIt("commonmark").enable("table").renderer.render(tokens, MarkdownIt().options, {})
    body = body.replace("<pre>", '<pre tabindex="0">')
    body = re.sub(r"<table>.*?</table>", _broad, body, flags=re.DOTALL)
    body = re.sub(r"<code>([^<\s]{1,24}|&quot;[^<&]{1,16}&quot;)</code>", r'<code class="whole">\1</code>', body)
    body = re.sub(r'<p>(<img src="([^"]+)"[^>]*>)</p>', r'<a class="figure" href="\2"><picture>\1</picture></a>', body)
    body = re.sub(r'<img src="([\w-]+)\.svg"', _in_both_lights, body)
    onward = "".join(
        f'<a rel="{rel}" href="{listed[other][0]}.html">{words} {html.escape(listed[other][1])}</a>'
        for rel, words, other in (("prev", "back:", number - 1), ("next", "on:", number + 1))
        if 0 <= other < len(listed)
    )
    return PAGE.format(
        title=html.escape(title), contents=_contents(name), body=_commands_marked(body),
        onward=f'<p class="onward">{onward}</p>',
    )  # fmt: skip


def _broad(table: re.Match[str]) -> str:
    """A table may be broader than the page; one of keys or kinds becomes a list where there is no room for it."""
    heads = re.findall("<th>(.*?)</th>", table[0])
    if heads[0] not in ("key", "kind"):
        return f'<div class="wide" tabindex="0">{table[0]}</div>'
    cells = iter(cycle(heads))
    body = re.sub("<td>", lambda _: f'<td data-head="{next(cells)}">', table[0])
    body = re.sub(r"<code>([^<]{1,28})</code>", r'<code class="whole">\1</code>', body)
    return body.replace("<table>", '<table class="keys">')


def _in_both_lights(image: re.Match[str]) -> str:
    """A picture that has a dark twin is shown as that on dark paper."""
    if not (DOCS / f"{image[1]}-dark.svg").is_file():
        return image[0]
    return f'<source media="(prefers-color-scheme: dark)" srcset="{image[1]}-dark.svg">{image[0]}'


def _tied(token: Token) -> None:
    """Links between pages go to what is built of them."""
    for inner in (token, *(token.children or ())):
        target = inner.attrGet("href")
        if isinstance(target, str) and not target.startswith("http"):
            inner.attrSet("href", re.sub(r"\.md(?=$|#)", ".html", target))


def _commands_marked(body: str) -> str:
    """In console blocks, what is typed stands out from what is answered."""
    return re.sub(r"^(<pre[^>]*><code[^>]*>)?\$ (.*)$", _command, body, flags=re.MULTILINE)


def _command(line: re.Match[str]) -> str:
    """A command whose options are not torn at their hyphens."""
    words = re.sub(r"(?<!\S)--?[\w-]+", r"<span>\g<0></span>", line[2])
    return f'{line[1] or ""}<b class="typed"><i>$ </i>{words}</b>'


def _contents(here: str) -> str:
    parts = []
    for chapter, found in chapters():
        parts.append(f"<h2>{html.escape(chapter)}</h2><ul>")
        for name, title in found:
            current = ' aria-current="page"' if name == here else ""
            parts.append(f'<li><a href="{name}.html"{current}>{html.escape(title)}</a></li>')
        parts.append("</ul>")
    return "\n".join(parts)


def renew() -> None:
    """Run what the pages call, and write its answers into them."""
    manual_figures.draw()
    (DOCS / "formulas.md").write_text(manual_formulas.page(), encoding="utf-8")
    (DOCS / "design-file.md").write_text(manual_keys.page(), encoding="utf-8")
    for name, _ in pages():
        path = DOCS / f"{name}.md"
        text = path.read_text(encoding="utf-8")
        new = renewed(text)
        if new != text:
            path.write_text(new, encoding="utf-8")
            print(f"renewed: {path.name}")


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT / "src"))
    if "--renew" in sys.argv[1:]:
        renew()
    print(f"{len(build())} pages in {SITE}")
