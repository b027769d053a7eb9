"""A turning plane in the picture, sampled in its own angle.

Angles are in rad, 0 towards the right, positive anticlockwise as seen. A plane that stands oblique to the
camera is squeezed along one direction, and what lies nearer to the camera is larger. A camera that reads out
row by row shows every row a little later; what turns is bent by that.
"""

import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace

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
    perspective : tuple of float
        What lies one radius to the right (upwards) is smaller by about this share, because farther away.
    readout_s : tuple of float
        What lies one radius to the right (upwards) is exposed so many seconds later.
    """

    centre_px: tuple[float, float]
    radius_px: float
    squeeze: tuple[float, float] = (0.0, 0.0)
    perspective: tuple[float, float] = (0.0, 0.0)
    readout_s: tuple[float, float] = (0.0, 0.0)

    @property
    def tilt_rad(self) -> float:
        """Angle between the plane and the picture."""
        return math.acos(max(0.0, 1 - math.hypot(*self.squeeze)))

    def points_px(
        self, radii: NDArray[np.float64], angles_rad: NDArray[np.float64], speed_rad_s: float = 0.0
    ) -> NDArray[np.float64]:
        """Picture points (..., 2) for radii (as a share of the plane's radius) and angles, broadcast.

        With a speed: where those points of a thing that turns so fast are seen in a picture that is read out
        row by row.
        """
        if speed_rad_s:
            along_right, along_up = (v * speed_rad_s for v in self.readout_s)
            angles_rad = angles_rad + radii * (
                along_right * np.cos(angles_rad) + along_up * np.sin(angles_rad)
            )
        right, up = radii * np.cos(angles_rad), radii * np.sin(angles_rad)
        nearer = self.radius_px / (1 + self.perspective[0] * right + self.perspective[1] * up)
        right, down = right * nearer, -up * nearer
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


#: A cutout remembers so many samplings: enough for one look round, little beside the pixels.
MOST_KNOWN = 12


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
    taken_out : (n, m) array, optional
        Orthonormal courses over the pictures that are taken out of whatever is sampled, which costs less than
        taking them out of every pixel. Whoever must reckon with what they take along finds them here.
    known : dict
        What was sampled last, for whoever comes back to the same place (:meth:`remembered`).
    """

    pixels: NDArray[np.float32]
    shape: tuple[int, int]
    origin_px: tuple[int, int]
    step: float
    taken_out: NDArray[np.float64] | None = None
    known: dict[Hashable, NDArray[np.complex64]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def remembered(
        self, what: Hashable, sampled: Callable[[], NDArray[np.complex64]]
    ) -> NDArray[np.complex64]:
        """What was sampled under this name; sampled now where it is not known."""
        if what not in self.known:
            if len(self.known) >= MOST_KNOWN:
                self.known.pop(next(iter(self.known)))
            self.known[what] = sampled()
        return self.known[what]

    def sample(self, points_px: NDArray[np.float64]) -> NDArray[np.float32]:
        """Values (..., n) at points (..., 2) of the gray picture, bilinear; 0 outside."""
        places = points_px.reshape(-1, 2)
        x, y = ((places[:, i] - self.origin_px[i] + 0.5) / self.step - 0.5 for i in (0, 1))
        left, top = np.floor(x).astype(np.int32), np.floor(y).astype(np.int32)
        height, width = self.shape
        columns = np.empty((len(places), 4), np.int32)
        shares = np.empty((len(places), 4), np.float32)
        for corner, (i, j) in enumerate(((0, 0), (1, 0), (0, 1), (1, 1))):
            inside = (left + i >= 0) & (left + i < width) & (top + j >= 0) & (top + j < height)
            shares[:, corner] = (1 - np.abs(x - left - i)) * (1 - np.abs(y - top - j)) * inside
            columns[:, corner] = np.where(inside, (top + j) * width + left + i, 0)
        # All pictures are sampled at the same points: one sparse product serves them all.
        starts = np.arange(0, 4 * len(places) + 1, 4, dtype=np.int32)
        weights = csr_array((shares.ravel(), columns.ravel(), starts), shape=(len(places), height * width))
        values = np.asarray(weights @ self.pixels, np.float32)
        if self.taken_out is not None:
            own = self.taken_out.astype(np.float32)
            values -= (values @ own) @ own.T
        return values.reshape(*points_px.shape[:-1], -1)


#: A cutout is made smaller by a whole number (which is quickly done) until the radius has no more pixels than
#: this: many pixels make up for coarse ones.
CUTOUT_RADIUS_PX = 100
#: Pixels times pictures of a cutout stay below this, four bytes each.
CUTOUT_VALUES = 3e7


def cut_out(gray: NDArray[np.uint8], plane: TurningPlane, reach: float = 1.2) -> Cutout:
    """Cut the square within ``reach`` radii out of all pictures."""
    (x, y), (height, width) = plane.centre_px, gray.shape[1:]
    span = reach * plane.radius_px
    left, top = max(0, int(x - span)), max(0, int(y - span))
    right, bottom = min(width, int(x + span) + 2), min(height, int(y + span) + 2)
    # A long clip is cut out more coarsely: its many pictures make up for that too.
    values = (right - left) * (bottom - top) * len(gray)
    step = math.ceil(max(plane.radius_px / CUTOUT_RADIUS_PX, math.sqrt(values / CUTOUT_VALUES)))
    size = (max(1, (right - left) // step), max(1, (bottom - top) // step))
    part = gray[:, top : top + size[1] * step, left : left + size[0] * step]
    small = np.empty((len(part), size[1], size[0]), np.uint8)
    for picture, kept in zip(part, small, strict=True):
        cv2.resize(picture, size, dst=kept, interpolation=cv2.INTER_AREA)
    pixels = np.ascontiguousarray(small.reshape(len(part), -1).T).astype(np.float32)
    pixels -= pixels.mean(axis=1, keepdims=True)
    spread = np.sqrt(np.einsum("pn,pn->p", pixels, pixels) / len(part))
    pixels *= (1 / np.maximum(spread, np.median(spread) / 2 + 1.0))[:, None]
    return Cutout(pixels, (size[1], size[0]), (left, top), step)


#: A wave of which less than this is left beside those taken out before it is none of its own.
NEW_SHARE = 1e-6


def without_orders(cutout: Cutout, angles_rad: NDArray[np.float64], orders: int) -> Cutout:
    """Take out what repeats with every turn of the wheel, up to so many times a turn.

    Treadle, footman, shadows and the band's wobble go with the wheel's own orders. They are taken out of each
    pixel picture by picture, so their aliases go too.
    """
    return without_waves(cutout, np.outer(np.arange(1, orders + 1), angles_rad))


def without_waves(cutout: Cutout, phases_rad: NDArray[np.float64]) -> Cutout:
    """Take out of every pixel's course its mean and all waves of the phases (m, n)."""
    waves = [f(phase) for phase in phases_rad for f in (np.cos, np.sin)]
    pictures = cutout.pixels.shape[1]
    already = [np.ones(pictures)] if cutout.taken_out is None else list(cutout.taken_out.T)
    base, kept = np.linalg.qr(np.stack([*already, *waves], axis=1))
    return replace(cutout, taken_out=base[:, np.abs(np.diag(kept)) > NEW_SHARE])


#: Points round a ring for each angular harmonic: two are the least, three keep higher ones from folding in.
ANGLES_PER_HARMONIC = 3
#: Bends by the read-out that differ by less (rad) are taken for one.
SAME_BEND_RAD = 0.004


def angular_harmonics(
    cutout: Cutout,
    plane: TurningPlane,
    radii: NDArray[np.float64],
    harmonics: int,
    speeds_rad_s: NDArray[np.float64] | None = None,
) -> NDArray[np.complex64]:
    """(n, r, k) Fourier coefficients in angle of every picture's rings: :func:`ring_spectra` by pictures."""
    spectra = ring_spectra(cutout, plane, radii, harmonics, speeds_rad_s)
    return np.ascontiguousarray(np.moveaxis(spectra, -1, 0))


def ring_spectra(
    cutout: Cutout,
    plane: TurningPlane,
    radii: NDArray[np.float64],
    harmonics: int,
    speeds_rad_s: NDArray[np.float64] | None = None,
) -> NDArray[np.complex64]:
    """Fourier coefficients in angle of every picture's rings.

    Parameters
    ----------
    radii : (r,) array
        Rings, as shares of the plane's radius.
    harmonics : int
        Highest angular harmonic k.
    speeds_rad_s : (n,) array, optional
        Speed in every picture: with it, what the read-out bends is set right.

    Returns
    -------
    (r, harmonics, n) array
        For k = 1 ... harmonics. Turning by ``a`` anticlockwise multiplies it by exp(-i k a).
    """
    turn, both = _waves(harmonics)
    spectrum: NDArray[np.float32] | None = None
    for speed, pictures in _by_speed(plane, speeds_rad_s):
        rings = cutout.sample(plane.points_px(radii[:, None], turn[None, :], speed))
        part = both @ rings
        if spectrum is None or pictures is None:
            spectrum = part
        else:
            spectrum[:, :, pictures] = part[:, :, pictures]
    assert spectrum is not None
    return _as_complex(spectrum)


def harmonics_about_each(
    cutout: Cutout, planes: list[TurningPlane], radii: NDArray[np.float64], harmonics: int
) -> NDArray[np.complex64]:
    """(p, n, r, harmonics): :func:`angular_harmonics` about many planes, sampled in one go."""
    turn, both = _waves(harmonics)
    points = np.stack([plane.points_px(radii[:, None], turn[None, :]) for plane in planes])
    return np.ascontiguousarray(np.moveaxis(_as_complex(both @ cutout.sample(points)), -1, 1))


def _waves(harmonics: int) -> tuple[NDArray[np.float64], NDArray[np.float32]]:
    """Angles (a,) round a ring; real parts and below them imaginary ones (2 harmonics, a) of their waves."""
    turn = np.linspace(0, 2 * np.pi, ANGLES_PER_HARMONIC * harmonics, endpoint=False)
    waves = np.exp(-1j * np.outer(np.arange(1, harmonics + 1), turn)) / len(turn)
    return turn, np.concatenate([waves.real, waves.imag]).astype(np.float32)


def _as_complex(spectrum: NDArray[np.float32]) -> NDArray[np.complex64]:
    """(..., 2 harmonics, n) real parts and below them imaginary ones -> (..., harmonics, n)."""
    half = spectrum.shape[-2] // 2
    whole = np.empty((*spectrum.shape[:-2], half, spectrum.shape[-1]), np.complex64)
    whole.real, whole.imag = spectrum[..., :half, :], spectrum[..., half:, :]
    return whole


def _by_speed(
    plane: TurningPlane, speeds_rad_s: NDArray[np.float64] | None
) -> list[tuple[float, NDArray[np.bool_] | None]]:
    """Groups of pictures in which the wheel turns about equally fast; None stands for all pictures."""
    lag_s = math.hypot(*plane.readout_s)
    if speeds_rad_s is None or lag_s == 0:
        return [(0.0, None)]
    low, high = float(speeds_rad_s.min()), float(speeds_rad_s.max())
    groups = 1 + min(11, int((high - low) * lag_s / (2 * SAME_BEND_RAD)))
    number = np.minimum((groups * (speeds_rad_s - low) / (high - low + 1e-12)).astype(int), groups - 1)
    found: list[tuple[float, NDArray[np.bool_] | None]] = []
    for group in np.unique(number):
        pictures = number == group
        found.append((float(speeds_rad_s[pictures].mean()), pictures if found else None))
    return found


def levelled(rings: NDArray[np.complex64]) -> NDArray[np.complex64]:
    """Bring every angular harmonic (last axis) to the same mean power."""
    parts = np.ascontiguousarray(rings).view(np.float32).reshape(-1, rings.shape[-1], 2)
    level = np.sqrt(np.einsum("akp,akp->k", parts, parts) / np.float32(len(parts)))
    return np.asarray(rings * (1 / (level + np.float32(1e-9))), dtype=np.complex64)
