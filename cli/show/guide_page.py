"""A guide as a page for browser or printer: words and drawings in one file that loads nothing else.

A guide's text has a title in its first line, then sections: a heading, then points that start with a dash,
lines to type, and drawings named by their file. A section of lines at the margin is plain words.
"""

import base64
import re
from collections.abc import Callable, Iterator
from html import escape
from itertools import groupby
from typing import Final

from .palette import INK, PAPER, RUST

DRAWING: Final = "  Drawing: "
POINT: Final = "  - "

STYLE: Final = f"""
body {{ font: 1.1rem/1.5 sans-serif; color: {INK}; background: {PAPER}; max-width: 46rem }}
body {{ margin: 2rem auto; padding: 0 1rem }}
h1 {{ font-size: 1.5rem }} h2 {{ font-size: 1.15rem; border-bottom: 2px solid {RUST}; padding-bottom: .2rem }}
figure {{ margin: 1rem 0 }} img {{ width: 100%; height: auto; background: #fff; border-radius: .4rem }}
pre {{ background: #fff; padding: .6rem; white-space: pre-wrap }} li {{ margin: .3rem 0 }}
@media print {{ body {{ background: #fff; margin: 0; font-size: 11pt }} figure {{ break-inside: avoid }} }}
@media print {{ img {{ width: auto; max-width: 100%; max-height: 80mm }} h2 {{ break-after: avoid }} }}
"""


def guide_page(text: str, drawing: Callable[[str], str]) -> str:
    """Make the page.

    Parameters
    ----------
    text : str
        The guide as it is shown in the terminal.
    drawing : callable
        Gives the SVG text of a drawing by its file's name.
    """
    title, _, rest = text.strip().partition("\n")
    sections = re.split(r"\n\n+", rest.strip("\n"))
    body = "\n".join(f"<section>\n{_section(part, drawing)}\n</section>" for part in sections)
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body>\n<h1>{escape(title)}</h1>\n{body}\n</body>\n</html>\n"
    )


def drawings_named(text: str) -> list[str]:
    """The files that a guide's text names."""
    return [line.removeprefix(DRAWING) for line in text.splitlines() if line.startswith(DRAWING)]


def _section(part: str, drawing: Callable[[str], str]) -> str:
    lines = part.splitlines()
    if len(lines) > 1 and not lines[0].startswith(" ") and lines[1].startswith("  "):
        return "\n".join([f"<h2>{escape(lines[0])}</h2>", *_blocks(lines[1:], drawing)])
    return "\n".join(_blocks(lines, drawing))


def _blocks(lines: list[str], drawing: Callable[[str], str]) -> Iterator[str]:
    """Points, lines to type, drawings and plain words, each kind that follows itself as one block."""
    for kind, group in groupby(_joined(lines), key=_kind):
        words = list(group)
        if kind == "point":
            yield "<ul>" + "".join(f"<li>{escape(w.removeprefix(POINT))}</li>" for w in words) + "</ul>"
        elif kind == "typed":
            yield "<pre>" + escape("\n".join(w.strip() for w in words)) + "</pre>"
        elif kind == "drawing":
            yield from (_figure(drawing(w.removeprefix(DRAWING))) for w in words)
        else:
            yield f"<p>{escape(' '.join(w.strip() for w in words))}</p>"


def _joined(lines: list[str]) -> Iterator[str]:
    """Lines with those that go on with the one before, set in below a point, joined to it."""
    held = ""
    for line in lines:
        if held.startswith(POINT) and re.match(r" {4}\S", line):
            held += " " + line.strip()
            continue
        if held:
            yield held
        held = line
    if held:
        yield held


def _kind(line: str) -> str:
    if line.startswith(DRAWING):
        return "drawing"
    if line.startswith(POINT):
        return "point"
    return "typed" if line.strip().startswith("whirlwise ") else "words"


def _figure(svg: str) -> str:
    """The drawing within the page; who cannot see it is told what it shows, in its own words."""
    told = " ".join(re.findall(r"<(?:title|desc)[^>]*>(.*?)</", svg, re.DOTALL))
    coded = base64.b64encode(svg.encode()).decode("ascii")
    return f'<figure><img alt="{escape(told)}" src="data:image/svg+xml;base64,{coded}"></figure>'
