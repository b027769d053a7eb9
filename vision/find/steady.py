"""A hand-held clip, put as if the camera had stood still: every picture is laid over the first.

Corners are followed from the first picture into every other. Most of what a room shows stands still, so the
shift, turn and zoom on which most corners agree (RANSAC) is the camera's; what turns is outvoted. It leaves
parallax out: a hand that moves sideways shifts near and far things unlike.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

#: Corners that are followed, and how near to each other they may lie (share of the picture's width).
CORNERS, APART = 130, 0.03
#: A corner agrees if it lies this near to where the camera's movement puts it, in px.
AGREES_PX = 0.7
#: Fewer corners than this tell nothing.
FEWEST = 12
#: A corner that agrees in fewer pictures than this share lies on something that moves.
STANDS_STILL = 0.5
#: Pictures by which the corners that stand still are picked.
TRIED = 8
WINDOW_PX = 15


def steady(gray: NDArray[np.uint8]) -> bool:
    """Lay all pictures over the first one, in place; False (and nothing done) where too little stands still.

    Parameters
    ----------
    gray : (n, height, width) array
        The clip.
    """
    corners = _corners(gray)
    if corners is None:
        return False
    movements = [np.eye(2, 3)]
    for picture in gray[1:]:
        found = _movement(gray[0], picture, corners, movements[-1])
        if found is None:
            return False
        movements.append(found[0])
    height, width = gray.shape[1:]
    for picture, movement in zip(gray, movements, strict=True):
        picture[:] = cv2.warpAffine(
            picture,
            movement,
            (width, height),
            flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
            borderMode=cv2.BORDER_REPLICATE,
        )
    return True


def _corners(gray: NDArray[np.uint8]) -> NDArray[np.float32] | None:
    """Corners (m, 1, 2) of the first picture that stand still, as far as some pictures of the clip tell."""
    corners = cv2.goodFeaturesToTrack(gray[0], CORNERS, 0.01, APART * gray.shape[2])
    if corners is None or len(corners) < FEWEST:
        return None
    agreed = np.zeros(len(corners))
    for number in np.linspace(0, len(gray) - 1, TRIED + 1).astype(int)[1:]:
        found = _movement(gray[0], gray[number], corners, np.eye(2, 3))
        if found is not None:
            agreed += found[1]
    still = agreed >= STANDS_STILL * agreed.max()
    return corners[still] if np.count_nonzero(still) >= FEWEST else None


def _movement(
    first: NDArray[np.uint8],
    picture: NDArray[np.uint8],
    corners: NDArray[np.float32],
    guess: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.bool_]] | None:
    """Similarity (2, 3) from the first picture to another, and which corners agree on it."""
    guessed = cv2.transform(corners, guess).astype(np.float32)
    there, seen, _ = cv2.calcOpticalFlowPyrLK(
        first,
        picture,
        corners,
        guessed,
        winSize=(WINDOW_PX, WINDOW_PX),
        maxLevel=2,
        flags=cv2.OPTFLOW_USE_INITIAL_FLOW,
    )
    good = seen.ravel() == 1
    if np.count_nonzero(good) < FEWEST:
        return None
    movement, agree = cv2.estimateAffinePartial2D(
        corners[good], there[good], method=cv2.RANSAC, ransacReprojThreshold=AGREES_PX
    )
    if movement is None or np.count_nonzero(agree) < FEWEST:
        return None
    agreeing = np.zeros(len(corners), bool)
    agreeing[np.flatnonzero(good)[agree.ravel() == 1]] = True
    return np.asarray(movement, np.float64), agreeing
