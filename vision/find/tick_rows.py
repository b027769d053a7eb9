"""Where in a picture a row of evenly spaced ticks may run: places, direction and pitch, roughly.

The picture is cut into small tiles. In one that holds ticks a single wave stands out of the spectrum; tiles
with one wave that lie in a line along that wave are a row. Regular fabric and brick show up here as well:
whether the ticks are those of a rule is told later, by their lengths.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points

#: Side of a tile and step from tile to tile, in pixels of the picture shrunk by each of the scales.
TILE_PX, STEP_PX = 32, 16
SCALES = (1.0, 0.5, 0.25)
#: Waves looked for, in periods a tile: about 11 down to 2.5 pixels long.
FEWEST_PERIODS, MOST_PERIODS = 3.0, 13.0
#: So much of a tile's detail must lie in one wave, and so much contrast (grey values) be in it.
LEAST_SHARE, LEAST_CONTRAST = 0.10, 1.5
#: Tiles are looked at in batches, and so many of the clearest are kept at each scale.
BATCH, MOST_TILES = 4096, 2000
#: Waves that differ by less than this share are one; perspective changes it along the row.
SAME_WAVE = 0.13
#: A row reaches over so many steps at the least; so many rows are kept at each scale.
LEAST_STEPS, MOST_ROWS = 4, 5
#: So many of the clearest tiles are tried as members of a row.
SEEDS = 120


@dataclass(frozen=True, slots=True)
class TickRow:
    """A row of tiles that show one wave.

    Attributes
    ----------
    middle_px : (2,) array
    along : (2,) array
        Unit direction of the row.
    half_length_px : float
    pitch_px : float
        From tick to tick, about.
    steps : int
        Over how many steps of the tiles the wave was seen.
    """

    middle_px: Points
    along: Points
    half_length_px: float
    pitch_px: float
    steps: int


@dataclass(frozen=True, slots=True)
class _Waves:
    """Middles (n, 2) of tiles, the wave (n, 2) in cycles a pixel that stands out, and its share (n,)."""

    middles_px: Points
    wave: Points
    share: NDArray[np.float64]

    def chosen(self, keep: NDArray[np.bool_] | NDArray[np.intp]) -> "_Waves":
        return _Waves(self.middles_px[keep], self.wave[keep], self.share[keep])


def find_tick_rows(bgr: NDArray[np.uint8]) -> list[TickRow]:
    """Rows of ticks in a picture, the longest (in ticks) first."""
    grey = cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY)
    rows: list[TickRow] = []
    for scale in SCALES:
        shrunk = (
            cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else grey
        )
        if min(shrunk.shape) < 2 * TILE_PX:
            break
        rows += [_enlarged(row, scale) for row in _rows(_waves(np.asarray(shrunk, dtype=np.float32)))]
    return sorted(rows, key=lambda row: -row.half_length_px / row.pitch_px)


def _enlarged(row: TickRow, scale: float) -> TickRow:
    middle = (row.middle_px + 0.5) / scale - 0.5
    return TickRow(middle, row.along, row.half_length_px / scale, row.pitch_px / scale, row.steps)


def _waves(grey: NDArray[np.float32]) -> _Waves:
    """The wave in each tile that shows one."""
    windows = np.lib.stride_tricks.sliding_window_view(grey, (TILE_PX, TILE_PX))[::STEP_PX, ::STEP_PX]
    corners = np.stack(np.meshgrid(*map(np.arange, windows.shape[:2]), indexing="ij"), axis=-1).reshape(-1, 2)
    parts = [
        _waves_of(windows[rows, columns], np.column_stack([columns, rows]) * float(STEP_PX))
        for rows, columns in (corners[start : start + BATCH].T for start in range(0, len(corners), BATCH))
    ]
    whole = _Waves(*(np.concatenate([getattr(p, name) for p in parts]) for name in _Waves.__slots__))
    return whole.chosen(np.argsort(-whole.share)[:MOST_TILES])


def _waves_of(tiles: NDArray[np.float32], corners_px: Points) -> _Waves:
    window = np.hanning(TILE_PX + 1)[:TILE_PX].astype(np.float32)
    level = tiles - tiles.mean(axis=(1, 2), keepdims=True)
    power = np.abs(np.fft.rfft2(level * (window[:, None] * window))) ** 2
    # Rows are frequencies down, wrapped; shifted so that neighbours in frequency are neighbours in the array.
    power = np.fft.fftshift(power, axes=1).astype(np.float64)
    down = np.arange(TILE_PX) - TILE_PX // 2
    across = np.arange(TILE_PX // 2 + 1)
    periods = np.hypot(down[:, None], across)
    detail = np.where(periods > FEWEST_PERIODS - 1, power, 0.0).sum(axis=(1, 2))
    inside = (periods >= FEWEST_PERIODS) & (periods <= MOST_PERIODS)
    # The outermost rows and columns have no neighbours to compare with.
    inside[[0, -1]] = False
    inside[:, -1] = False
    flat = np.where(inside, power, 0.0).reshape(len(tiles), -1).argmax(axis=1)
    row, column = np.unravel_index(flat, periods.shape)
    each = np.arange(len(tiles))
    # One column to the left of frequency 0 stands, mirrored, the column to its right.
    padded = np.concatenate([np.roll(power[:, ::-1, 1:2], 1, axis=1), power], axis=2)
    near = np.stack(
        [padded[each, row + dy, column + 1 + dx] for dy in (-1, 0, 1) for dx in (-1, 0, 1)], axis=1
    ).reshape(-1, 3, 3)
    share = near.sum(axis=(1, 2)) / np.maximum(detail, 1e-9)
    contrast = np.sqrt(2 * near.sum(axis=(1, 2))) / float(window.sum() * np.sqrt((window**2).sum()))
    peak = near[:, 1, 1] >= near.max(axis=(1, 2))
    keep = peak & (share > LEAST_SHARE) & (contrast > LEAST_CONTRAST)
    logs = np.log(near + 1e-9)
    x = column + _top(logs[:, 1, 0], logs[:, 1, 1], logs[:, 1, 2])
    y = down[row] + _top(logs[:, 0, 1], logs[:, 1, 1], logs[:, 2, 1])
    wave = np.column_stack([x, y]) / TILE_PX
    middles = corners_px + (TILE_PX - 1) / 2
    return _Waves(middles[keep], wave[keep], share[keep])


def _top(before: NDArray[np.float64], top: NDArray[np.float64], after: NDArray[np.float64]) -> Points:
    """Offset of the parabola's top through three neighbours."""
    return np.asarray(np.clip((before - after) / (2 * (before - 2 * top + after) - 1e-9), -0.5, 0.5))


def _rows(waves: _Waves) -> list[TickRow]:
    """Tiles in a line along their common wave, the longest such line first."""
    rows: list[TickRow] = []
    while len(waves.share) >= LEAST_STEPS and len(rows) < MOST_ROWS:
        agreeing, steps = _best_line(waves)
        if steps < LEAST_STEPS:
            break
        rows.append(_as_row(waves.chosen(agreeing), steps))
        waves = waves.chosen(~agreeing)
    return rows


def _best_line(waves: _Waves) -> tuple[NDArray[np.bool_], int]:
    """Which tiles agree with the tile that most agree with, and over how many steps they reach."""
    best = (np.zeros(len(waves.share), dtype=bool), 0)
    for k in np.argsort(-waves.share)[:SEEDS]:
        wave = waves.wave[k]
        size = float(np.hypot(*wave))
        along = wave / size
        # A wave and its opposite are one.
        differ = np.minimum(
            np.linalg.norm(waves.wave - wave, axis=1), np.linalg.norm(waves.wave + wave, axis=1)
        )
        away = waves.middles_px - waves.middles_px[k]
        reach = away @ along
        aside = np.abs(away @ [-along[1], along[0]])
        agree = (differ < SAME_WAVE * size) & (aside < 0.75 * TILE_PX + 0.04 * np.abs(reach))
        agree &= _connected(reach, agree)
        steps = len(np.unique(np.rint(reach[agree] / STEP_PX)))
        if steps > best[1]:
            best = (agree, steps)
    return best


def _connected(reach_px: NDArray[np.float64], agree: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tiles from which one comes to the middle of the row without too long a gap."""
    order = np.flatnonzero(agree)[np.argsort(reach_px[agree])]
    gaps = np.diff(reach_px[order]) > 5 * STEP_PX
    group = np.concatenate([[0], np.cumsum(gaps)])
    home = group[int(np.argmin(np.abs(reach_px[order])))]
    connected = np.zeros(len(reach_px), dtype=bool)
    connected[order[group == home]] = True
    return connected


def _as_row(waves: _Waves, steps: int) -> TickRow:
    first = waves.wave[0]
    aligned = waves.wave * np.where(waves.wave @ first < 0, -1.0, 1.0)[:, None]
    mean = np.asarray((aligned * waves.share[:, None]).sum(axis=0) / waves.share.sum())
    along = mean / np.hypot(*mean)
    middle = waves.middles_px.mean(axis=0)
    reach = (waves.middles_px - middle) @ along
    ends = float(reach.min()) - TILE_PX / 2, float(reach.max()) + TILE_PX / 2
    middle = middle + 0.5 * (ends[0] + ends[1]) * along
    return TickRow(middle, along, 0.5 * (ends[1] - ends[0]), 1 / float(np.hypot(*mean)), steps)
