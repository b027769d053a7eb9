"""Sentences are gathered from the source; a translator's folder is made, kept up to date, and read."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from tests.cli.conftest import clip_reading as clip_reading
from tests.cli.conftest import photo_reading as photo_reading
from tests.page.pseudo import changed, write_language

from whirlwise.cli.page.translating.folder import (
    NO_LONGER_SAID,
    SENTENCES,
    WORDS,
    Language,
    language_in,
    sections_in,
)
from whirlwise.cli.page.translating.gathering import gathered, texts_in
from whirlwise.cli.page.translating.writing import write_folder
from whirlwise.cli.page.words import english_sections, words
from whirlwise.cli.trouble import WrongUsageError

#: Names of whirls in the readings, and sentences that those who wrote the readings invented.
INVENTED = (
    *("large", "small", "The focal length comes from the file."),
    "The groove's bottom lies under the band. Take the band off for one picture.",
)


@pytest.fixture(scope="module")
def language(tmp_path_factory: pytest.TempPathFactory) -> Language:
    return language_in(write_language(tmp_path_factory.mktemp("language")))


def filled_in(folder: Path, english: str, translation: str) -> None:
    """Translate one sentence of a folder, and say which language it is."""
    name_language(folder)
    path = folder / SENTENCES
    text = path.read_text(encoding="utf-8")
    assert f'"{english}" = ""' in text
    path.write_text(text.replace(f'"{english}" = ""', f'"{english}" = "{translation}"'), encoding="utf-8")


def name_language(folder: Path) -> None:
    path = folder / WORDS
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('language = ""', 'language = "de"', 1), encoding="utf-8")


# Gathering.


@pytest.mark.parametrize(
    ("module", "sentence"),
    [
        ("vision.clip_flyer", "Two ratios explain the clip about equally well."),
        ("calc.slip", "too little to be told from none"),
        ("cli.show.clip_words", "The wheel turned {1}, at a mean of {2} turns a minute."),
        ("cli.show.report", "{1}: report of a spinning wheel"),
        ("drawing photo-move", "plain wall, all in the picture"),
    ],
)
def test_what_is_said_is_gathered(tmp_path: Path, module: str, sentence: str) -> None:
    write_folder(tmp_path)
    assert sentence in sections_in(tmp_path / SENTENCES)[module]


def test_nothing_that_is_gathered_tells_to_type() -> None:
    """What the page says without options is gathered without them."""
    said = {each for sentences in gathered().values() for each in sentences}
    assert len(said) > 500
    assert "A second picture from another side, or closer to the whirl, narrows the interval most." in said
    assert not [each for each in said if each.startswith("--")]


@pytest.mark.parametrize(
    ("source", "texts"),
    [
        ('"""About this."""', []),
        ('def f():\n    """About it."""\n    return "It turns."', ["It turns."]),
        ('x = f"It is {a:.1f} {unit} wide{b}{c}."', ["It is {1} {2} wide{3}."]),
        ("x = f\"It {'stood' if still else 'turned'}.\"", ["It {1}.", "stood", "turned"]),
        ('TOLD = "From {low:.0f} to {}."', ["From {low} to {1}."]),
        ('x = {"rim_mm": "across the rim"}', ["across the rim"]),
        ('if kind == "card": x = told["a4"]', []),
        ('kind: Literal["card", "a4"] = "a sheet"', ["a sheet"]),
        ('__all__ = ["told"]', []),
        ('x = axes.text(1, 2, "the mean", ha="right")', ["the mean"]),
        ('x = re.compile("a pattern of ours")', []),
        ('better[f"{name} in less time"] = 3', ["{1} in less time"]),
    ],
)
def test_what_counts_as_said(source: str, texts: list[str]) -> None:
    assert texts_in(source) == texts


# The folder.


def test_a_folder_keeps_what_is_translated_and_names_what_is_no_longer_said(tmp_path: Path) -> None:
    assert write_folder(tmp_path) == []
    filled_in(tmp_path, "across the rim", "über den Kranz")
    path = tmp_path / SENTENCES
    text = path.read_text(encoding="utf-8")
    # Somebody took out a line, and the program once said another thing.
    text = re.sub(r'^"in the groove" = ""\n', "", text, flags=re.MULTILINE)
    path.write_text(f'{text}\n["cli.show.old"]\n"It was \\"so\\"." = "Es war \\"so\\"."\n', encoding="utf-8")
    assert write_folder(tmp_path) == ['It was "so".']
    found = sections_in(path)
    assert found[NO_LONGER_SAID] == {'It was "so".': 'Es war "so".'}
    assert {"across the rim": "über den Kranz", "in the groove": ""}.items() <= {
        key: text for each in found.values() for key, text in each.items()
    }.items()
    assert sections_in(tmp_path / WORDS)["page"]["language"] == "de"
    assert write_folder(tmp_path) == ['It was "so".']


def test_it_is_made_by_a_command(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "whirlwise.cli.page.translating"]
    made = subprocess.run([*command, str(tmp_path / "de")], capture_output=True, text=True, check=True)
    assert f"whirlwise page --words {tmp_path / 'de'}" in made.stdout
    assert (tmp_path / "de" / WORDS).exists()
    unnamed = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (unnamed.returncode, unnamed.stdout) == (2, "")
    assert "Name one folder" in unnamed.stderr


def test_what_is_empty_stays_english(tmp_path: Path) -> None:
    write_folder(tmp_path)
    filled_in(tmp_path, "across the rim", "über den Kranz")
    language = language_in(tmp_path)
    assert language.words("page.foot") == words()("page.foot")
    assert language.words("page.language") == "de"
    assert language.said("wheel, across the rim") == "wheel, über den Kranz"
    assert language.said("not measured") == "not measured"


def test_every_word_of_the_page_can_be_translated(language: Language) -> None:
    for section, names in english_sections().items():
        for name, text in names.items():
            if (section, name) != ("page", "language"):
                assert language.words.section(section)[name] == changed(text)


def break_words(folder: Path, old: str, new: str) -> None:
    path = folder / WORDS
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('skip = ""', "", "words.toml lacks 'skip' in [page]; 'python -m whirlwise.cli.page.translating"),
        ('skip = ""', 'skip = "so', "words.toml cannot be understood: "),
        ('skip = ""', "skip = 3", "words.toml holds something else than texts in [page]"),
        ('language = "de"', 'language = ""', "line 8 names no language; give its code"),
        ('lead = ""', 'lead = "In {here}"', "the translation of 'lead' has {here} too many"),
        ('lead = ""', 'lead = "In {"', "the translation of 'lead' has { too many"),
    ],
)
def test_what_is_wrong_with_words_is_a_sentence(tmp_path: Path, old: str, new: str, says: str) -> None:
    write_folder(tmp_path)
    name_language(tmp_path)
    break_words(tmp_path, old, new)
    with pytest.raises(WrongUsageError, match=re.escape(says)):
        language_in(tmp_path)


def test_a_lost_hole_is_told_with_its_line(tmp_path: Path) -> None:
    write_folder(tmp_path)
    english = "The wheel turned {1}, at a mean of {2} turns a minute."
    filled_in(tmp_path, english, "Das Rad drehte {1}, im Mittel {3} Mal.")
    lines = (tmp_path / SENTENCES).read_text(encoding="utf-8").splitlines()
    line = 1 + next(k for k, each in enumerate(lines) if each.startswith(f'"{english}"'))
    with pytest.raises(WrongUsageError) as told_wrong:
        language_in(tmp_path)
    what = f"the translation of '{english}' lacks {{2}} and has {{3}} too many;"
    assert str(told_wrong.value).startswith(f"{tmp_path / SENTENCES}, line {line}: {what}")


def test_a_folder_that_is_none_ends_the_command_with_a_sentence(tmp_path: Path) -> None:
    run = "from whirlwise.cli.app import main; main()"
    command = [sys.executable, "-c", run, "page", "--no-browser", "--words", str(tmp_path / "none")]
    ended = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ended.returncode == 2
    assert f"{tmp_path / 'none' / WORDS} is not there; 'python -m" in ended.stderr
    assert "Traceback" not in ended.stderr
