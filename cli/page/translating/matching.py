"""A sentence is matched with the patterns, and said in the other language; what no pattern explains stays.

Several patterns may fit a sentence, and it may be parted into sentences or members of a list in several ways.
Of all of them the one is taken that leaves the fewest letters unexplained.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache, partial
from itertools import islice
from typing import Final, TypeAlias

from ..plain import in_inches
from .patterns import HOLE, bare, holes, letters

#: Where a text may be parted, the likeliest places first: between sentences, and between members of a list.
SENTENCES: Final = re.compile(r"(?<=[.!?:;]) ")
OPENING: Final = " ("
BRACKET: Final = re.compile(r"[()]")
MEMBERS: Final = (
    re.compile(r", | \((?!\d)"),
    re.compile(r"(?<=[\w)]) (?:and|or|to) (?=\w)"),
    re.compile(r"(?<=[\w)]) (?=\d)|(?<=[a-z])-(?=[a-z])"),
)
#: A file is called as somebody called it.
FILE: Final = re.compile(r"[^,;:()]+\.\w{2,4}")
#: What may stand around words: space; a number and signs; the end of a bracket that was parted.
AROUND: Final = (r"(\s*)(.*?)(\s*)", r"(\W*(?:[\d.,±%]+ )*)(.*?)([.,;:!?]*)", r"()(.*)(\))")
#: A pattern with so few letters of its own fits anything: it counts only where what fills it is explained.
FEW_LETTERS: Final = 3
#: Several words that nothing explains count this besides their letters; a single one may be a name.
PHRASE: Final = 100
#: A sentence falls into a pattern in no more ways than these, in earnest.
MOST_WAYS: Final = 8
#: Signs that stand for names meanwhile: Unicode leaves them to whoever wants them.
FIRST_SIGN: Final = 0xE000
#: So many texts, and parts of them, are known when they are said again.
REMEMBERED: Final = 20_000
#: Lengths may have been turned into inches.
MM: Final = re.compile(r"(?<=\}) mm\b")


@dataclass(frozen=True, slots=True)
class Said:
    """A text in the other language, and how much of it is unexplained."""

    text: str
    unexplained: int


#: A way of saying a text; it may come to nothing, or to several sayings.
Way: TypeAlias = Callable[[str], Iterator[Said]]


@dataclass(frozen=True)
class Pattern:
    """A sentence with holes, and its translation."""

    english: str
    translation: str

    @cached_property
    def longest_part(self) -> str:
        """The longest stretch without a hole, by which it is found fast."""
        return max(self.parts[::2], key=len)

    @cached_property
    def parts(self) -> list[str]:
        """What it says, and the names of its holes, in turn."""
        return re.split(r"\{(\w+)\}", self.english)

    def fits(self, text: str) -> Iterator[dict[str, str]]:
        """Give what may fill the holes so that it is a text: brackets that open in a hole close in it."""
        if text.startswith(self.parts[0]):
            yield from self._fits(text[len(self.parts[0]) :], 1, {})

    def _fits(self, rest: str, at: int, found: dict[str, str]) -> Iterator[dict[str, str]]:
        if at == len(self.parts):
            if not rest:
                yield found
            return
        hole, after = self.parts[at], self.parts[at + 1]
        is_last = at + 2 == len(self.parts)
        for place in _places(rest, after, at_end=is_last):
            filling = rest[:place]
            if found.get(hole, filling) == filling and _is_closed(filling):
                yield from self._fits(rest[place + len(after) :], at + 2, {**found, hole: filling})

    @cached_property
    def is_weak(self) -> bool:
        """Whether it is hardly more than holes."""
        return letters(bare(self.english)) <= FEW_LETTERS

    def filled(self, fillings: Mapping[str, str]) -> str:
        """Put something into the translation's holes."""
        return HOLE.sub(lambda match: fillings[match[1]], self.translation)


def _places(text: str, part: str, *, at_end: bool) -> Iterator[int]:
    """Give the places at which a part stands in a text, or only the one at its end."""
    if at_end:
        if text.endswith(part):
            yield len(text) - len(part)
        return
    place = text.find(part)
    while place >= 0:
        yield place
        place = text.find(part, place + 1)


def _is_closed(text: str) -> bool:
    """Whether every bracket that opens in a text closes in it, and the other way round."""
    depth = 0
    for sign in BRACKET.findall(text):
        depth += 1 if sign == "(" else -1
        if depth < 0:
            return False
    return depth == 0


class Translation:
    """All patterns of a language.

    Parameters
    ----------
    translated : mapping of str to str
        For each pattern its translation; patterns without one are left out.
    inches : str
        What inches are called.
    """

    def __init__(self, translated: Mapping[str, str], inches: str = "inches") -> None:
        found = dict(_with_inches(translated.items(), inches))
        patterns = [Pattern(english, translation) for english, translation in found.items()]
        self._exact = {each.english: each.translation for each in patterns if not holes(each.english)}
        with_holes = [each for each in patterns if holes(each.english)]
        self._patterns = sorted(with_holes, key=lambda each: -letters(bare(each.english)))
        self._said = lru_cache(REMEMBERED)(self._best)
        self._ways: list[Way] = [self._whole, self._within]
        self._partings: list[Way] = [partial(self._parted, borders) for borders in (SENTENCES, *MEMBERS)]

    def __call__(self, text: str) -> str:
        """Say a text in the other language."""
        return self._said(text).text

    def keeping(self, names: Iterable[str]) -> Callable[[str], str]:
        """Give what says texts in which names of several words stay as somebody gave them.

        A name of one word stays anyhow, unless it is a word of the program's.
        """
        signs = {name: chr(FIRST_SIGN + k) for k, name in enumerate({each for each in names if " " in each})}

        def said(text: str) -> str:
            for name, sign in signs.items():
                text = text.replace(name, sign)
            text = self(text)
            for name, sign in signs.items():
                text = text.replace(sign, name)
            return text

        return said if signs else self

    def _best(self, text: str) -> Said:
        """The best way to say it: as a whole, in parts, or without what stands around its words."""
        if not letters(text):
            return Said(text, 0)
        is_name = " " not in text or FILE.fullmatch(text)
        best = Said(text, letters(text) + (0 if is_name else PHRASE))
        for way in (*self._ways, *self._partings):
            before, best = best, min((best, *way(text)), key=lambda said: said.unexplained)
            is_parted = way in self._partings and best is not before
            if not best.unexplained or (is_parted and best.unexplained < PHRASE):
                break
        return best

    def _whole(self, text: str) -> Iterator[Said]:
        if text in self._exact:
            yield Said(self._exact[text], 0)
            return
        for pattern in self._patterns:
            if pattern.longest_part in text:
                for holes_filled in islice(pattern.fits(text), MOST_WAYS):
                    yield from self._filled(pattern, holes_filled)

    def _filled(self, pattern: Pattern, holes_filled: Mapping[str, str]) -> Iterator[Said]:
        fillings = {hole: self._said(each) for hole, each in holes_filled.items()}
        unexplained = sum(each.unexplained for each in fillings.values())
        if not pattern.is_weak or unexplained < PHRASE:
            yield Said(pattern.filled({hole: each.text for hole, each in fillings.items()}), unexplained)

    def _parted(self, borders: re.Pattern[str], text: str) -> Iterator[Said]:
        for border in borders.finditer(text):
            if border[0] != OPENING and not _is_closed(text[: border.start()]):
                continue
            before, after = self._said(text[: border.start()]), self._said(text[border.end() :])
            unexplained = before.unexplained + after.unexplained
            # Sentences stand by themselves; a list is one only if its members are known, or names.
            if borders is SENTENCES or unexplained < PHRASE:
                yield Said(before.text + self._joint(border[0]) + after.text, unexplained)

    def _joint(self, border: str) -> str:
        word = border.strip()
        return border.replace(word, self._exact.get(word, word)) if word else border

    def _within(self, text: str) -> Iterator[Said]:
        for around in AROUND:
            found = re.fullmatch(around, text, re.DOTALL)
            if found is not None and found[2] != text and _is_closed(found[2]):
                said = self._said(found[2])
                yield Said(found[1] + said.text + found[3], said.unexplained)


def _with_inches(pairs: Iterable[tuple[str, str]], inches: str) -> Iterator[tuple[str, str]]:
    """Give patterns and translations, and beside those with lengths in mm the same in inches."""
    for english, translation in pairs:
        if not translation:
            continue
        yield english, translation
        if MM.search(english) or in_inches(english) != english:
            yield MM.sub(" inches", in_inches(english)), MM.sub(f" {inches}", in_inches(translation, inches))
