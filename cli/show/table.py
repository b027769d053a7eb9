"""Tables of plain text that fit a terminal of 80 columns."""

from collections.abc import Sequence

GAP = "  "


def table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    r"""Lay out a table: names to the left, numbers to the right, a line below the headings.

    A heading may have several lines.

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
    body = [[row[0].ljust(widths[0]), *(row[p].rjust(widths[p]) for p in columns[1:])] for row in rows]
    head = [
        [tops[0][line].ljust(widths[0]), *(tops[p][line].rjust(widths[p]) for p in columns[1:])]
        for line in range(height)
    ]
    rule = ["-" * width for width in widths]
    return "\n".join((GAP + GAP.join(cells)).rstrip() for cells in [*head, rule, *body])
