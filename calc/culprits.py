"""What most likely went wrong with a number that the other readings contradict.

Each mistake that people make with a rule, a string or a count shifts the number in a way of its own: by a
factor, by a whole turn, or to where another whirl stands. A mistake is named only where the number without it
would agree with the others.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, log, pi
from typing import Final, Literal, TypeAlias

from .facts import CM_PER_INCH
from .fusing import Disagreement
from .interval import COVERAGE_FACTOR_95, Interval

Mistake: TypeAlias = Literal[
    "half", "double", "round for across", "across for round", "inch for cm", "cm for inch", "mm for cm",
    "cm for mm", "one turn", "another whirl", "band off the bottom",
]  # fmt: skip

#: By how much a mistake multiplies a length.
LENGTH_FACTORS: Final[dict[Mistake, float]] = {
    "half": 1 / 2,
    "double": 2.0,
    "round for across": pi,
    "across for round": 1 / pi,
    "inch for cm": CM_PER_INCH,
    "cm for inch": 1 / CM_PER_INCH,
    "mm for cm": 10.0,
    "cm for mm": 1 / 10,
}
#: ... and a ratio of turns.
RATIO_FACTORS: Final[dict[Mistake, float]] = {"half": 1 / 2, "double": 2.0}
#: In a V groove a band's circle comes out too small by up to this share, if it is thought to rest on the
#: bottom (from whirls with known sizes: 5 to 10 %).
OFF_THE_BOTTOM: Final = 0.12
#: What is left between the numbers once the mistake is allowed for must lie within so many doubts of both.
AGREES: Final = 2.0
#: What a mistake leaves besides its factor, such as a string's thickness that was taken off for nothing; the
#: factors lie much farther apart.
NEARLY: Final = 0.02


@dataclass(frozen=True, slots=True)
class Culprit:
    """A mistake that would explain a number; ``whirl`` names the other one where that is the mistake."""

    mistake: Mistake
    whirl: str = ""


def likely_culprit(
    disagreement: Disagreement,
    *,
    ratios: Mapping[str, Interval] | None = None,
    wheel_turns: float | None = None,
    by_hand: bool = False,
) -> Culprit | None:
    """Name the mistake that would explain a number that the others contradict.

    Parameters
    ----------
    disagreement : Disagreement
    ratios : mapping of str to Interval, optional
        Ratios of the wheel's other whirls.
    wheel_turns : float, optional
        Turns of the wheel over which the flyer's were counted.
    by_hand : bool
        Whether a person measured or counted it.

    Returns
    -------
    Culprit or None
        None where no common mistake explains it.
    """
    said, others = disagreement.said, disagreement.others_say
    if "ratio" in disagreement.dimension.what:
        for whirl, ratio in (ratios or {}).items():
            if whirl != disagreement.dimension.part and _agree(said, ratio):
                return Culprit("another whirl", whirl)
        if wheel_turns and 0.5 < abs(said.value - others.value) * wheel_turns < 1.5:
            return Culprit("one turn")
        return _by_factor(said, others, RATIO_FACTORS)
    if not by_hand:
        return None
    if disagreement.dimension.what == "pitch_mm" and 1 - OFF_THE_BOTTOM < said.value / others.value < 1:
        return Culprit("band off the bottom")
    return _by_factor(said, others, LENGTH_FACTORS)


def _by_factor(said: Interval, others: Interval, factors: Mapping[Mistake, float]) -> Culprit | None:
    for mistake, factor in factors.items():
        if _agree(said, others, factor):
            return Culprit(mistake)
    return None


def _agree(one: Interval, other: Interval, factor: float = 1.0) -> bool:
    """Whether one number is the other times a factor, within their doubts, or nearly where there is one."""
    doubts = hypot(*(log(each.high / each.low) / 2 / COVERAGE_FACTOR_95 for each in (one, other)))
    return abs(log(one.value / other.value / factor)) <= max(AGREES * doubts, 0.0 if factor == 1 else NEARLY)
