"""Whether the band is as thick as the spinner measured it, by what was taken for a card or a sheet.

A rectangle found by its outline may be something else, and then all sizes are wrong by as much. A cord's
thickness is measured in the picture to a seventh, too coarse to give a scale, but enough to tell such a one.
"""

from collections.abc import Sequence

import numpy as np
from uncertainties import UFloat

from ..find.cord_lines import CordLine
from ..measured import NotMeasured
from .joint import Fit
from .reference_choice import Choice
from .wheel_fit import WheelPicture

#: The thickness of a lone cord that is seen so far is measured with this standard deviation, as a share: in
#: drawn rooms and pictures with known truth it was between 0.74 and 1.27 of the told one.
CLEARLY_SEEN, THICKNESS_DOUBT = 0.85, 0.13
#: By so many deviations the thickness by a true reference is never off.
SURELY_UNLIKE = 3.3


def as_thick_as_told(
    choice: Choice,
    unscaled: WheelPicture,
    rim_fit: Fit,
    cords: tuple[Sequence[CordLine], Sequence[CordLine]],
    band_mm: UFloat,
) -> Choice:
    """The choice, or one without references if by these the band is surely not as thick as it was told.

    Parameters
    ----------
    choice : Choice
    unscaled : WheelPicture
        The picture without references.
    rim_fit : Fit
        Of the rim alone.
    cords : pair of sequences of CordLine
        What was found on either run, nothing being known of how thick it is.
    band_mm : UFloat
        The band's thickness as told.
    """
    doubted = [reference.kind for reference in choice.seen.references if not reference.certain]
    lone = [cord for one in cords for cord in one if len(one) == 1 and cord.seen >= CLEARLY_SEEN]
    if not doubted or len(lone) < 2:
        return choice
    measured_mm = float(np.mean([_thickness_mm(choice.fit, cord) for cord in lone]))
    doubt = float(np.hypot(THICKNESS_DOUBT, band_mm.std_dev / band_mm.nominal_value))
    if abs(np.log(measured_mm / band_mm.nominal_value)) < SURELY_UNLIKE * doubt:
        return choice
    return Choice(unscaled, rim_fit, _not_as_thick(doubted[0], measured_mm, band_mm.nominal_value))


def _thickness_mm(fit: Fit, cord: CordLine) -> float:
    plane = fit.scene.plane
    x, y = plane.plane_from_pixels(cord.points_px.mean(axis=0)[None])[0].tolist()
    return cord.thickness_px / float(plane.px_per_mm((x, y)))


def _not_as_thick(kind: str, measured_mm: float, told_mm: float) -> NotMeasured:
    return NotMeasured(
        f"By what was taken for the {kind} the band is {measured_mm:.1f} mm thick, but you measured "
        f"{told_mm:.1f} mm: it is something else, so no sizes are given.",
        f"Lay the {kind} where nothing hides a part of it, or point at its four corners; check the thickness "
        "of the band that you gave, too.",
    )
