"""What a report holds, without any look: sections of sentences, tables, drawings and pictures, in plain text.

The page in :mod:`.report_page` gives it its look; whatever else shows a wheel can take single sections.
"""

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

Place: TypeAlias = Literal["right", "left"]


@dataclass(frozen=True, slots=True)
class ReportTable:
    """A table: the first cell of each row says what the row is about.

    Attributes
    ----------
    caption : str
        What the table shows.
    headings : tuple of str
    rows : tuple of tuples of str
        Each as long as ``headings``.
    words : tuple of int
        Columns beyond the first, from 0, that hold words and are set to the left; the others hold numbers.
    """

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A plot as SVG that stands within the page; its title and description are in it."""

    svg: str


@dataclass(frozen=True, slots=True)
class ReportPicture:
    """A picture as a data URI, its size, what stands below it, and what it shows for who cannot see it."""

    uri: str
    width_px: int
    height_px: int
    caption: str
    alt: str


@dataclass(frozen=True, slots=True)
class Section:
    """One part of a report.

    Attributes
    ----------
    heading : str
    sentences : tuple of str
    tables : tuple of ReportTable
    drawing : Drawing or None
    place : str
        Whether the drawing stands to the ``left`` or the ``right`` of what is told.
    points : tuple of str
    pictures : tuple of ReportPicture
    """

    heading: str
    sentences: tuple[str, ...] = ()
    tables: tuple[ReportTable, ...] = ()
    drawing: Drawing | None = None
    place: Place = "right"
    points: tuple[str, ...] = ()
    pictures: tuple[ReportPicture, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """A wheel's report: its name, the sentences that matter most, the sections, and where it comes from.

    Attributes
    ----------
    hints : tuple of str
        What would make it fuller; said beside the report, not in it.
    title : str
        What the browser calls it.
    """

    name: str
    lead: tuple[str, ...]
    sections: tuple[Section, ...]
    origin: str
    hints: tuple[str, ...] = field(default=())
    title: str = ""
