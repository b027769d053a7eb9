"""Sentences with holes: how a text falls into them, and which of them people read."""

import re
from collections import Counter
from typing import Final

HOLE: Final = re.compile(r"\{(\w+)\}")
#: Holes, and braces that make none.
BRACES: Final = re.compile(r"\{\w+\}|[{}]")
#: What ``str.format`` fills in: numbered by its place, or named; how it is written does not matter here.
FORMATTED: Final = re.compile(r"\{(\w*)(?:![rsa])?(?::[^{}]*)?\}")
#: A sentence ends before the next one, and before a hole that brings its own space.
BORDER: Final = re.compile(r"(?<=[.!?]) (?=[A-Z{])|(?<=[.!?])(?=\{\w+\}$)")
#: What joins a part of a sentence to the rest of it.
AROUND: Final = " ,;:"
LETTERS: Final = re.compile(r"[^\W\d_]")
#: A single word that may be said; shorter ones, and ones with other signs in them, are names and units.
WORD: Final = re.compile(r"-?[A-Za-z][a-z'-]{2,}|and|or|to|of")


def with_named_holes(text: str) -> str:
    """Write what ``str.format`` fills in as holes.

    Examples
    --------
    >>> with_named_holes("From {} to {}, at {slow:.0f} a minute.")
    'From {1} to {2}, at {slow} a minute.'
    """
    unnamed = iter(range(1, len(text)))
    return FORMATTED.sub(lambda match: f"{{{match[1] or next(unnamed)}}}", text)


def sentences_in(text: str) -> list[str]:
    """Give the single sentences of a pattern, with their holes numbered anew from 1.

    Examples
    --------
    >>> sentences_in("It is {1} wide. With {2} it ends.{3}")
    ['It is {1} wide.', 'With {1} it ends.', '{1}']
    """
    return [_renumbered(each.strip(AROUND)) for each in BORDER.split(text.replace("\n", " "))]


def _renumbered(sentence: str) -> str:
    numbers = {old: str(new) for new, old in enumerate(filter(str.isdigit, holes(sentence)), start=1)}
    return HOLE.sub(lambda match: f"{{{numbers.get(match[1], match[1])}}}", sentence)


def holes(text: str) -> list[str]:
    """List the holes, each once, as they come."""
    return list(dict.fromkeys(HOLE.findall(text)))


def bare(pattern: str) -> str:
    """What a pattern says by itself."""
    return HOLE.sub("", pattern)


def letters(text: str) -> int:
    """Count letters."""
    return len(LETTERS.findall(text))


def is_for_people(sentence: str) -> bool:
    """Whether a string from the source may be words for people: some, or a single plain one.

    Examples
    --------
    >>> [is_for_people(each) for each in ("whirl {1}", "twist", "{1} ({2})", "rim_radius", "--hub got")]
    [True, True, False, False, False]
    """
    words = bare(sentence).split()
    if not any(letters(word) > 1 for word in words) or sentence.startswith("--"):
        return False
    return len(words) > 1 or " " in sentence or WORD.fullmatch(words[0]) is not None


def difference_of_holes(pattern: str, translation: str) -> tuple[list[str], list[str]]:
    """Give the holes that a translation lost, and those that it invented, and single braces, as they stand.

    Examples
    --------
    >>> difference_of_holes("{1} of {2}", "{2} von {{3}")
    (['{1}'], ['{', '{3}'])
    """
    wanted, found = (Counter(each[0] for each in BRACES.finditer(text)) for text in (pattern, translation))
    return list(wanted - found), list(found - wanted)
