"""Where the middle of a wheel may be: rim edges look across at it, spoke edges look along at it."""

import cv2
import numpy as np
from numpy.typing import NDArray

from .edges import Gradient, Pixels

#: Reach of the votes and blur of the ballot, as shares of the working picture's longer side.
RIM_REACH = (0.12, 0.50)
SPOKE_REACH = (0.04, 0.40)
RIM_BLUR, SPOKE_BLUR, BACKGROUND_BLUR = 0.012, 0.008, 0.06
#: Votes lie so far apart along a direction, about as far as the blur of the ballot.
VOTE_STEP_PX = 3.0
#: Two hubs are not nearer to each other than this share of the longer side.
APART = 0.08
#: A place with less than this of the votes, of which a hub's rim and spokes have up to 2, is no hub.
FEWEST_VOTES = 0.1


def find_hubs(gradient: Gradient, most: int = 5) -> list[tuple[float, float]]:
    """Likely hubs (x, y) in pixels of a small picture, the likeliest first; none if it is blank."""
    side = max(gradient.x.shape)
    ballot = hub_ballot(gradient, side)
    hubs = []
    for _ in range(most):
        y, x = np.unravel_index(int(ballot.argmax()), ballot.shape)
        if ballot[y, x] < FEWEST_VOTES:
            break
        hubs.append((float(x), float(y)))
        cv2.circle(ballot, (int(x), int(y)), round(APART * side), -1e9, -1)
    return hubs


def hub_ballot(gradient: Gradient, side_px: float) -> Pixels:
    """Map (h, w) of how many edges agree on a hub at each pixel; both kinds of votes peak at 1 alone."""
    size = gradient.size
    rows, columns = np.nonzero((size > 1.2) & (size < np.inf))
    across = np.column_stack([gradient.x[rows, columns], gradient.y[rows, columns]]).astype(np.float64)
    across /= size[rows, columns][:, None]
    along = np.column_stack([-across[:, 1], across[:, 0]])
    places = np.column_stack([columns, rows]).astype(np.float64)
    rim = _votes(places, across, RIM_REACH, RIM_BLUR, size.shape, side_px)
    spokes = _votes(places, along, SPOKE_REACH, SPOKE_BLUR, size.shape, side_px)
    # A blank picture has no edges, so no votes.
    return np.asarray(rim / max(rim.max(), 1e-6) + spokes / max(spokes.max(), 1e-6))


def _votes(
    places: NDArray[np.float64],
    directions: NDArray[np.float64],
    reach: tuple[float, float],
    blur: float,
    shape: tuple[int, ...],
    side_px: float,
) -> Pixels:
    """Every place votes for the pixels that lie ahead of it and behind it."""
    distances_px = np.arange(reach[0] * side_px, reach[1] * side_px, VOTE_STEP_PX)
    ballot = np.zeros(shape, np.float32)
    places, directions = places.astype(np.float32), directions.astype(np.float32)
    for side in (1.0, -1.0):
        along_px = (side * distances_px).astype(np.float32)
        x = np.rint(places[:, :1] + directions[:, :1] * along_px)
        y = np.rint(places[:, 1:] + directions[:, 1:] * along_px)
        ranges = [-0.5, shape[0] - 0.5, -0.5, shape[1] - 0.5]
        ballot += cv2.calcHist([y.ravel(), x.ravel()], [0, 1], None, [shape[0], shape[1]], ranges)
    sharp = cv2.GaussianBlur(ballot, (0, 0), blur * side_px)
    return np.asarray(sharp - cv2.GaussianBlur(ballot, (0, 0), BACKGROUND_BLUR * side_px))
