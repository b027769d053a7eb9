"""A translator's folder is made, or brought up to date: what is translated stays, what is new is added."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from ..words import english_sections
from .drawings import drawings_gathered
from .folder import NO_LONGER_SAID, SENTENCES, WORDS, Sections, quoted, sections_in
from .gathering import gathered

ABOUT_WORDS: Final = """\
# The page's own words. Put the translation between the quotation marks; above each stands the English.
# What stands in braces, such as {name}, is filled in and must stay. What is left empty stays English.
# [page] language wants the code of the language, such as "de".
"""
ABOUT_SENTENCES: Final = """\
# What answers, remarks, tables and drawings say, by the part of the program that says it. Put the
# translation to the right. {1}, {2} are filled in, by numbers or by other lines of this file, and must stay,
# in any order. What is left empty stays English. Single words stand within sentences or above columns; one
# that is never seen on the page may be left.
"""
BARE: Final = re.compile(r"[\w-]+")


def write_folder(folder: Path) -> list[str]:
    """Write both files of a folder; give what is translated there but no longer said."""
    folder.mkdir(parents=True, exist_ok=True)
    old_words, old = _before(folder / WORDS), _before(folder / SENTENCES)
    (folder / WORDS).write_text(_words_text(old_words), encoding="utf-8")
    translated = {english: text for each in old.values() for english, text in each.items() if text}
    fresh = {
        module: {english: translated.pop(english, "") for english in said}
        for module, said in (gathered() | drawings_gathered()).items()
    }
    fresh |= {NO_LONGER_SAID: translated} if translated else {}
    (folder / SENTENCES).write_text(ABOUT_SENTENCES + _text_of(fresh), encoding="utf-8")
    return list(translated)


def _before(path: Path) -> Sections:
    return sections_in(path) if path.exists() else {}


def _words_text(old: Sections) -> str:
    """The page's words, each below its English."""
    lines = [ABOUT_WORDS]
    for section, names in english_sections().items():
        lines.append(f"\n[{section}]")
        for name, english in names.items():
            lines += [f"# {quoted(english)}", f"{_key(name)} = {quoted(old.get(section, {}).get(name, ''))}"]
    return "\n".join(lines) + "\n"


def _text_of(sections: Mapping[str, Mapping[str, str]]) -> str:
    return "".join(
        f"\n[{quoted(section)}]\n" + "".join(f"{quoted(k)} = {quoted(v)}\n" for k, v in texts.items())
        for section, texts in sections.items()
    )


def _key(name: str) -> str:
    return name if BARE.fullmatch(name) else quoted(name)
