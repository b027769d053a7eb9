"""Which yarns wheels spin, side by side: what each covers at the spinner's own cadence and drafting speed.

A yarn of usual twist asks for one stretch of ratios: twist x drafting speed / cadence, from the least to the
most twist that custom knows for its use. Each whirl serves the stretch of ratios that feet reach with it, as
in :mod:`.comparing`. A wheel spins the yarn where two such stretches meet.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from uncertainties import nominal_value

from .comparing import Stretch
from .interval import Interval, interval_95
from .ladder import CadenceRange, ladder_of
from .quantity import Quantity
from .twist import ratio_for_twist, twist_per_cm
from .yarn import over_ends, tex_for_twist, twist_for_multiplier_per_cm

Spins = Literal["yes", "perhaps", "no"]
#: What counts most when wheels are put in order.
_WORTH: Final[dict[Spins, float]] = {"yes": 1.0, "perhaps": 0.5, "no": 0.0}


@dataclass(frozen=True, slots=True)
class YarnWish:
    """A yarn that is wished for, and the ratios by which it is spun.

    Attributes
    ----------
    name : str
    tex : Quantity
        Of the singles.
    ratios : Interval
        At the middle of the cadence: for the middle of the usual twists, and from the least to the most.
    """

    name: str
    tex: Quantity
    ratios: Interval


@dataclass(frozen=True, slots=True)
class YarnOnWheel:
    """Whether a wheel spins a yarn that is wished for, and on which whirl that suits it best."""

    wish: YarnWish
    spins: Spins
    whirl: str


@dataclass(frozen=True, slots=True)
class YarnsOfWheel:
    """What one wheel spins.

    Attributes
    ----------
    name : str
    singles_tex : (float, float)
        The finest and the thickest singles of usual twist.
    yarns : tuple of YarnOnWheel
        In the order in which they are wished for.
    """

    name: str
    singles_tex: Stretch
    yarns: tuple[YarnOnWheel, ...]

    @property
    def worth(self) -> float:
        """How many of the yarns it spins; one that it may spin counts half."""
        return sum(_WORTH[each.spins] for each in self.yarns)


@dataclass(frozen=True, slots=True)
class Hands:
    """How a spinner works: cadence, drafting speed in cm a minute, and the twist multiplier of the use."""

    cadence: CadenceRange
    drafting_cm_per_min: Quantity
    multiplier: Quantity


def yarn_wish(name: str, tex: Quantity, hands: Hands) -> YarnWish:
    """Work out which ratios a yarn asks for; the doubt of the drafting speed is kept out of them.

    Examples
    --------
    >>> hands = Hands(CadenceRange(60, 60), 250.0, 4.0)
    >>> round(yarn_wish("fine", 59.054, hands).ratios.value, 2)
    20.75
    """

    def ratio(tex: float, multiplier: float) -> float:
        twist = twist_for_multiplier_per_cm(multiplier, tex)
        drafting = nominal_value(hands.drafting_cm_per_min)
        return float(nominal_value(ratio_for_twist(twist, hands.cadence.middle_per_min, drafting)))

    return YarnWish(name, tex, over_ends(ratio, tex, hands.multiplier))


def yarns_compared(
    wheels: Mapping[str, Mapping[str, Quantity]], wishes: Sequence[YarnWish], hands: Hands
) -> tuple[YarnsOfWheel, ...]:
    """Tell what each wheel spins; those that spin most of the wishes first, else in the order given.

    Parameters
    ----------
    wheels : mapping of str to mapping of str to Quantity
        By the wheel's name the drive ratios of its whirls.
    wishes : sequence of YarnWish
    hands : Hands

    Raises
    ------
    ValueError
        If a wheel has no ratio.
    """
    found = [
        YarnsOfWheel(
            name, _singles_tex(ratios, hands), tuple(_on_wheel(wish, ratios, hands) for wish in wishes)
        )
        for name, ratios in wheels.items()
    ]
    return tuple(sorted(found, key=lambda each: -each.worth))


def as_good_as_first(order: Sequence[YarnsOfWheel]) -> tuple[str, ...]:
    """Name the wheels that may spin as many of the yarns as the first one surely does."""
    sure = sum(each.spins == "yes" for each in order[0].yarns)
    return tuple(
        wheel.name for wheel in order[1:] if sum(each.spins != "no" for each in wheel.yarns) >= max(sure, 1)
    )


def _singles_tex(ratios: Mapping[str, Quantity], hands: Hands) -> Stretch:
    """The finest singles of the fastest whirl at the highest cadence, the thickest of the slowest."""
    rungs, usual = ladder_of(ratios).rungs, interval_95(hands.multiplier)
    drafting = nominal_value(hands.drafting_cm_per_min)
    ends = (
        (rungs[-1], hands.cadence.fastest_per_min, usual.low),
        (rungs[0], hands.cadence.slowest_per_min, usual.high),
    )
    finest, thickest = (
        float(
            nominal_value(
                tex_for_twist(twist_per_cm(nominal_value(rung.ratio), cadence, drafting), multiplier)
            )
        )
        for rung, cadence, multiplier in ends
    )
    return finest, thickest


def _on_wheel(wish: YarnWish, ratios: Mapping[str, Quantity], hands: Hands) -> YarnOnWheel:
    rated = [(_served(ratio, wish, hands), _apart(ratio, wish), label) for label, ratio in ratios.items()]
    spins, _, whirl = max(rated, key=lambda each: (_WORTH[each[0]], -each[1]))
    return YarnOnWheel(wish, spins, whirl)


def _served(ratio: Quantity, wish: YarnWish, hands: Hands) -> Spins:
    """Whether feet bring one whirl to a ratio that the yarn asks for, for sure or perhaps."""
    half = hands.cadence.reach**0.5
    # What the yarn asks for goes with the drafting speed; so the doubts of both are those of their quotient.
    needed = ratio / hands.drafting_cm_per_min * nominal_value(hands.drafting_cm_per_min)
    doubt = interval_95(needed)
    reached = [
        each * half >= wish.ratios.low and each / half <= wish.ratios.high
        for each in (doubt.value, doubt.low, doubt.high)
    ]
    if all(reached):
        return "yes"
    may = doubt.high * half >= wish.ratios.low and doubt.low / half <= wish.ratios.high
    return "perhaps" if may else "no"


def _apart(ratio: Quantity, wish: YarnWish) -> float:
    factor = float(nominal_value(ratio)) / wish.ratios.value
    return max(factor, 1 / factor)
