"""Sections of a report, and answers with tables, as the browser gets them: text, cells, and drawings."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from ...show.answer import Answer
from ...show.report_contents import Report, ReportTable, Section
from ...show.table import Table
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


def report_told(report: Report, day: str) -> Report:
    """Say a report's sentences without options; what stands in drawings and pictures stays."""
    return replace(
        report,
        lead=sentences_of(report.lead),
        sections=tuple(map(_section_said, report.sections)),
        # A wheel of the page is a wheel to the person, and no file.
        origin=f"Made by Whirlwise on {day}.",
        hints=sentences_of(report.hints),
    )


def _section_said(section: Section) -> Section:
    return replace(
        section,
        sentences=sentences_of(section.sentences),
        points=sentences_of(section.points),
        tables=tuple(map(_table_said, section.tables)),
    )


def _table_said(table: ReportTable) -> ReportTable:
    rows = tuple(tuple(map(plain, row)) for row in table.rows)
    return replace(table, caption=plain(table.caption), rows=rows)


def answer_told(heading: str, answer: Answer) -> Json:
    """Give an answer that was reckoned; a table that does not know its cells stays as it is laid out."""
    return {
        "heading": heading,
        "sentences": sentences(answer.says),
        "tables": [_laid_out(each) for each in answer.tables if isinstance(each, Table)],
        "texts": [each for each in answer.tables if not isinstance(each, Table)],
        "points": sentences((*answer.trust, *answer.better, *answer.mind)),
    }


def _laid_out(table: Table) -> Json:
    """Give a terminal's table; a heading of several lines there is one that may be broken here."""
    return {
        "caption": "",
        "headings": [plain(" ".join(heading.split())) for heading in table.headings],
        "rows": [[plain(cell) for cell in row] for row in table.rows],
        "words": sorted({0, *table.left}),
    }


def sentences(said: Iterable[str]) -> list[str]:
    """Say sentences without options, each once."""
    return list(sentences_of(said))


def sentences_of(said: Iterable[str]) -> tuple[str, ...]:
    """Likewise, as reports hold them."""
    return tuple(dict.fromkeys(map(plain, said)))


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
