"""The guides: words in the terminal, words and drawings in one page."""

from __future__ import annotations

import base64
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from whirlwise.cli import guide
from whirlwise.cli.show.guide_page import drawings_named, guide_page

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

FOLDER = resources.files(guide)
DRAWINGS = sorted(file.name for file in FOLDER.iterdir() if file.name.endswith(".svg"))
SVG = "{http://www.w3.org/2000/svg}"


class Page(HTMLParser):
    """What a browser would load, and what it would show as text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.loaded: list[str] = []
        self.alternatives: list[str] = []
        self.words = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.loaded += [address for key in ("src", "href") if (address := told.get(key))]
        if tag == "img":
            self.alternatives.append(told["alt"] or "")
        elif tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += f" {data}"


def test_every_drawing_is_named_in_a_guide() -> None:
    named = [
        name
        for file in FOLDER.iterdir()
        if file.name.endswith(".md")
        for name in drawings_named(file.read_text(encoding="utf-8"))
    ]
    assert sorted(named) == DRAWINGS
    assert len(DRAWINGS) >= 4


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_stands_alone(name: str) -> None:
    """Well-formed, told in words, on white, loading nothing, all its text within its bounds."""
    text = FOLDER.joinpath(name).read_text(encoding="utf-8")
    root = ET.fromstring(text)
    assert root.tag == f"{SVG}svg"
    for part in ("title", "desc"):
        told = root.find(f"{SVG}{part}")
        assert told is not None
        assert told.text
    assert not re.search(r"href|url\((?!#)|<script|<image", text)
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    for written in root.iter(f"{SVG}text"):
        x, y, wide = float(written.attrib["x"]), float(written.attrib["y"]), 9.5 * len(written.text or "")
        left = x - {"start": 0, "middle": wide / 2, "end": wide}[written.attrib["text-anchor"]]
        # Letters of 17 px sans-serif are 9.5 px wide on average in the widest of common fonts.
        assert left >= 0
        assert left + wide <= width
        assert 12 <= y <= height - 4


def test_the_page_holds_words_and_drawings(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "photo.html"
    found = whirlwise("guide", "photo", "--page", path)
    assert (found.status, found.out, found.err) == (0, f"Page: {path}\n", "")
    page = Page(path.read_text(encoding="utf-8"))
    assert page.open == []
    # Nothing is loaded from anywhere else, and each drawing is there whole.
    shown = [base64.b64decode(address.partition("base64,")[2]).decode() for address in page.loaded]
    text = FOLDER.joinpath("photo.md").read_text(encoding="utf-8")
    assert shown == [FOLDER.joinpath(name).read_text(encoding="utf-8") for name in drawings_named(text)]
    assert all(page.alternatives)
    # Every word of the guide is in the page, in its order.
    words = re.sub(r"  Drawing: .*\n|^  - ", " ", text, flags=re.MULTILINE).split()
    places = iter(page.words.split())
    assert all(word in places for word in words)


def test_what_a_page_makes_of_each_kind_of_line() -> None:
    text = "A & B\n\nFirst\n  - one\n    goes on\n  - two\n  whirlwise photo a.jpg\n  Drawing: d.svg\n\n"
    text += "Last <words>\nhere."
    body = guide_page(text, lambda name: f"<svg><title>{name}</title></svg>").partition("<body>")[2]
    assert "<h1>A &amp; B</h1>" in body
    assert (
        "<h2>First</h2>\n<ul><li>one goes on</li><li>two</li></ul>\n<pre>whirlwise photo a.jpg</pre>" in body
    )
    assert '<figure><img alt="d.svg" src="data:image/svg+xml;base64,' in body
    assert "<p>Last &lt;words&gt; here.</p>" in body


@pytest.mark.parametrize("name", ["photo", "clip"])
def test_the_terminal_says_where_the_drawings_are(whirlwise: Whirlwise, name: str) -> None:
    out = whirlwise("guide", name).out
    (folder,) = re.findall(r"^The drawings lie in (.+)$", out, re.MULTILINE)
    for drawing in re.findall(r"Drawing: (\S+)", out):
        assert (Path(folder) / drawing).is_file()
    assert f"whirlwise guide {name} --page {name}.html" in out


def test_no_page_over_another_file(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "mine.html"
    path.write_text("mine")
    found = whirlwise("guide", "photo", "--page", path)
    assert (found.status, found.err) == (
        2,
        f"--page got '{path}', which is there already; give another name, or --force to write over it.\n",
    )
    assert path.read_text() == "mine"
    assert whirlwise("guide", "clip", "--page", path, "--force").status == 0
    assert path.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_a_page_of_which_guide(whirlwise: Whirlwise, tmp_path: Path) -> None:
    found = whirlwise("guide", "--page", tmp_path / "a.html")
    assert (found.status, found.err) == (
        2,
        "guide --page expects the name of a guide too: clip, photo, questions.\n",
    )
    assert list(tmp_path.iterdir()) == []
