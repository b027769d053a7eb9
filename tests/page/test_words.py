"""Words stand in one file: none is missing, none is said by nobody, and none stands elsewhere."""

import fnmatch
import re
import tomllib
from pathlib import Path

import pytest

from whirlwise.cli import page
from whirlwise.cli.page.words import FOLDER, words

HERE = Path(page.__file__).parent
#: Sections whose names are put together from what happens.
BY_WHAT_HAPPENS = {
    "nav",
    "progress",
    "plain",
    "guard",
    "uploads",
    "job",
    "kept",
    "reference",
    "guide",
    "wheels",
    "reckon",
    "use",
}
#: A dotted name in quotes; places that are filled in while the page runs stand as in Python or JavaScript.
SAID = re.compile(r"""["'`]([a-z]+)\.([a-z][\w-]*(?:\$?\{[\w.]+\}\w*)?)["'`]""")


#: What stands after a point in the name of a file.
ENDINGS = {"html", "js", "json", "css", "svg", "py"}


def known() -> set[str]:
    found = tomllib.loads((FOLDER / "en.toml").read_text(encoding="utf-8"))
    return {f"{section}.{name}" for section, names in found.items() for name in names}


def sources() -> list[Path]:
    command = HERE.parent / "commands" / "page.py"
    return [command, *(path for ending in ("*.py", "*.html", "*.js") for path in HERE.rglob(ending))]


def said() -> set[str]:
    """Names that are said; with a star for what is filled in."""
    sections = {name.partition(".")[0] for name in known()}
    return {
        f"{section}.{re.sub(r'[$]?{.*}', '*', name)}"
        for path in sources()
        for section, name in SAID.findall(path.read_text(encoding="utf-8"))
        if section in sections and name not in ENDINGS
    }


def test_no_word_is_missing() -> None:
    assert len(said()) > 100
    missing = {name for name in said() if not fnmatch.filter(known(), name)}
    assert missing == set()


def test_no_word_is_said_by_nobody() -> None:
    heard = {name for pattern in said() for name in fnmatch.filter(known(), pattern)}
    never = {name for name in known() - heard if name.partition(".")[0] not in BY_WHAT_HAPPENS}
    assert never == set()


@pytest.mark.parametrize("path", [path for path in sources() if path.suffix == ".html"], ids=lambda p: p.name)
def test_no_words_stand_in_templates(path: Path) -> None:
    text = re.sub(r"\{[{%#].*?[}%#]\}|<[^>]*>", " ", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    text = text.replace("whirlwise page --phone", "")
    assert re.findall(r"[A-Za-z]{2,}", text) == []


def test_places_in_words_are_filled() -> None:
    assert words()("job.seconds", count=3) == "3 s"


def test_no_outside_address_is_named() -> None:
    """Nothing that the browser gets asks another address; names of XML are no addresses."""
    names = {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xhtml"}
    for path in HERE.rglob("*"):
        if path.suffix in (".html", ".js", ".css", ".svg"):
            text = path.read_text(encoding="utf-8")
            assert set(re.findall(r"(?:https?:)?//[\w./]+\.\w+[\w./]*", text)) <= names, path.name
            assert "style=" not in text, path.name
