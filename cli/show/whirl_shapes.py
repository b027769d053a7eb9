"""Shapes of a whirl to turn and of the gauge for it, in mm: no page and no ink are known here."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import tan
from typing import Final

import numpy as np
from numpy.typing import NDArray
from uncertainties import nominal_value

from ...calc.groove import ROOMY, GrooveShape, GrooveToTurn, groove_depth
from ...calc.interval import interval_95
from ...calc.quantity import Quantity

Outline = NDArray[np.float64]

#: Thickness of the lands between grooves and at the ends.
LAND_MM: Final = 3.0
#: Depth of a gauge's wide mouth, and how far its narrow part goes on beyond the groove's radius.
MOUTH_MM, BEYOND_MM = 10.0, 3.0
#: Card that stays beside and below the slots.
CHEEK_MM: Final = 8.0


def groove_width_mm(shape: GrooveShape, band_mm: Quantity) -> float:
    """Give the width of a groove between its edges."""
    if shape.kind == "u":
        return float(ROOMY * interval_95(band_mm).high)
    return shape.flat_mm + 2 * groove_depth(band_mm, shape) * tan(shape.half_angle_rad)


def groove_outline(groove: GrooveToTurn, shape: GrooveShape, band_mm: Quantity) -> Outline:
    """Give a groove's outline (n, 2) on one side of the axis: place along it from one edge on, and radius."""
    width_mm = groove_width_mm(shape, band_mm)
    bottom_mm, edge_mm = float(nominal_value(groove.bottom_mm)) / 2, groove.edge_mm / 2
    if shape.kind == "v":
        along = [0.0, (width_mm - shape.flat_mm) / 2, (width_mm + shape.flat_mm) / 2, width_mm]
        return np.column_stack([along, [edge_mm, bottom_mm, bottom_mm, edge_mm]])
    # A round bottom, wider than the band so that it rests on the lowest place, between upright sides.
    turn = np.linspace(np.pi, 2 * np.pi, 61)
    radius_mm = width_mm / 2
    bottom = np.column_stack([radius_mm * (1 + np.cos(turn)), bottom_mm + radius_mm * (1 + np.sin(turn))])
    return np.vstack([[0.0, edge_mm], bottom, [width_mm, edge_mm]])


def whirl_outline(grooves: Sequence[GrooveToTurn], shape: GrooveShape, band_mm: Quantity) -> Outline:
    """Give a whirl's outline (n, 2) on one side of its axis, end to end, with lands beside grooves."""
    pieces: list[Outline] = []
    along_mm = 0.0
    for groove in grooves:
        outline = groove_outline(groove, shape, band_mm) + np.array([along_mm + LAND_MM, 0.0])
        edge_mm, end_mm = outline[0, 1], outline[-1, 0] + LAND_MM
        pieces.append(np.vstack([[along_mm, edge_mm], outline, [end_mm, edge_mm]]))
        along_mm = float(end_mm)
    return np.vstack(pieces)


def groove_middles_mm(count: int, shape: GrooveShape, band_mm: Quantity) -> list[float]:
    """Give where along the whirl's axis the middle of each groove is."""
    each_mm = groove_width_mm(shape, band_mm) + 2 * LAND_MM
    return [each_mm * (place + 0.5) for place in range(count)]


@dataclass(frozen=True, slots=True)
class GapGauge:
    """A gauge for one groove's bottom: a slot with a wide mouth that goes over it, and a throat that stops.

    Attributes
    ----------
    mouth_mm, throat_mm : float
        Widths: the largest and the smallest diameter that will do.
    """

    mouth_mm: float
    throat_mm: float

    @property
    def deep_mm(self) -> float:
        """Depth of the whole slot."""
        return MOUTH_MM + self.mouth_mm / 2 + BEYOND_MM

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the piece of card."""
        return self.mouth_mm + 2 * CHEEK_MM, self.deep_mm + CHEEK_MM

    def outline(self) -> Outline:
        """Give the outline (n, 2) of the piece of card from its lower left corner, the slot open above."""
        width_mm, height_mm = self.size_mm
        middle_mm = width_mm / 2
        right = [
            (middle_mm + self.throat_mm / 2, height_mm - self.deep_mm),
            (middle_mm + self.throat_mm / 2, height_mm - MOUTH_MM),
            (middle_mm + self.mouth_mm / 2, height_mm - MOUTH_MM),
            (middle_mm + self.mouth_mm / 2, height_mm),
            (width_mm, height_mm),
            (width_mm, 0.0),
        ]
        left = [(width_mm - x, y) for x, y in right]
        return np.array([*left[::-1], *right])


def gauge_of(groove: GrooveToTurn) -> GapGauge:
    """Give the gauge for a groove."""
    return GapGauge(groove.largest_mm, groove.smallest_mm)
