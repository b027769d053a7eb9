"""On the page nobody is told to type an option."""

import ast
import re
from pathlib import Path

import pytest

from whirlwise import vision
from whirlwise.cli import show
from whirlwise.cli.page.plain import in_inches, plain
from whirlwise.cli.page.words import words
from whirlwise.vision.photo_answer import NO_BAND, NO_REFERENCE, WHIRL_UNCLEAR

TYPED = re.compile(r"--[a-z]|'whirlwise ")
#: Modules whose sentences reach the page.
SPEAKING = [
    *Path(vision.__file__).parent.rglob("*.py"),
    *(Path(show.__file__).parent / f"{name}_words.py" for name in ("photo", "clip", "slip", "rhythm")),
    *(Path(show.__file__).parent / f"{name}_words.py" for name in ("wheel", "whirls", "time", "map")),
    *(Path(show.__file__).parent / f"{name}.py" for name in ("quarrels", "report", "ladder_words")),
    Path(show.__file__).parent / "not_measured.py",
    *Path(show.__file__).parent.glob("report_*.py"),
    Path(show.__file__).parent / "causes.py",
]


def sentences() -> list[str]:
    """Every string in them that tells to type something."""
    found = []
    for path in SPEAKING:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        docstrings = {
            ast.get_docstring(node, clean=False)
            for node in ast.walk(tree)
            if hasattr(node, "body") and isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        }
        pieces = {
            id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values
        }
        found += [
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in pieces
            and node.value not in docstrings
            and " " in node.value
            and TYPED.search(node.value)
        ]
    return found


def test_there_are_such_sentences() -> None:
    assert len(sentences()) > 10


@pytest.mark.parametrize("sentence", sentences())
def test_no_option_is_left(sentence: str) -> None:
    said = plain(sentence)
    assert not TYPED.search(said)
    assert "  " not in said


@pytest.mark.parametrize(
    ("sentence", "said"),
    [
        (
            "--band got 'thick' but expects a length with its unit (mm, cm or in), such as 2.4mm.",
            "The band's thickness got 'thick' but expects a length with its unit (mm, cm or in), such as "
            "2.4mm.",
        ),
        (
            "attic.jpg is damaged or broken off: image file is truncated (18 bytes not processed). Give one.",
            "attic.jpg is damaged or broken off. Give one.",
        ),
        (
            "--hub 9000,10 lies outside the picture, which is 800 x 600 pixels. Point at a place inside it.",
            "The mark at 9000,10 lies outside the picture, which is 800 x 600 pixels. Point at a place "
            "inside it.",
        ),
    ],
)
def test_complaints(sentence: str, said: str) -> None:
    assert plain(sentence) == said


def test_inches_by_definition() -> None:
    """One inch is 25.4 mm (international yard and pound agreement, 1959)."""
    assert in_inches("It is 25.4 mm long.") == "It is 1.000 inches long."
    assert in_inches("Within 3 min.") == "Within 3 min."


def test_who_has_another_thing_than_a_card_in_the_picture_is_told_where_to_say_so() -> None:
    """A card is looked for unless something else is chosen."""
    said = plain(NO_REFERENCE.remedy)
    assert f"'{words()('picture.known')}'" in said
    assert "what else of known size is there" in said


def test_what_a_mark_may_mend_in_this_picture_does_not_wait_for_another() -> None:
    mark = "put the mark 'whirl' on the whirl"
    assert f"but first {mark} in this picture" in plain(WHIRL_UNCLEAR.remedy)
    # Without a band there is nothing to mend before another picture.
    assert f"wheel and whirl, and {mark}." in plain(NO_BAND.remedy)
