"""A turning plane in the picture, sampled in its own angle.

Angles are in rad, 0 towards the right, positive anticlockwise as seen. A plane that stands oblique to the
camera is squeezed along one direction; the perspective within it is left out (it moves the centre a little,
which the fitted centre takes up).
"""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array


@dataclass(frozen=True, slots=True)
class TurningPlane:
    """Where something turns in the (gray) picture.

    Attributes
    ----------
    centre_px : tuple of float
        Axis of turning.
    radius_px : float
        Radius of what turns, along the direction that is not squeezed.
    squeeze : tuple of float
        (e cos 2a, e sin 2a): the circle's image is shorter by the share e along the direction a.
    """

    centre_px: tuple[float, float]
    radius_px: float
    squeeze: tuple[float, float] = (0.0, 0.0)

    @property
    def tilt_rad(self) -> float:
        """Angle between the plane and the picture."""
        return math.acos(max(0.0, 1 - math.hypot(*self.squeeze)))

    def points_px(self, radii: NDArray[np.float64], angles_rad: NDArray[np.float64]) -> NDArray[np.float64]:
        """Picture points (..., 2) for radii (as a share of the plane's radius) and angles, broadcast."""
        right = radii * np.cos(angles_rad) * self.radius_px
        down = -radii * np.sin(angles_rad) * self.radius_px
        share = math.hypot(*self.squeeze)
        along = math.atan2(self.squeeze[1], self.squeeze[0]) / 2
        cos, sin = math.cos(along), -math.sin(along)
        shorter = share * (right * cos + down * sin)
        return np.stack(
            [self.centre_px[0] + right - shorter * cos, self.centre_px[1] + down - shorter * sin], axis=-1
        )

    def outline_px(self, reach: float = 1.0) -> NDArray[np.float64]:
        """Picture points (90, 2) round the circle of ``reach`` radii."""
        return self.points_px(np.array(reach), np.linspace(0, 2 * np.pi, 90, endpoint=False))

    def inside(self, shape: tuple[int, int], reach: float = 1.0) -> NDArray[np.bool_]:
        """Mask of the pixels within ``reach`` radii of the centre."""
        mask = np.zeros(shape, np.uint8)
        cv2.fillPoly(mask, [np.round(self.outline_px(reach)).astype(np.int32)], 1)
        return mask.astype(bool)


@dataclass(frozen=True, slots=True)
class Cutout:
    """The part of all pictures in which something turns, each pixel as its departure from its own mean.

    Attributes
    ----------
    pixels : (height * width, n) array
        One row a pixel, one column a picture, in units of the pixel's own spread, so that a bright patch of
        the room seen between the spokes counts no more than a dark one. Pixels that hardly change stay small.
    shape : (height, width).
    origin_px, step : offset and pixels of the gray picture per pixel of the cutout.
    """

    pixels: NDArray[np.float32]
    shape: tuple[int, int]
    origin_px: tuple[int, int]
    step: float

    def sample(self, points_px: NDArray[np.float64]) -> NDArray[np.float32]:
        """Values (..., n) at points (..., 2) of the gray picture, bilinear; 0 outside."""
        places = points_px.reshape(-1, 2)
        x, y = ((places[:, i] - self.origin_px[i] + 0.5) / self.step - 0.5 for i in (0, 1))
        left, top = np.floor(x).astype(int), np.floor(y).astype(int)
        height, width = self.shape
        rows, columns, shares = [], [], []
        for i, j in ((0, 0), (1, 0), (0, 1), (1, 1)):
            share = (1 - np.abs(x - left - i)) * (1 - np.abs(y - top - j))
            inside = (left + i >= 0) & (left + i < width) & (top + j >= 0) & (top + j < height)
            rows.append(np.flatnonzero(inside))
            columns.append(((top + j) * width + left + i)[inside])
            shares.append(share[inside])
        # All pictures are sampled at the same points: one sparse product serves them all.
        weights = csr_array(
            (np.concatenate(shares).astype(np.float32), (np.concatenate(rows), np.concatenate(columns))),
            shape=(len(places), height * width),
        )
        return np.asarray(weights @ self.pixels, np.float32).reshape(*points_px.shape[:-1], -1)


#: A cutout is made smaller until the radius has about this many pixels: many pixels make up for coarse ones.
CUTOUT_RADIUS_PX = 90


def cut_out(gray: NDArray[np.uint8], plane: TurningPlane, reach: float = 1.2) -> Cutout:
    """Cut the square within ``reach`` radii out of all pictures."""
    (x, y), (height, width) = plane.centre_px, gray.shape[1:]
    span = reach * plane.radius_px
    left, top = max(0, int(x - span)), max(0, int(y - span))
    right, bottom = min(width, int(x + span) + 2), min(height, int(y + span) + 2)
    step = max(1.0, plane.radius_px / CUTOUT_RADIUS_PX)
    part = gray[:, top:bottom, left:right]
    size = (round((right - left) / step), round((bottom - top) / step))
    pixels = np.stack([cv2.resize(p, size, interpolation=cv2.INTER_AREA) for p in part]).astype(np.float32)
    pixels -= pixels.mean(axis=0)
    spread = pixels.std(axis=0)
    pixels /= np.maximum(spread, np.median(spread) / 2 + 1.0)
    return Cutout(
        np.ascontiguousarray(pixels.reshape(len(gray), -1).T), (size[1], size[0]), (left, top), step
    )


def without_orders(cutout: Cutout, angles_rad: NDArray[np.float64], orders: int) -> Cutout:
    """Take out what repeats with every turn of the wheel, up to so many times a turn.

    Treadle, footman, shadows and the band's wobble go with the wheel's own orders. They are taken out of each
    pixel picture by picture, so their aliases go too.
    """
    waves = [f(n * angles_rad) for n in range(1, orders + 1) for f in (np.cos, np.sin)]
    base, _ = np.linalg.qr(np.stack([np.ones_like(angles_rad), *waves], axis=1))
    own = base.astype(np.float32)
    return replace(cutout, pixels=np.asarray(cutout.pixels - (cutout.pixels @ own) @ own.T, np.float32))


#: Points round a ring for each angular harmonic: two are the least, three keep higher ones from folding in.
ANGLES_PER_HARMONIC = 3


def angular_harmonics(
    cutout: Cutout, plane: TurningPlane, radii: NDArray[np.float64], harmonics: int
) -> NDArray[np.complex64]:
    """Fourier coefficients in angle of every picture's rings.

    Parameters
    ----------
    radii : (r,) array
        Rings, as shares of the plane's radius.
    harmonics : int
        Highest angular harmonic k.

    Returns
    -------
    (n, r, harmonics) array
        For k = 1 ... harmonics. Turning by ``a`` anticlockwise multiplies it by exp(-i k a).
    """
    turn = np.linspace(0, 2 * np.pi, ANGLES_PER_HARMONIC * harmonics, endpoint=False)
    rings = cutout.sample(plane.points_px(radii[:, None], turn[None, :]))
    waves = np.exp(-1j * np.outer(np.arange(1, harmonics + 1), turn)).astype(np.complex64) / len(turn)
    spectrum = waves.real @ rings + 1j * (waves.imag @ rings)
    return np.ascontiguousarray(np.moveaxis(spectrum, 2, 0))


def levelled(rings: NDArray[np.complex64]) -> NDArray[np.complex64]:
    """Bring every angular harmonic (last axis) to the same mean power."""
    level = np.sqrt(np.mean(np.abs(rings) ** 2, axis=(0, 1)))
    return np.asarray(rings / (level + np.float32(1e-9)), dtype=np.complex64)
