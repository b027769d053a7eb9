"""Words stand in one file: none is missing, none is said by nobody, and none stands elsewhere."""

import re
import tomllib
from pathlib import Path

import pytest

from whirlwise.cli import page
from whirlwise.cli.page.words import FOLDER, words

HERE = Path(page.__file__).parent
#: Sections whose names are put together from what happens.
BY_WHAT_HAPPENS = {"nav", "progress", "plain", "guard", "uploads", "job", "kept"}
SAID = re.compile(r"""\b(?:w|words|words\(\)|wordsOr)\(\s*f?["'`](\w+)\.([\w ${}.]+)["'`]""")


def known() -> set[str]:
    found = tomllib.loads((FOLDER / "en.toml").read_text(encoding="utf-8"))
    return {f"{section}.{name}" for section, names in found.items() for name in names}


def sources() -> list[Path]:
    command = HERE.parent / "commands" / "page.py"
    return [command, *(path for ending in ("*.py", "*.html", "*.js") for path in HERE.rglob(ending))]


def said() -> set[str]:
    return {
        f"{section}.{name}"
        for path in sources()
        for section, name in SAID.findall(path.read_text(encoding="utf-8"))
        if "{" not in name and section != "NAME"
    }


def test_no_word_is_missing() -> None:
    assert len(said()) > 40
    assert said() - known() == set()


def test_no_word_is_said_by_nobody() -> None:
    never = {name for name in known() - said() if name.partition(".")[0] not in BY_WHAT_HAPPENS}
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
