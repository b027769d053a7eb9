"""Where the spindle's axis runs in the picture: about this line its neighbourhood is its own mirror image.

Whirl, flanges, shaft and bobbin are turned, so every edge of theirs that is seen on one side of the axis is
seen on the other side as well, wherever on the spindle it is and however it is moulded. All of them together
tell about which line they are mirrored; no edge need be told from its neighbours for that.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from ..geometry.side_view import SideView
from ..open.picture import Picture
from .mirror import double_angles

Numbers = NDArray[np.float64]

#: So far along the axis and to either side of it its surroundings are looked at.
LENGTH_MM, WIDTH_MM = 40.0, 45.0
#: Slopes tried, against the axis that is expected, and how far apart places along it are taken, in pixels.
SLOPES, STEP_PX = np.linspace(-0.06, 0.06, 13), 3.0
#: Edges beside the axis itself are mirrored onto themselves wherever it is.
LEAST_AWAY_PX = 2.0
#: A clear edge counts little more than a faint one: the power to which its clearness is raised.
CLEARNESS = 0.5
#: Edges are smeared by so much, for mirror images meet to within a pixel or so only.
BLUR_PX = 1.0
#: Lines that pass so far from the best one tell how edges agree by chance; at least so far off are tried.
ANOTHER_PX, LEAST_TRIED_PX = 3.0, 12.0
#: A line is clear if edges agree about it by so many deviations of that, and by so many more than about any
#: other. Two of three such lines pass the spindle within 0.3 px in pictures with known truth, and within
#: 0.5 px in rooms drawn with known truth; of others many are off by 1 px and more.
LEAST_CLEAR, CLEARER = 3.2, 0.4
#: In a blank picture there is no spread to reckon in.
LEAST_SPREAD = 1e-9
#: How far from the spindle's place the two points of a line are told, in pixels.
APART_PX = 40.0


@dataclass(frozen=True, slots=True)
class SpindleLine:
    """The line about which the picture is mirrored.

    Attributes
    ----------
    points_px : (2, 2) array
        Two places on it, to either side of the spindle's.
    clearness : float
        By how many standard deviations edges agree better about it than about lines beside it.
    rival : float
        The same of the best line beside it.
    """

    points_px: Points
    clearness: float
    rival: float

    @property
    def clear(self) -> bool:
        """Whether it is hardly a chance one."""
        return self.clearness > max(LEAST_CLEAR, self.rival + CLEARER)


def spindle_line(picture: Picture, view: SideView, px_per_mm: float, reach_px: float) -> SpindleLine | None:
    """The likeliest line near the middle line of a side view; None if it is at the end of what was tried.

    Nor is there one where the whirl lies outside the picture.

    Parameters
    ----------
    picture : Picture
    view : SideView
        Along the axis as it is expected, in the middle of it the whirl.
    px_per_mm : float
        In the picture, at the whirl.
    reach_px : float
        How far off, across it, the axis may be.
    """
    most = int(np.ceil(max(reach_px, LEAST_TRIED_PX))) + 1
    wide, long = int(WIDTH_MM * px_per_mm), LENGTH_MM * px_per_mm
    field, corner_px = _field_about(picture, view.pixels_from_view(np.zeros((1, 2)))[0], wide + most + long)
    if field is None:
        return None
    across, along = np.arange(-wide - most, wide + most + 1.0), np.arange(-long, long + 1.0, STEP_PX)
    mirrored = _Mirrored.between(len(across), most)
    agreement = np.array(
        [mirrored.agreement(_unrolled(field, corner_px, view.shifted(0.0, s), along, across)) for s in SLOPES]
    )
    return _likeliest(view, agreement, np.arange(-most, most + 0.5, 0.5), reach_px)


def _likeliest(
    view: SideView, agreement: Numbers, offsets_px: Numbers, reach_px: float
) -> SpindleLine | None:
    """The line for which ``agreement`` (slopes, offsets) is greatest within reach."""
    near = np.abs(offsets_px) <= reach_px
    turn, place = np.unravel_index(int(np.where(near, agreement, -np.inf).argmax()), agreement.shape)
    if not (near[place - 1] and near[place + 1]) or turn in (0, len(SLOPES) - 1):
        return None
    offset_px = offsets_px[place] + 0.5 * _top(agreement[turn, place - 1 : place + 2])
    slope = SLOPES[turn] + (SLOPES[1] - SLOPES[0]) * _top(agreement[turn - 1 : turn + 2, place])
    ends = np.array([[u, offset_px + slope * u] for u in (-APART_PX, APART_PX)])
    beside = agreement[:, np.abs(offsets_px - offset_px) > ANOTHER_PX]
    usual, spread = float(beside.mean()), max(float(beside.std()), LEAST_SPREAD)
    clearness, rival = (float(best - usual) / spread for best in (agreement[turn, place], beside.max()))
    return SpindleLine(view.pixels_from_view(ends), clearness, rival)


def _field_about(
    picture: Picture, middle_px: Points, half_px: float
) -> tuple[NDArray[np.float32] | None, tuple[int, int]]:
    """Edge directions of a part of the picture, and the pixel of its corner; None if too little is left."""
    left, top = (max(int(c - half_px), 0) for c in middle_px)
    right, bottom = (int(c + half_px) + 1 for c in middle_px)
    part = picture.lab[top : max(bottom, 0), left : max(right, 0)]
    if min(part.shape[:2]) < 2 * LEAST_AWAY_PX + 1:
        return None, (left, top)
    field = cv2.GaussianBlur(double_angles(part), (0, 0), BLUR_PX)
    size = np.linalg.norm(field, axis=2, keepdims=True)
    return np.asarray(field * np.maximum(size, 1e-6) ** (CLEARNESS - 1), np.float32), (left, top)


def _unrolled(
    field: NDArray[np.float32], corner_px: tuple[int, int], view: SideView, along: Numbers, across: Numbers
) -> NDArray[np.complex64]:
    """Edges (m, n) of a side view as complex numbers whose angle is twice that against the axis."""
    grid = np.stack(np.meshgrid(along, across), axis=-1).reshape(-1, 2)
    where = (view.pixels_from_view(grid) - np.array(corner_px)).astype(np.float32)
    x, y = np.moveaxis(where.reshape(len(across), len(along), 2), 2, 0)
    seen = cv2.remap(field, x, y, cv2.INTER_LINEAR)
    edges = (seen[..., 0] + 1j * seen[..., 1]) * np.exp(-2j * view.angle_rad)
    return np.asarray(edges, np.complex64)


@dataclass(frozen=True, slots=True)
class _Mirrored:
    """Pairs (n,) of rows that are each other's mirror image, and about which of (4 most + 1) lines."""

    there: NDArray[np.intp]
    here: NDArray[np.intp]
    line: NDArray[np.intp]
    lines: int

    @classmethod
    def between(cls, rows: int, most: int) -> "_Mirrored":
        """About each of the ``most`` rows to either side of the middle one, and between rows.

        Only rows as far from a line as the middle is from the first and last of them count.
        """
        wide, first = (rows - 1) // 2 - most, 2 * ((rows - 1) // 2 - most)
        there, here = np.tril_indices(rows, -int(2 * LEAST_AWAY_PX))
        line = there + here - first
        counts = (there - here <= 2 * wide) & (line >= 0) & (line <= 4 * most)
        return cls(there[counts], here[counts], line[counts], 4 * most + 1)

    def agreement(self, edges: NDArray[np.complex64]) -> Numbers:
        """How well the rows of edges (m, n) agree with their mirror images about each line."""
        # Each row with each other one at once, for there are few columns and many lines.
        agrees = np.hstack([edges.real, edges.imag]) @ np.hstack([edges.real, -edges.imag]).T
        square = np.abs(edges) ** 2
        # The angle between two chance edges is any; half the square of their product is what that makes.
        by_chance = 0.5 * self._summed(square @ square.T)
        return np.asarray(self._summed(agrees) / np.sqrt(by_chance + 1e-9))

    def _summed(self, products: NDArray[np.float32]) -> Numbers:
        summed = np.bincount(self.line, products[self.there, self.here], minlength=self.lines)
        return np.asarray(summed, dtype=float)


def _top(values: Numbers) -> float:
    """Where the parabola through three values (3,) at -1, 0 and 1 has its top, 0 the middle one."""
    bend = float(values[0] - 2 * values[1] + values[2])
    return 0.5 * float(values[0] - values[2]) / bend if bend < 0 else 0.0
