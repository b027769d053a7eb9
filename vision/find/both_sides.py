"""An outline to a fraction of a pixel, from both sides of the axis at once."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, median_filter

from ..geometry.camera import Points
from ..geometry.side_view import SideView
from .edges import edges_across

Numbers = NDArray[np.float64]

#: So many pixels round the outline are looked at.
MARGIN_PX = 16
#: An edge counts less the farther it lies from the guess: to a half at this share of the reach.
HALF_SHARE = 0.6
#: An edge is a stray that lies so far from the median of its neighbours along the outline.
STRAY_PX = 1.5
#: Colours beside the outline are read after a blur of so many pixels, against grain.
SMOOTH_PX = 1.0
#: The guess is bettered in passes: how far to look, and over how many neighbours strays are told.
PASSES = ((7.0, 21), (5.0, 15), (4.0, 9), (4.0, 7))


@dataclass(frozen=True, slots=True)
class BothSides:
    """The outline as seen on each side.

    Attributes
    ----------
    points : (n, 2) array
        Places (u, v), v > 0: the mean of both sides; where one side shows nothing, the other alone.
    normals : (n, 2) array
        Away from the axis.
    one_px, other_px : (n,) array
        How far each side's edge lies outside ``points``' guess, NaN where it shows none.
    guess : (n, 2) array
    """

    points: Points
    normals: Points
    one_px: Numbers
    other_px: Numbers
    guess: Points

    @property
    def seen(self) -> NDArray[np.bool_]:
        """Where at least one side shows an edge, (n,)."""
        return np.asarray(np.isfinite(self.one_px) | np.isfinite(self.other_px))

    def axis_misfit(self) -> tuple[float, float]:
        """Offset and slope of the line v = offset + slope u about which both sides are mirrored best."""
        half = 0.5 * (self.one_px - self.other_px)
        keep = np.isfinite(half)
        design = np.column_stack(
            [
                self.normals[:, 1],
                self.normals[:, 1] * self.guess[:, 0] - self.normals[:, 0] * self.guess[:, 1],
            ]
        )
        found: Numbers = np.zeros(2)
        for _ in range(6):
            if keep.sum() < 10:
                return 0.0, 0.0
            found = np.asarray(np.linalg.lstsq(design[keep], half[keep], rcond=None)[0])
            off = np.abs(half - design @ found)
            spread = float(1.4826 * np.median(off[keep]))
            keep = np.isfinite(half) & (off < max(3 * spread, 0.2))
        return float(found[0]), float(found[1])


def settled(lab: NDArray[np.float32], view: SideView, guess: Points) -> tuple[SideView, BothSides]:
    """The view along the line about which a rough outline is mirrored, and the outline in it."""
    for reach_px, neighbours in PASSES:
        both = refined(lab, view, guess, reach_px, neighbours)
        view, guess = view.shifted(*both.axis_misfit()), both.points
    return view, both


def refined(
    lab: NDArray[np.float32], view: SideView, guess: Points, reach_px: float, neighbours: int = 9
) -> BothSides:
    """Find the edges across a guessed outline on both sides of a side view's axis.

    Parameters
    ----------
    lab : (h, w, 3) array
        The whole picture.
    view : SideView
        With the lens of that picture.
    guess : (n, 2) array
        Places (u, v), v > 0, about one pixel apart.
    reach_px : float
        How far off the guess may be.
    neighbours : int
        An odd number: the wider, the more strays are told, and the more corners are rounded.
    """
    low = np.floor(guess.min(axis=0)) - MARGIN_PX
    high = np.ceil(guess.max(axis=0)) + MARGIN_PX
    u, v = np.arange(low[0], high[0] + 1), np.arange(max(low[1], 0.0), high[1] + 1)
    normals = _normals(guess)
    local = guess - [u[0], v[0]]
    sides = [
        _displacement(view.seen(lab, u, sign * v), local, normals, reach_px, neighbours)
        for sign in (1.0, -1.0)
    ]
    both = np.array(sides)
    count = np.isfinite(both).sum(axis=0)
    mean = _filled(np.where(count > 0, np.nansum(both, axis=0) / np.maximum(count, 1), np.nan))
    return BothSides(guess + normals * mean[:, None], normals, sides[0], sides[1], guess)


def edge_shown(lab: NDArray[np.float32], view: SideView, line: Points) -> Numbers:
    """How clearly the picture changes across each place of an outline, on the side that shows less of it.

    Parameters
    ----------
    lab : (h, w, 3) array
        The whole picture.
    view : SideView
    line : (n, 2) array
        Places (u, v), v > 0, about one pixel apart.

    Returns
    -------
    (n,) array
        As a share of the usual change along that side: about 1 where the outline is seen as usual, 0 where
        colours are alike on both sides of it.
    """
    normals = _normals(line)
    shares = []
    for sign in (1.0, -1.0):
        inner, outer = (_colours(lab, view, (line + reach * normals) * [1.0, sign]) for reach in (-3.0, 3.0))
        change = outer - inner
        usual = np.median(change, axis=0)
        shares.append(change @ usual / max(float(usual @ usual), 1.0))
    return np.minimum(*shares)


def _colours(lab: NDArray[np.float32], view: SideView, points: Points) -> NDArray[np.float64]:
    """Colours (n, 3) about places (u, v) of a view."""
    low, high = np.floor(points.min(axis=0)) - MARGIN_PX, np.ceil(points.max(axis=0)) + MARGIN_PX
    seen = view.seen(lab, np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
    smooth = cv2.GaussianBlur(seen, (0, 0), SMOOTH_PX)
    x, y = (points - low).astype(np.float32).T
    found = cv2.remap(smooth, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(found, dtype=np.float64).reshape(-1, 3)


def _normals(line: Points) -> Points:
    along = np.gradient(gaussian_filter1d(line, 2.0, axis=0, mode="nearest"), axis=0)
    size = np.maximum(np.linalg.norm(along, axis=1), 1e-9)
    return np.asarray(np.column_stack([-along[:, 1], along[:, 0]]) / size[:, None])


def _displacement(
    side: NDArray[np.float32], line: Points, normals: Points, reach_px: float, neighbours: int
) -> Numbers:
    """How far (n,) the likeliest edge lies outside the line; NaN where there is none or a stray."""
    edges = edges_across(side, line, normals, reach_px)
    away = np.sum((edges.points_px - line[edges.line]) * normals[edges.line], axis=1)
    worth = edges.strength / (1 + (away / (HALF_SHARE * reach_px)) ** 2)
    found = np.full(len(line), np.nan)
    order = np.argsort(worth)
    found[edges.line[order]] = away[order]
    usual = median_filter(_filled(found), neighbours, mode="nearest")
    found[np.abs(found - usual) > STRAY_PX] = np.nan
    return found


def _filled(values: Numbers) -> Numbers:
    """The values with straight lines across what is not known; zero where nothing is."""
    known = np.isfinite(values)
    if not known.any():
        return np.zeros(len(values))
    return np.interp(np.arange(len(values)), np.flatnonzero(known), values[known])
