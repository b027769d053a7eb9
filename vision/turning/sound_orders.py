"""The order spectrum of a sound: what comes at which multiple of the wheel's turns.

The loudness of each band is taken over the wheel's angle instead of time, so that whatever is geared to the
wheel stands still in the spectrum however uneven the treadling, and neither a frame rate nor a clock
enters. What turns with the flyer makes lines at its ratio and at whole multiples of it, in several bands.
The wheel makes lines too, at 1, 2, 3 ... (a creak, a joint in the band), and so does anything that comes
round at another low order (a knot in the band, once for each length of it): such a line counts only as far
as it stands above its neighbours in the same row.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter
from scipy.stats import gamma

Floats = NDArray[np.float64]

#: Even steps in a turn of the wheel: orders up to half of it show.
STEPS_PER_TURN = 512
#: Length of a window in turns: slip is steady within it; and the fewest that are taken.
WINDOW_TURNS = 4.0
LEAST_TURNS = 3.0
#: Finer than the window's own resolution, so that no line falls between.
PADDING = 4
#: Orders are blurred by this share, because slip varies.
SLIP_BLUR = 0.003
#: The floor under the lines is the median over so many orders.
FLOOR_ORDERS = 7.0
#: Lines within so many resolutions (turns of a window) of a whole order belong to the wheel.
ROW_REACH = 1.0
#: Half width of a line, in resolutions: a Hann window's is 2 to its foot, 1 to a quarter of its power.
LINE_WIDTH = 1.6
#: Multiples of the ratio that are listened to.
MULTIPLES = 6
#: Ratios that are looked for.
LOWEST, HIGHEST = 2.5, 36.0
#: Slowest thing beside the wheel that makes a row of lines: a knot in a band of twice the rim's length.
ROW_LOWEST = 0.55
#: Lines of one row differ in power by up to about this factor.
ROW_UNEVEN = 4.0
#: Lines that are no multiples of others say at least this share of all.
LEAST_LONE = 0.2
#: A line is missing if it says less than this, unless something else is so loud there.
FAINTEST, HIDDEN = 3.0, 3.0
#: One line in one band says at most so much (natural logarithm of a likelihood ratio): no single one decides.
MOST_PER_LINE = 12.0


@dataclass(frozen=True, slots=True)
class AngleSound:
    """Loudness over the wheel's way.

    Attributes
    ----------
    levels : (bands, n) array
        Natural logarithm of the power, its mean taken out; :data:`STEPS_PER_TURN` a turn.
    highest_order : float
        Orders above it are smeared by the steps in which loudness was kept.
    """

    levels: Floats
    highest_order: float

    @property
    def turns(self) -> float:
        """Turns of the wheel."""
        return float(self.levels.shape[1] / STEPS_PER_TURN)


@dataclass(frozen=True, slots=True)
class SoundSpectrum:
    """Order spectrum of every band.

    Attributes
    ----------
    step : float
        Orders are 0, step, 2 step ...
    power : (bands, q) array
        Mean over the windows, as a multiple of what the noise gives.
    own : (bands, q) array
        What of it is no line by itself: the noise (1), skirts of other lines, the wheel's own.
    noise : (bands, q) array
        The noise, as the mean square of a step of the course at that order per order.
    windows : float
        How many independent windows were averaged.
    highest_order : float
    """

    step: float
    power: Floats
    own: Floats
    noise: Floats
    windows: float
    highest_order: float

    def bins(self, orders: Floats) -> NDArray[np.intp]:
        """Nearest bins to orders."""
        return np.clip(np.round(orders / self.step).astype(np.intp), 0, self.power.shape[1] - 1)

    def evidence(self, orders: Floats, against: Floats | float = 1.0) -> Floats:
        """(bands, ...) how much a line is likelier than noise (natural logarithm, at its best).

        ``against`` (bands, ...) is what else it must stand above.
        """
        bins = self.bins(orders)
        power = np.maximum(self.power[:, bins] / np.maximum(np.maximum(self.own[:, bins], against), 1.0), 1.0)
        likelier = self.windows * (power - 1 - np.log(power))
        return np.where(orders <= self.highest_order, np.minimum(likelier, MOST_PER_LINE), 0.0)

    def comb(self, ratios: Floats) -> Floats:
        """(q,) evidence for something that turns at each ratio: its lines added over bands and multiples."""
        orders = np.outer(ratios, np.arange(1, MULTIPLES + 1))
        return np.asarray(self.evidence(orders).sum(axis=(0, 2)), dtype=np.float64)

    def standing_out(self, ratio: float) -> float:
        """Evidence for a ratio that is left if its lines belong to the row of a lower order.

        Every part of the ratio (half, third ...) down to :data:`ROW_LOWEST` may be that order. If its row is
        heard on both sides of a line of the ratio, the line counts only as far as it stands above that.
        """
        multiples = np.arange(1, MULTIPLES + 1)
        lines: Floats = ratio * multiples.astype(np.float64)
        each = [self.evidence(lines).sum(axis=0)]
        for part in ratio / np.arange(2, max(2, int(ratio / ROW_LOWEST)) + 1):
            # The wheel's own row is counted already; and its turns make side lines of a loud flyer.
            if abs(part - 1) > self.step:
                beside = np.minimum(self._about(lines - part), self._about(lines + part))
                each.append(self.evidence(lines, ROW_UNEVEN * (beside - 1)).sum(axis=0))
        left = min(each, key=lambda lines: float(lines.sum()))
        # What is heard at every second or third multiple only has another ratio.
        lone = min(float(left[multiples % n > 0].sum()) for n in (2, 3))
        if lone < LEAST_LONE * left.sum():
            return 0.0
        return float(left[: self._unbroken(lines, left)].sum())

    def _unbroken(self, lines: Floats, heard: Floats) -> int:
        """How many lines are heard in a row from the first on; hidden ones do not break it."""
        hidden = self.own[:, self.bins(lines)].max(axis=0) > HIDDEN
        silent = np.flatnonzero((heard < FAINTEST) & ~hidden & (lines < self.highest_order))
        return int(silent[0]) if len(silent) else len(lines)

    def _about(self, orders: Floats) -> Floats:
        """(bands, ...) highest power within a bin of orders."""
        near = self.bins(orders)[..., None] + np.arange(-1, 2)
        return np.asarray(self.power[:, np.clip(near, 0, self.power.shape[1] - 1)].max(axis=-1))


def by_wheel_angle(
    level_times_s: Floats, levels: Floats, times_s: Floats, path_rad: Floats, steps_per_s: float
) -> AngleSound:
    """Take loudness over the wheel's way instead of time.

    Each step of the way gets the mean of the loudness over it; while the wheel rests, nothing is heard.

    Parameters
    ----------
    level_times_s : (m,) array
    levels : (m, bands) array
        Natural logarithms of the power.
    times_s, path_rad : (n,) arrays
        Way of the wheel, back and forth both counted, at the times of the pictures.
    """
    inside = (level_times_s >= times_s[0]) & (level_times_s <= times_s[-1])
    way = np.interp(level_times_s[inside], times_s, path_rad) / (2 * np.pi)
    kept = levels[inside].T
    total = np.cumsum(0.5 * (kept[:, 1:] + kept[:, :-1]) * np.diff(way), axis=1)
    total = np.concatenate([np.zeros((len(kept), 1)), total], axis=1)
    # A way that stands still for a moment has no slope to interpolate along.
    moving = np.concatenate([[True], np.diff(way) > 1e-9])
    grid = np.arange(way[0], way[-1], 1 / STEPS_PER_TURN)
    sums = np.stack([np.interp(grid, way[moving], row[moving]) for row in total])
    even = np.diff(sums, axis=1) * STEPS_PER_TURN
    speed = np.gradient(path_rad, times_s) / (2 * np.pi)
    usual = float(np.average(speed, weights=np.maximum(speed, 0) + 1e-12))
    return AngleSound(even - even.mean(axis=1, keepdims=True), 0.45 * steps_per_s / max(usual, 1e-3))


def order_spectrum(sound: AngleSound, *, wheel_counts: bool = False) -> SoundSpectrum:
    """Order spectrum of a sound of at least :data:`LEAST_TURNS` turns.

    Parameters
    ----------
    wheel_counts : bool
        Whether the wheel's own orders count as lines.
    """
    window = min(WINDOW_TURNS, sound.turns / 1.5)
    size = round(window * STEPS_PER_TURN)
    parts = np.lib.stride_tricks.sliding_window_view(sound.levels, size, axis=1)[:, :: size // 2]
    shape = np.hanning(size)
    apart = (parts - parts.mean(axis=2, keepdims=True)) * shape
    power = np.mean(np.abs(np.fft.rfft(apart, PADDING * size, axis=2)) ** 2, axis=1)
    step = STEPS_PER_TURN / (PADDING * size)
    power = _blurred(power)
    floor = _floor(power, step, parts.shape[1])
    highest = min(sound.highest_order, 0.45 * STEPS_PER_TURN)
    own = _skirts(power / floor, step, window)
    if not wheel_counts:
        own = np.maximum(own, _wheels_own(power / floor, step, window))
    density = floor / (np.sum(shape**2) * STEPS_PER_TURN)
    return SoundSpectrum(step, power / floor, own, density, float(parts.shape[1]), highest)


def _blurred(power: Floats) -> Floats:
    """Mean over the orders that a varying slip smears a line into."""
    count = power.shape[1]
    bins = np.arange(count)
    half = np.round(SLIP_BLUR * bins).astype(int)
    total = np.concatenate([np.zeros((len(power), 1)), np.cumsum(power, axis=1)], axis=1)
    first, last = np.maximum(bins - half, 0), np.minimum(bins + half + 1, count)
    return np.asarray((total[:, last] - total[:, first]) / (last - first), dtype=np.float64)


def _floor(power: Floats, step: float, windows: int) -> Floats:
    """Mean noise at each order, from the median over its neighbours."""
    size = round(FLOOR_ORDERS / step)
    usual = np.stack([median_filter(row, size, mode="nearest") for row in power])
    # The median of a mean of m exponentials is a little below it.
    return np.asarray(usual / gamma.median(windows, scale=1 / windows) + 1e-12, dtype=np.float64)


def _skirts(power: Floats, step: float, window: float) -> Floats:
    """Take what is heard a line's width beside each order: the skirt of another line is no line."""
    away = round(LINE_WIDTH / window / step)
    padded = np.pad(power, ((0, 0), (away, away)), mode="edge")
    return np.asarray(np.maximum(padded[:, : -2 * away], padded[:, 2 * away :]), dtype=np.float64)


def _wheels_own(power: Floats, step: float, window: float) -> Floats:
    """Take at every whole order the strongest line at the whole orders beside it, and 1 between them."""
    count = int(power.shape[1] * step) - 1
    reach = max(1, round(ROW_REACH / window / step))
    places = np.round(np.arange(count + 1) / step).astype(int)
    near = np.clip(places[:, None] + np.arange(-reach, reach + 1), 0, power.shape[1] - 1)
    lines = power[:, near].max(axis=2)
    own = np.ones_like(power)
    for n in range(1, count + 1):
        beside = [m for m in (n - 2, n - 1, n + 1, n + 2) if 1 <= m <= count]
        level = lines[:, beside].max(axis=1)
        own[:, near[n]] = np.maximum(own[:, near[n]], level[:, None])
    return own
