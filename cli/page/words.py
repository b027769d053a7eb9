"""All words of the page, by name, from one file that can be translated."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent / "words"


class Words:
    """Words by dotted names, ``section.name``."""

    def __init__(self, sections: Mapping[str, Mapping[str, str]]) -> None:
        self._sections = sections

    def __call__(self, name: str, /, **values: object) -> str:
        """Give the words of a name, with values put in where it has ``{places}``.

        Raises
        ------
        KeyError
            If nothing has that name: a fault of ours.
        """
        section, _, rest = name.partition(".")
        words = self._sections[section][rest]
        return words.format_map(values) if values else words

    def section(self, name: str) -> Mapping[str, str]:
        """Give all words of a section, for scripts in the browser."""
        return self._sections[name]


@cache
def english_sections() -> Mapping[str, Mapping[str, str]]:
    """Read the English words, which every other language falls back to."""
    return tomllib.loads((FOLDER / "en.toml").read_text(encoding="utf-8"))


@cache
def words() -> Words:
    """Give the English words."""
    return Words(english_sections())
