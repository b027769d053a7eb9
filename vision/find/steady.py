"""A hand-held clip, put as if the camera had stood still: every picture is laid over the first.

Corners are followed from the first picture into every other. Most of what a room shows stands still, so the
shift, turn and zoom on which most corners agree (RANSAC) is the camera's; what turns is outvoted. It leaves
parallax out: a hand that moves sideways shifts near and far things unlike.
"""

from dataclasses import dataclass

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
#: Times that pictures are halved to find corners far away, and corners near to where they are expected.
FAR, NEAR = 2, 1
#: A corner is placed by at most so many steps, or until they are shorter than this (px).
STEPS, SHORT_STEP_PX = 10, 0.02


@dataclass(frozen=True, slots=True)
class Hand:
    """What was found of the hand that held the camera.

    Attributes
    ----------
    sway_px : float
        Root mean square of the picture's shift against the first, in gray pixels, as some pictures tell.
    corners : (m, 1, 2) array
        Corners of the first picture that stand still.
    """

    sway_px: float
    corners: NDArray[np.float32]

    def steady(self, gray: NDArray[np.uint8]) -> bool:
        """Lay all pictures over the first one, in place; False (and nothing done) where one can't be."""
        movements = [np.eye(2, 3)]
        for picture in gray[1:]:
            found = _movement(gray[0], picture, self.corners, movements[-1], NEAR)
            found = found or _movement(gray[0], picture, self.corners, movements[-1], FAR)
            if found is None:
                return False
            movements.append(found[0])
        size = (gray.shape[2], gray.shape[1])
        flags, edge = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, cv2.BORDER_REPLICATE
        for picture, movement in zip(gray, movements, strict=True):
            picture[:] = cv2.warpAffine(picture, movement, size, flags=flags, borderMode=edge)
        return True


def hand_of(gray: NDArray[np.uint8]) -> Hand | None:
    """Find what stands still and how much it moves in the picture; None where too little can be followed.

    Parameters
    ----------
    gray : (n, height, width) array
        The clip.
    """
    corners = cv2.goodFeaturesToTrack(gray[0], CORNERS, 0.01, APART * gray.shape[2])
    if corners is None or len(corners) < FEWEST:
        return None
    agreed, found = np.zeros(len(corners)), []
    for number in np.unique(np.linspace(0, len(gray) - 1, TRIED + 1).astype(int))[1:]:
        movement = _movement(gray[0], gray[number], corners, np.eye(2, 3), FAR)
        if movement is not None:
            found.append(movement[0])
            agreed += movement[1]
    still = agreed >= STANDS_STILL * agreed.max()
    if len(found) < 2 or np.count_nonzero(still) < FEWEST:
        return None
    middle = np.append(corners[still].reshape(-1, 2).mean(axis=0), 1.0)
    shifts = np.array([movement @ middle - middle[:2] for movement in found])
    return Hand(float(np.sqrt(np.mean(np.sum(shifts**2, axis=1)))), corners[still])


def _movement(
    first: NDArray[np.uint8],
    picture: NDArray[np.uint8],
    corners: NDArray[np.float32],
    guess: NDArray[np.float64],
    halvings: int,
) -> tuple[NDArray[np.float64], NDArray[np.bool_]] | None:
    """Similarity (2, 3) from the first picture to another, and which corners agree on it."""
    guessed = cv2.transform(corners, guess).astype(np.float32)
    there, seen, _ = cv2.calcOpticalFlowPyrLK(
        first,
        picture,
        corners,
        guessed,
        winSize=(WINDOW_PX, WINDOW_PX),
        maxLevel=halvings,
        criteria=(cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, STEPS, SHORT_STEP_PX),
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
