"""Following the phase of what is heard at a ratio to the wheel: all its turns over all turns of the wheel.

The order spectrum's peak is broad, because slip varies. So the peak only starts the search: the loudest
ratio is followed from window to window and integrated to a phase. Then the lines of all bands and multiples
together say, window for window, by how much that phase is off; a smooth course through these is added,
until it settles.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal.windows import hann

from .joint_fit import SmoothAngles
from .phase import SLIP_VARIES, smooth_slip
from .sound_orders import FAINTEST, MULTIPLES, STEPS_PER_TURN, AngleSound, SoundSpectrum

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Once its fast turning is taken out, a line's course is kept in so many steps a turn.
SLOW_STEPS = 16
#: Windows in turns: long ones for the first course, short ones to place the phase.
RIDGE_TURNS, PHASE_TURNS = 2.5, 1.0
#: Parts of a window from one to the next, and how many of them are independent (Hann: noise width 1.5).
HOPS = 3
INDEPENDENT = 1.5 / HOPS
#: Ratios that the slip may lead to, as a share to either side, and their number.
REACH, RATIOS = 0.025, 101
ROUNDS = 5
#: Where in its turn a thing is loudest shifts a little with speed and load: standard uncertainty at either
#: end of the clip, in its turns. A rattle is heard over a tenth of a turn, so it is a fraction of that.
LOUDEST_STD = 0.02


@dataclass(frozen=True, slots=True)
class SoundCourse:
    """What is heard at a ratio, followed through the clip.

    Attributes
    ----------
    way_turns : (n,) array
        Turns of the wheel.
    turned : (n,) array
        Turns of what is heard.
    turns_std : float
        Standard uncertainty of its turns from the first to the last.
    """

    way_turns: Floats
    turned: Floats
    turns_std: float

    @property
    def ratio(self) -> float:
        """All its turns over all turns of the wheel."""
        return float((self.turned[-1] - self.turned[0]) / (self.way_turns[-1] - self.way_turns[0]))


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines that are heard, each with its turning at the first ratio taken out.

    Attributes
    ----------
    course : (l, n) complex array
        What is left, :data:`SLOW_STEPS` a turn: it stands still where the ratio is the first one.
    multiple, noise, band : (l,) arrays
        Multiple of the ratio, noise as a mean square per order, and band of each.
    """

    course: Complexes
    multiple: Floats
    noise: Floats
    band: NDArray[np.intp]

    def some(self, which: NDArray[np.bool_]) -> "_Lines":
        return _Lines(self.course[which], self.multiple[which], self.noise[which], self.band[which])

    def halves(self) -> list["_Lines"]:
        """Lower and upper bands, which have their noise and their echoes each for itself."""
        middle = np.median(self.band)
        halves = [self.some(self.band <= middle), self.some(self.band > middle)]
        return halves if all(len(half.band) for half in halves) else []


def follow_sound(sound: AngleSound, spectrum: SoundSpectrum, ratio: float) -> SoundCourse:
    """Follow what is heard at about ``ratio`` (within two per cent)."""
    lines = _heard(sound, spectrum, ratio)
    way = (np.arange(lines.course.shape[1]) + 0.5) / SLOW_STEPS
    apart_rad = _along_ridge(lines, way, ratio)
    smooth = smooth_slip(2 * np.pi * (way - way[0]), ratio)
    _, weights = _windows(len(way), PHASE_TURNS)
    std = 0.0
    for _ in range(ROUNDS):
        correction, std = _smoothed(smooth, weights, *_off(lines, weights, apart_rad))
        apart_rad = apart_rad + correction
    halves = [_smoothed(smooth, weights, *_off(half, weights, apart_rad))[0] for half in lines.halves()]
    unlike = float(np.ptp([half[-1] - half[0] for half in halves])) / 2 if halves else 0.0
    turns_std = np.hypot(np.hypot(std, unlike) / (2 * np.pi), np.sqrt(2) * LOUDEST_STD)
    return SoundCourse(way, ratio * way + apart_rad / (2 * np.pi), float(turns_std))


def _heard(sound: AngleSound, spectrum: SoundSpectrum, ratio: float) -> _Lines:
    """Take the lines that are heard, without what comes again with every turn of the wheel."""
    orders: Floats = ratio * np.arange(1.0, MULTIPLES + 1)
    band, place = np.nonzero(spectrum.evidence(orders) > FAINTEST)
    # A line is told from a whole order if over the clip they part by a turn; nearer, it is left alone.
    clear = np.abs(orders - np.round(orders)) * sound.turns > 1
    pure = _without_turns_mean(sound.levels)
    way = (np.arange(sound.levels.shape[1]) + 0.5) / STEPS_PER_TURN
    size = STEPS_PER_TURN // SLOW_STEPS
    count = len(way) // size
    carriers = np.exp(-2j * np.pi * np.outer(orders, way[: count * size]))
    levels = [
        (pure if clear[k] else sound.levels)[b, : count * size] for b, k in zip(band, place, strict=True)
    ]
    slow = [
        (row * carriers[k]).reshape(count, size).mean(axis=1) for row, k in zip(levels, place, strict=True)
    ]
    noise = spectrum.noise[band, spectrum.bins(orders)[place]]
    return _Lines(np.array(slow), (place + 1).astype(np.float64), noise, band)


def _without_turns_mean(levels: Floats) -> Floats:
    """Take out the mean over all turns at each angle of the wheel: creaks and knocks that come every turn."""
    at = np.arange(levels.shape[1]) % STEPS_PER_TURN
    count = np.bincount(at, minlength=STEPS_PER_TURN)
    mean = np.stack([np.bincount(at, row, STEPS_PER_TURN) for row in levels]) / count
    return levels - mean[:, at]


def _windows(count: int, turns: float) -> tuple[NDArray[np.intp], Floats]:
    """Middle step (w,) and weights (w, n) of windows that overlap; those at the ends are cut off."""
    size = round(turns * SLOW_STEPS)
    centres = np.arange(0, count, max(1, size // HOPS))
    away = np.arange(count)[None, :] - centres[:, None] + size // 2
    shape = hann(size + 1)
    weights = np.where((away >= 0) & (away <= size), shape[np.clip(away, 0, size)], 0.0)
    return centres, weights


def _along_ridge(lines: _Lines, way: Floats, ratio: float) -> Floats:
    """First departure (rad): the local ratio, the smoothest loud one, less the first, integrated."""
    centres, weights = _windows(len(way), RIDGE_TURNS)
    apart = ratio * np.linspace(-REACH, REACH, RATIOS)
    gain = np.zeros((len(centres), RATIOS))
    for course, multiple, noise in zip(lines.course, lines.multiple, lines.noise, strict=True):
        turn = np.exp(-2j * np.pi * multiple * np.outer(way, apart))
        expected = noise * SLOW_STEPS * np.sum(weights**2, axis=1)
        gain += np.log1p(np.abs((weights * course) @ turn) ** 2 / expected[:, None])
    moves = np.subtract.outer(apart, apart) / (ratio * SLIP_VARIES / 2)
    best, back = gain[0], []
    for row in gain[1:]:
        offers = best[None, :] - 0.5 * moves**2
        back.append(offers.argmax(axis=1))
        best = offers.max(axis=1) + row
    track = [int(best.argmax())]
    for choice in reversed(back):
        track.append(int(choice[track[-1]]))
    local = np.interp(np.arange(len(way)), centres, apart[track[::-1]])
    return np.asarray(2 * np.pi * np.cumsum(local) / SLOW_STEPS, dtype=np.float64)


def _off(lines: _Lines, weights: Floats, apart_rad: Floats) -> tuple[Floats, Floats]:
    """By how much (rad) the phase is off in each window (w,), and what all lines together know of it (w,)."""
    total = weights.sum(axis=1)
    spread = SLOW_STEPS * np.sum(weights**2, axis=1) / total**2
    pull, grip = np.zeros(len(weights)), np.zeros(len(weights))
    for course, multiple, noise in zip(lines.course, lines.multiple, lines.noise, strict=True):
        seen: Complexes = (weights @ (course * np.exp(-1j * multiple * apart_rad))) / total
        # A window's own amplitude takes no part, lest a loud one pulls the template.
        template = np.sum(seen * total) / np.sum(total)
        across = np.imag(np.conj(template) * seen) / (abs(template) + 1e-12)
        # What creaks beside the line is no even noise: what is seen counts, where it is more.
        variance = spread * max(noise / 2, float(np.mean(across**2 / spread)))
        pull += multiple * abs(template) * across / variance
        grip += (multiple * abs(template)) ** 2 / variance
    return pull / grip, grip * INDEPENDENT


def _smoothed(
    smooth: SmoothAngles, weights: Floats, off: Floats, information: Floats
) -> tuple[Floats, float]:
    """Smooth course (n,) through the windows, and the standard uncertainty between its ends."""
    # What a window tells is the mean over it: at the ends that is not its middle.
    basis = (weights @ smooth.basis) / weights.sum(axis=1, keepdims=True)
    covariance = np.linalg.inv((basis.T * information) @ basis + smooth.stiffness)
    found = covariance @ (basis.T @ (information * off))
    left = off - basis @ found
    # What the noise cannot explain widens the doubt, never narrows it.
    misfit = max(1.0, float(np.mean(information * left**2)))
    ends = smooth.basis[-1] - smooth.basis[0]
    return smooth.basis @ found, float(np.sqrt(misfit * ends @ covariance @ ends))
