"""Numbers of a wheel with an accelerating head: which pair of wheel and whirl they are of."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from ...calc.wheel import SPINDLE, WHEEL, Dimension, Reading
from ..given.whirl import part_name
from ..trouble import WrongUsageError
from .kept import UNNAMED_WHIRL
from .numbers import Numbers, ratio_without_load

Number = TypeVar("Number")


@dataclass(frozen=True, slots=True)
class Pair:
    """What was measured on a wheel.

    Attributes
    ----------
    head : str
        Name of the head whose own wheel and spindle's whirl they were; empty: the great wheel's pair.
    through : str
        Name of the head behind the great wheel, where turns were counted from that wheel to the spindle.
    """

    head: str = ""
    through: str = ""

    def of(self, numbers: Numbers) -> Numbers:
        """Give the numbers of a measurement the names that they have on a wheel with that head."""
        if self.head:
            return _of_head(numbers, self.head)
        return _through(numbers, self.through) if self.through else numbers


def pair_typed(head: str | None, through: str | None = None, label: str | None = None) -> Pair:
    """Read the options ``--head`` and ``--through``, each the name of a head.

    Raises
    ------
    WrongUsageError
        If both are given, one is no name, or a whirl is named beside ``--head``.
    """
    if head is not None and through is not None:
        raise WrongUsageError(
            "--head says that the head's own wheel and whirl were measured, --through that turns were "
            "counted from the great wheel to the spindle; give one of them."
        )
    if head is not None and label is not None:
        raise WrongUsageError("--label names a whirl of the great wheel; that of a head needs no name.")
    return Pair(
        "" if head is None else part_name(head, "--head", "the name of the head, such as quick"),
        "" if through is None else part_name(through, "--through", "the name of the head, such as quick"),
    )


def reading_of_head(reading: Reading, head: str) -> Reading:
    """Give what a picture told of a wheel and its whirl the names that they have as a head's own pair."""
    pair = reading.only(each for each in reading.values if each.part in (WHEEL, UNNAMED_WHIRL))
    return replace(pair, values=_of_head(pair.values, head))


def _of_head(numbers: Mapping[Dimension, Number], head: str) -> dict[Dimension, Number]:
    """Of the head's own pair: its wheel and the one whirl on the spindle, whatever it was called."""
    return {
        replace(each, part=WHEEL if each.part == WHEEL else SPINDLE, head=head): number
        for each, number in numbers.items()
    }


def _through(numbers: Numbers, head: str) -> Numbers:
    """From the great wheel to the spindle, over two bands that may each slip a little."""
    whole: Numbers = {}
    for dimension, number in numbers.items():
        if dimension.what == "ratio":
            whole[replace(dimension, what="whole_ratio", head=head)] = ratio_without_load(number)
        elif dimension.what == "ratio_at_work":
            whole[replace(dimension, what="whole_ratio_at_work", head=head)] = number
        else:
            raise WrongUsageError(
                "--through is for turns that were counted from the great wheel to the spindle; note sizes "
                "with a command of its own, with --head for those of the head."
            )
    return whole
