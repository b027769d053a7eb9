"""What would make the next clip of the same wheel tell more, as far as this one shows it."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Fewer turns leave each end of the clip a large share of the whole.
FEW_TURNS = 6.0
#: Mean luma (of 255, black at 16) below which a phone opens its shutter for long.
DARK = 48.0
#: A speed that varies by less than this share (standard deviation) hardly tells a flyer from its aliases.
EVEN = 0.015


def advice(
    gray: NDArray[np.uint8], turns: float, speed_rad_s: Floats, *, ratio_open: bool
) -> tuple[str, ...]:
    """Give sentences of advice for the clip at hand; none where nothing stands in the way.

    Parameters
    ----------
    gray : (n, height, width) array
        The pictures.
    turns : float
        Turns of the wheel.
    speed_rad_s : (n,) array
        Its speed in every picture.
    ratio_open : bool
        Whether the flyer's ratio could not be told, or not which of several it is.
    """
    said = []
    if turns < FEW_TURNS:
        said.append(f"The wheel makes only {turns:.1f} turns in this clip; ten or more narrow the intervals.")
    if mean_light(gray) < DARK:
        said.append("The pictures are dark, so that what turns smears; film in more light.")
    pace = np.abs(speed_rad_s)
    if ratio_open and float(pace.std()) < EVEN * float(pace.mean()):
        said.append(
            "The wheel turns so evenly that several ratios look alike; let it speed up and slow down."
        )
    return tuple(said)


def mean_light(gray: NDArray[np.uint8]) -> float:
    """Mean luma (of 255) of some of the pictures (n, height, width)."""
    return float(gray[:: max(1, len(gray) // 20)].mean())
