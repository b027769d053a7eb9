"""Sheets of paper to print on."""

from typing import Final

#: Width and height, upright: ISO 216; ANSI/ASME Y14.1.
PAPERS_MM: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
PAPER_NAMES: Final = {"a4": "A4", "letter": "US Letter"}
