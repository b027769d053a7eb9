"""Words in the drawings of the guides: gathered, and said in the other language where they are shown."""

import re
from collections.abc import Callable
from html import escape, unescape
from importlib import resources
from typing import Final

from .... import cli
from ..plain import plain
from .patterns import letters

ENDING: Final = ".svg"
#: What is written in a drawing line by line, and what is told to who cannot see it.
WORDS: Final = re.compile(r"(<(?:text|title|desc)\b[^>]*>)([^<]*)(</)")


def drawings_of_guides() -> dict[str, str]:
    """Give the drawings by name, as the page shows them."""
    folder = resources.files(cli).joinpath("guide")
    return {
        file.name.removesuffix(ENDING): plain(file.read_text(encoding="utf-8"))
        for file in folder.iterdir()
        if file.name.endswith(ENDING)
    }


def drawings_gathered() -> dict[str, list[str]]:
    """Give what stands in each drawing, line by line."""
    return {
        f"drawing {name}": list(
            dict.fromkeys(unescape(each[1]) for each in WORDS.findall(svg) if letters(each[1]))
        )
        for name, svg in sorted(drawings_of_guides().items())
    }


def drawing_said(svg: str, said: Callable[[str], str]) -> str:
    """Say the words of a drawing in the other language.

    Examples
    --------
    >>> drawing_said('<svg><text x="1">the wheel</text></svg>', str.upper)
    '<svg><text x="1">THE WHEEL</text></svg>'
    """
    return WORDS.sub(lambda found: found[1] + escape(said(unescape(found[2])), quote=False) + found[3], svg)
