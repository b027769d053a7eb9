"""Tables of plain text that fit a terminal of 80 columns."""

from collections.abc import Collection, Sequence
from typing import Final

GAP: Final = "  "
#: As wide as a terminal is anywhere.
WIDEST: Final = 80


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], left: Collection[int] = (0,)) -> str:
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
    return "\n".join(map(laid, [*head, rule, *rows]))
