"""Which numbers of figures taken by hand go into a wheel's file, and under which names."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from uncertainties import UFloat

from ...calc.hand_figures import (
    diameter_within_string,
    pitch_of_band_round,
    pitch_on_bottom,
    pitch_under_calliper,
)
from ...calc.wheel import Dimension, What
from ..given.hand import Counted, Place, Spot
from ..trouble import WrongUsageError
from .numbers import Numbers, ratio_without_load

WHAT_OF: Final[dict[Spot, What]] = {"edge": "outer_mm", "groove": "groove_mm", "band": "pitch_mm"}
BAND_UNKNOWN: Final = (
    "How thick is the band? Give --band 2.4mm, or tell the wheel's band with 'whirlwise parts': without it a "
    "figure taken over the band says nothing of where its middle runs."
)


@dataclass(frozen=True, slots=True)
class HandFigures:
    """All figures of one command; ``band_mm`` is None where nobody knows the band."""

    across: Mapping[Place, UFloat]
    around: Mapping[Place, UFloat]
    counted: Sequence[Counted]
    apart_mm: UFloat | None
    string_mm: UFloat
    band_mm: UFloat | None
    v_groove: bool
    at_work: bool


def hand_numbers(figures: HandFigures) -> Numbers:
    """Give the numbers that the figures tell.

    Where the band's thickness is known, a groove tells where its middle runs as well, unless it is a V or was
    measured over the band too.

    Raises
    ------
    WrongUsageError
        If a figure over the band was taken of a band that nobody knows.
    """
    numbers: Numbers = {}
    for place, length_mm in figures.across.items():
        numbers[_dimension(place)] = _across_mm(place, length_mm, figures.band_mm)
    for place, length_mm in figures.around.items():
        numbers[_dimension(place)] = _around_mm(place, length_mm, figures.string_mm)
    for dimension, groove_mm in list(numbers.items()):
        pitch = Dimension("pitch_mm", dimension.part)
        rests = figures.band_mm is not None and not figures.v_groove and pitch not in numbers
        if dimension.what == "groove_mm" and rests:
            numbers[pitch] = pitch_on_bottom(groove_mm, figures.band_mm)
    for each in figures.counted:
        ratio = each.flyer_turns / each.wheel_turns
        if figures.at_work:
            numbers[Dimension("ratio_at_work", each.whirl)] = ratio
        else:
            numbers[Dimension("ratio", each.whirl)] = ratio_without_load(ratio)
    if figures.apart_mm is not None:
        numbers[Dimension("centre_distance_mm")] = figures.apart_mm
    return numbers


def _dimension(place: Place) -> Dimension:
    return Dimension(WHAT_OF[place.spot], place.part)


def _across_mm(place: Place, length_mm: UFloat, band_mm: UFloat | None) -> UFloat:
    if place.spot != "band":
        return length_mm
    if band_mm is None:
        raise WrongUsageError(BAND_UNKNOWN)
    return pitch_under_calliper(length_mm, band_mm)


def _around_mm(place: Place, length_mm: UFloat, string_mm: UFloat) -> UFloat:
    if place.spot == "band":
        return pitch_of_band_round(length_mm)
    return diameter_within_string(length_mm, string_mm)
