"""The folder that a translator fills in: what lies in it, and how it is read.

::

    FOLDER/words.toml      the page's own words, by section and name, as in the page's words/en.toml
    FOLDER/sentences.toml  sentences of answers, remarks, tables and drawings, by the module that says them

What is left empty stays English. How the two files are written stands in ``writing.py``.
"""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from ...trouble import WrongUsageError
from ..words import Words, english_sections
from .matching import Translation
from .patterns import difference_of_holes

WORDS: Final = "words.toml"
SENTENCES: Final = "sentences.toml"
#: What is translated and no longer said; it is kept for whoever wants to use it again.
NO_LONGER_SAID: Final = "no longer said"
#: How a folder is made, and what is new added to it.
COMMAND: Final = "python -m whirlwise.cli.page.translating"
#: Sections of the page's words that workers say, within sentences or in place of them.
SAID_BY_WORKERS: Final = ("plain", "reckon", "uploads", "wheels")
LANGUAGE: Final = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")
Sections = dict[str, dict[str, str]]


@dataclass(frozen=True, slots=True)
class Language:
    """A language of the page: the folder in which it stands, its words, and what says sentences in it."""

    folder: Path
    words: Words
    said: Translation


def words_in(folder: Path) -> Words:
    """Read the page's own words; those that are left empty are English.

    Raises
    ------
    WrongUsageError
        If the folder cannot be used; the sentence says what is wrong in it, and where.
    """
    english, found = english_sections(), sections_in(folder / WORDS)
    path = folder / WORDS
    for section, names in english.items():
        for name, text in names.items():
            if name not in found.get(section, {}):
                raise WrongUsageError(
                    f"{path} lacks '{name}' in [{section}]; '{COMMAND} {folder}' adds what is missing."
                )
            _check_holes(path, section, name, text, found[section][name])
    if not LANGUAGE.fullmatch(found["page"]["language"]):
        raise WrongUsageError(
            f"{path}{_line_of(path, 'page', 'language')} names no language; give its code, such as "
            'language = "de", in [page].'
        )
    return Words(
        {
            section: {name: found[section][name] or text for name, text in names.items()}
            for section, names in english.items()
        }
    )


@cache
def language_in(folder: Path) -> Language:
    """Read a folder, once.

    Raises
    ------
    WrongUsageError
        As from :func:`words_in`.
    """
    words, path = words_in(folder), folder / SENTENCES
    translated = {
        text: words.section(section)[name]
        for section in SAID_BY_WORKERS
        for name, text in english_sections()[section].items()
    }
    for module, sentences in sections_in(path).items():
        if module != NO_LONGER_SAID:
            for english, translation in sentences.items():
                _check_holes(path, module, english, english, translation)
                translated.update({english: translation} if translation else {})
    return Language(folder, words, Translation(translated, words("page.imperial")))


def sections_in(path: Path) -> Sections:
    """Read a file of the folder: sections of texts under names."""
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as problem:
        raise WrongUsageError(f"{path} is not there; '{COMMAND} {path.parent}' makes it.") from problem
    except OSError as problem:
        reason = problem.strerror or type(problem).__name__
        raise WrongUsageError(f"{path} cannot be read ({reason}); check whose it is.") from problem
    except UnicodeDecodeError as problem:
        raise WrongUsageError(f"{path} is no text in UTF-8; save it as that.") from problem
    except tomllib.TOMLDecodeError as problem:
        raise WrongUsageError(
            f'{path} cannot be understood: {problem}; each line must read as "English" = "translation", '
            'with \\" for a quotation mark within.'
        ) from problem
    for section, texts in found.items():
        if not isinstance(texts, dict) or not all(isinstance(each, str) for each in texts.values()):
            raise WrongUsageError(
                f"{path} holds something else than texts in [{section}]; put each in quotes."
            )
    return found


def _check_holes(path: Path, section: str, name: str, english: str, translation: str) -> None:
    """See that a translation has the holes of the English, each as often."""
    lost, invented = difference_of_holes(english, translation)
    if not translation or not (lost or invented):
        return
    put_in, take_out = ", ".join(lost), ", ".join(invented)
    what = " and ".join([f"lacks {put_in}"] * bool(lost) + [f"has {take_out} too many"] * bool(invented))
    raise WrongUsageError(
        f"{path}{_line_of(path, section, name)}: the translation of '{name}' {what}; what stands in braces "
        "is filled in, and stands in a translation as often as in the English."
    )


def _line_of(path: Path, section: str, name: str) -> str:
    """Tell in which line a name of a section stands."""
    within = False
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if line.startswith("["):
            within = line.strip() in (f"[{section}]", f"[{quoted(section)}]")
        elif within and line.startswith((f"{name} =", f"{quoted(name)} =")):
            return f", line {number}"
    return ""


def quoted(text: str) -> str:
    r"""Write a text as TOML has it.

    Examples
    --------
    >>> quoted('a "b"')
    '"a \\"b\\""'
    """
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'
