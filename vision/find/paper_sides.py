"""Whether what seems to be a side of a sheet of paper is only a line of print on it, or where print begins.

Beyond a line of print there is more of the same paper. All lines of a letter begin at one margin, where an
edge is seen nearly all along, as at a side; but between the lines there is paper: light and dark come and go
evenly.
"""

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .outlines import passed_by
from .side_lines import INSIDE_PX, STATIONS, stations_along

#: So much of what changes along a margin is one wave with its overtones: in drawn rooms 0.92 and more, within
#: the sides of 48 true sheets up to 0.37.
ONE_WAVE = 0.7
#: Waves of fewer lines than this are shade; so many waves count, overtones among them; the spectrum has so
#: fine steps, and a wave is so broad in it to either side as the window makes it.
FEWEST_LINES, OVERTONES, SPECTRUM, BREADTH = 12, 3, 1024, 14
#: On either hand of a line the same paper lies, this alike (CIELAB, 0 to 255), so far from the line. In drawn
#: rooms and rendered pictures seven parts of sheets differ by up to 4 there; of 48 true ones no side goes on.
SAME_PAPER, ASIDE_PX = 7.0, (4.0, 6.0)


def ends_at_a_line(lab: NDArray[np.float32], corners_px: Points) -> bool:
    """Whether a side between corners (4, 2) is a line across a larger sheet: what lies beyond it is alike.

    And a side beside it goes straight on past it. Where the wheel hides the other one, that may be the only
    sign that the sheet is larger.
    """
    passed = passed_by(lab, corners_px)
    return any(passed[k] and _across(lab, corners_px, k) < SAME_PAPER for k in range(4))


def _across(lab: NDArray[np.float32], corners_px: Points, k: int) -> float:
    """How much the colour just within the side after corner k differs from that just outside."""
    stations, along = stations_along(corners_px, k)
    inward = np.array([-along[1], along[0]])
    within_and_beyond = (
        [np.median(_colours(lab, stations + side * aside_px * inward), axis=0) for side in (1, -1)]
        for aside_px in ASIDE_PX
    )
    return min(float(np.linalg.norm(within - beyond)) for within, beyond in within_and_beyond)


def begins_with_print(lab: NDArray[np.float32], corners_px: Points) -> bool:
    """Whether any of the sides between corners (4, 2), clockwise as seen, is the margin of lines of print."""
    return any(_wave_share(_course(lab, corners_px, k)) > ONE_WAVE for k in range(4))


def _course(lab: NDArray[np.float32], corners_px: Points, k: int) -> NDArray[np.float64]:
    """The colour just within the side after corner k, along it (STATIONS,), in the way it varies most."""
    stations, along = stations_along(corners_px, k)
    colours = _colours(lab, stations + INSIDE_PX * np.array([-along[1], along[0]]))
    varying = colours - colours.mean(axis=0)
    return np.asarray(varying @ np.linalg.svd(varying, full_matrices=False)[2][0])


def _colours(lab: NDArray[np.float32], places_px: Points) -> NDArray[np.float64]:
    """Colours (n, 3) at places (n, 2); those outside the picture are as at its margin."""
    column, row = np.clip(np.rint(places_px), 0, np.array(lab.shape[1::-1]) - 1).astype(np.intp).T
    return np.asarray(lab[row, column], dtype=np.float64)


def _wave_share(course: NDArray[np.float64]) -> float:
    """What share of the power in a course (STATIONS,), light and shade left out, lies in one wave."""
    along = np.arange(STATIONS)
    wavy = course - np.polyval(np.polyfit(along, course, 2), along)
    power = np.abs(np.fft.rfft(wavy * np.hanning(STATIONS), SPECTRUM)) ** 2
    lowest = SPECTRUM * FEWEST_LINES // STATIONS
    top = lowest + int(power[lowest:].argmax())
    waves = range(top, min(len(power), OVERTONES * top + 1), top)
    near = sum(float(power[max(at - BREADTH, 0) : at + BREADTH + 1].sum()) for at in waves)
    return near / max(float(power.sum()), 1e-9)
