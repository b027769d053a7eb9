"""Tables of plain text that fit a terminal of 80 columns."""

from collections.abc import Collection, Sequence
from typing import Final, Self

GAP: Final = "  "
#: As wide as a terminal is anywhere.
WIDEST: Final = 80


class Table(str):
    """A table as text that still knows its cells, for whoever has better means to show them.

    Attributes
    ----------
    headings : tuple of str
        Each may have several lines.
    rows : tuple of tuples of str
    left : tuple of int
        Columns, from 0, that are set to the left.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[int, ...]

    def __new__(
        cls, text: str, headings: Sequence[str], rows: Sequence[Sequence[str]], left: Collection[int]
    ) -> Self:
        """Keep the cells beside the text."""
        made = super().__new__(cls, text)
        made.headings, made.rows, made.left = tuple(headings), tuple(map(tuple, rows)), tuple(sorted(left))
        return made


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], left: Collection[int] = (0,)) -> Table:
    r"""Lay out a table: names to the left, numbers to the right, a line below the headings.

    Parameters
    ----------
    headings : sequence of str
        Each may have several lines.
    rows : sequence of sequences of str
    left : collection of int
        Columns, from 0, that are set to the left.

    Examples
    --------
    >>> print(table(["whirl", "turns\nan inch"], [["small", "7.6"], ["large", "12"]]))
               turns
      whirl  an inch
      -----  -------
      small      7.6
      large       12
    """
    split = [heading.split("\n") for heading in headings]
    height = max(map(len, split))
    tops = [[""] * (height - len(lines)) + lines for lines in split]
    columns = range(len(headings))
    widths = [
        max([len(line) for line in tops[place]] + [len(row[place]) for row in rows]) for place in columns
    ]
    rule = ["-" * width for width in widths]

    def laid(cells: Sequence[str]) -> str:
        set_to = [str.ljust if place in left else str.rjust for place in columns]
        return (GAP + GAP.join(set_to[p](cells[p], widths[p]) for p in columns)).rstrip()

    head = [[lines[place] for lines in tops] for place in range(height)]
    return Table("\n".join(map(laid, [*head, rule, *rows])), headings, rows, left)
