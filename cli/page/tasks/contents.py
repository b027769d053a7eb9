"""Sections of a report, and answers with tables, as the browser gets them: text, cells, and drawings."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable
from typing import Final

from ...show.answer import Answer
from ...show.report_contents import ReportTable, Section
from ..plain import plain
from ..worker import Json

#: ``name: value`` within a style; all that the plots use are attributes of SVG as well.
DECLARATION: Final = re.compile(r"\s*([\w-]+)\s*:\s*([^;]+)")


def section_told(section: Section) -> Json:
    """Give a section; its drawing is SVG that a strict content security policy lets pass."""
    return {
        "heading": section.heading,
        "sentences": sentences(section.sentences),
        "tables": [table_told(each) for each in section.tables],
        "drawing": without_styles(section.drawing.svg) if section.drawing else "",
        "points": sentences(section.points),
    }


def table_told(table: ReportTable) -> Json:
    """Give a table; ``words`` are the columns that are set to the left."""
    return {
        "caption": plain(table.caption),
        "headings": list(table.headings),
        "rows": [[plain(cell) for cell in row] for row in table.rows],
        "words": [0, *table.words],
    }


def answer_told(heading: str, answer: Answer) -> Json:
    """Give an answer that was reckoned; its tables are laid out as text."""
    return {
        "heading": heading,
        "sentences": sentences(answer.says),
        "texts": list(answer.tables),
        "points": sentences((*answer.trust, *answer.better, *answer.mind)),
    }


def sentences(said: Iterable[str]) -> list[str]:
    """Say sentences without options, each once."""
    return list(dict.fromkeys(map(plain, said)))


def without_styles(svg: str) -> str:
    """Give SVG whose styles are attributes, because the page's policy lets no element bring a style.

    Examples
    --------
    >>> without_styles('<svg><path style="fill: #fff; stroke-width: 2" d="M0 0" /></svg>')
    '<svg><path d="M0 0" fill="#fff" stroke-width="2" /></svg>'
    """
    root = ET.fromstring(svg)
    for element in root.iter():
        for name, value in DECLARATION.findall(element.attrib.pop("style", "")):
            element.set(name, value.strip())
    return ET.tostring(root, encoding="unicode")
