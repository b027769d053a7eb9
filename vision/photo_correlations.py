"""How the numbers of one picture go together: what moves one of them moves the others.

Rim and band share the scale. The whirl's pitch radius is r = R (1 - C/M), where M is the distance
from the hub to the place where the runs meet. M is seen well, the spindle's place C on the way to it badly,
so a doubt of C is a doubt of r. Whoever knows C from elsewhere then knows r; that is why it is kept.

A variable with a tag stands for a cause that other pictures of the same wheel have in common.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from uncertainties import UFloat, ufloat

from .fit.hypothesis import SHARE_DOUBT, Hypothesis, covering, share_of

#: What the model leaves out, as a share of every length: a rounded rim, a cord half in shade. Set from
#: pictures with known truth.
LENGTH_DOUBT = 0.005
#: Another picture of the same wheel has the same rim and the same spindle, and may be misled in the same way,
#: the more so the more it is like the first. How much is not known; this share of the variance is taken to be
#: common.
COMMON_VARIANCE = 0.5
RIM_CAUSE = "rim: what the model of a wheel leaves out"
BAND_CAUSE = "band: what the model of a wheel leaves out"
SHARE_CAUSE = "whirl: what the model of a spindle leaves out"


@dataclass(frozen=True, slots=True)
class Tied:
    """Diameters, the distance from axle to spindle and whirl pitch / wheel pitch, with their correlations.

    The pitch is None where no band was found, share and distance where no whirl was; lengths mean nothing
    where no reference was.
    """

    outer_mm: UFloat
    pitch_mm: UFloat | None
    share: UFloat | None
    centre_distance_mm: UFloat | None


def tied(standing: Sequence[Hypothesis], share: UFloat | None) -> Tied:
    """Put correlated numbers in the place of those that each hypothesis gives on its own.

    Parameters
    ----------
    standing : sequence of Hypothesis
        The best first.
    share : UFloat, optional
        Whirl pitch / wheel pitch, its doubt covering all that was not ruled out; None: not told.
    """
    rim_model, band_model = _left_out(RIM_CAUSE), _left_out(BAND_CAUSE)
    outer = covering([2 * h.best.measured("rim_radius")[0] for h in standing])
    band = standing[0].band
    if band is None:
        return Tied(outer * rim_model, None, None, None)
    rim, wheel, whirl, distance = band.fit.measured(
        "rim_radius", "pitch_radius", "loop1_radius", "spindle_distance"
    )
    pitch = covering([2 * h.best.measured("pitch_radius")[0] for h in standing if h.band])
    if share is None:
        # The runs touch the wheel's pitch circle, wherever they go.
        return Tied(_widened(2 * rim, outer) * rim_model, _widened(2 * wheel, pitch) * band_model, None, None)
    apart = covering([h.best.measured("spindle_distance")[0] for h in standing if h.band])
    meeting_mm = (wheel * distance / (wheel - whirl)).nominal_value
    placed = share_of(band)
    place = _place_doubt(placed, whirl / wheel)
    # What covers rival cords and poses moves the meeting of the runs too, so it tells nothing of C.
    beyond = _beyond(share, placed.std_dev)
    off = share.nominal_value - placed.nominal_value
    return Tied(
        _widened(2 * rim, outer) * rim_model,
        _widened(2 * wheel, pitch) * band_model,
        whirl / wheel + place + _doubt(beyond) + off,
        (_widened(distance, apart) - meeting_mm * place + _doubt(meeting_mm * beyond)) * band_model,
    )


def _left_out(cause: str) -> UFloat:
    """A factor of one, as doubtful as the model, part of it for all pictures of the wheel alike."""
    common, own = LENGTH_DOUBT * np.sqrt([COMMON_VARIANCE, 1 - COMMON_VARIANCE])
    return ufloat(1.0, float(common), cause) * ufloat(1.0, float(own))


def _place_doubt(placed: UFloat, fitted: UFloat) -> UFloat:
    """Doubt of the whirl's place on the bisector beyond the fit's, part of it common to all pictures."""
    common = np.sqrt(COMMON_VARIANCE) * SHARE_DOUBT * fitted.nominal_value
    own = _beyond(placed, float(np.hypot(fitted.std_dev, common)))
    return _doubt(own) + ufloat(0.0, common, SHARE_CAUSE)


def _widened(fitted: UFloat, covered: UFloat) -> UFloat:
    """The fitted number, moved and widened to the one that covers all hypotheses."""
    off = covered.nominal_value - fitted.nominal_value
    return fitted + off + _doubt(_beyond(covered, fitted.std_dev))


def _doubt(deviation: float) -> UFloat | float:
    return ufloat(0.0, deviation) if deviation > 0 else 0.0


def _beyond(number: UFloat, deviation: float) -> float:
    """What stands in a number's doubt beside a part of it."""
    return float(np.sqrt(max(number.std_dev**2 - deviation**2, 0.0)))
