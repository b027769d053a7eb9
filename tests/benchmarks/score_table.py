"""Answers held against the truth: one row a quantity, and whether 95 % intervals hold 95 %."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import binomtest

#: An interval that reaches further to either side, as a share of the truth, is honest but says little.
WIDE = 0.05
#: Off by more than so many half-widths: the worst that can happen.
CONFIDENT_WRONG = 3.0
#: Truths are written down rounded, in a share.
ROUNDING = 1e-6
HEAD = "quantity          asked answered wide  median %  95th %  inside  half %  confident wrong"


@dataclass(frozen=True, slots=True)
class Answer:
    """One number asked of one picture: the truth, and value, low and high as answered (None: not answered).

    ``asked`` is False where the picture hardly can tell it; then only a claim counts.
    """

    quantity: str
    truth: float
    got: tuple[float, float, float] | None
    asked: bool = True

    @property
    def off(self) -> float:
        """Distance from the truth, as a share of it."""
        assert self.got is not None
        return abs(self.got[0] - self.truth) / self.truth

    @property
    def half(self) -> float:
        """Half the interval's width, as a share of the truth."""
        assert self.got is not None
        return max((self.got[2] - self.got[1]) / 2 / self.truth, ROUNDING)

    @property
    def inside(self) -> bool:
        """Whether the interval holds the truth."""
        assert self.got is not None
        return self.got[1] <= self.truth * (1 + ROUNDING) and self.got[2] >= self.truth * (1 - ROUNDING)

    @property
    def confident_wrong(self) -> bool:
        """Whether the truth lies far outside the interval."""
        return self.off > CONFIDENT_WRONG * self.half

    def cell(self) -> str:
        """In a few words."""
        if self.got is None:
            return f"{self.quantity} -"
        sign = "+" if self.got[0] >= self.truth else "-"
        mark = " WRONG" if self.confident_wrong else "" if self.inside else " out"
        share = f"{sign}{100 * self.off:.2f} % of +-{100 * self.half:.2f} %"
        return f"{self.quantity} {self.got[0]:.5g} ({share}{mark})"


def table(answers: Iterable[Answer]) -> str:
    """One row for each quantity, in the order of the alphabet, and the calibration over all."""
    asked = [answer for answer in answers if answer.asked or answer.got is not None]
    names = sorted({answer.quantity for answer in asked})
    rows = [_row(name, [answer for answer in asked if answer.quantity == name]) for name in names]
    return "\n".join([HEAD, *rows, "", calibration(asked)])


def calibration(answers: Sequence[Answer]) -> str:
    """How many intervals hold the truth, and how likely so odd a number is if they hold it 95 times in 100.

    The probability is that of a two-sided binomial test, as if all answers were independent. Several of one
    picture are not, so a small one means less than it seems.
    """
    given = [answer for answer in answers if answer.got is not None]
    if not given:
        return "No answers."
    inside = sum(answer.inside for answer in given)
    p = binomtest(inside, len(given), 0.95).pvalue
    return (
        f"{inside} of {len(given)} intervals hold the truth ({100 * inside / len(given):.1f} %), p = {p:.3g}"
    )


def _row(name: str, asked: Sequence[Answer]) -> str:
    given = [answer for answer in asked if answer.got is not None]
    row = f"{name:16s}  {len(asked):5d} {len(given):8d}"
    if not given:
        return f"{row}    -         -       -       -       -  0"
    narrow = [answer.off for answer in given if answer.half <= WIDE]
    high = f"{100 * np.percentile(narrow, 95):7.2f}" if narrow else "      -"
    return (
        f"{row} {len(given) - len(narrow):4d} {100 * np.median([a.off for a in given]):9.2f} {high} "
        f"{np.mean([a.inside for a in given]):7.3f} {100 * np.median([a.half for a in given]):7.2f}  "
        f"{sum(a.confident_wrong for a in given)}"
    )
