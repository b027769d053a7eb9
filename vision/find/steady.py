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
#: Times that pictures are halved to find corners far away, near to where they are expected, and next to it.
FAR, NEAR, NEXT = 2, 1, 0
#: If this share of the corners agrees at once, no lots are drawn and nothing is looked for farther away.
MOST_AGREE = 0.6
#: Rounds in which corners that do not agree are left out.
ROUNDS = 3
#: A corner is placed by at most so many steps, or until they are shorter than this (px).
STEPS, SHORT_STEP_PX = 10, 0.02

#: A similarity (2, 3) from the first picture to another, and which corners agree on it.
Movement = tuple[NDArray[np.float64], NDArray[np.bool_]]


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
            found = _movement(gray[0], picture, self.corners, movements[-1], NEXT)
            for halvings in (NEAR, FAR):
                if found is None or np.mean(found[1]) < MOST_AGREE:
                    found = _movement(gray[0], picture, self.corners, movements[-1], halvings) or found
            if found is None:
                return False
            movements.append(found[0])
        size = (gray.shape[2], gray.shape[1])
        flags, edge = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, cv2.BORDER_REPLICATE
        for picture, movement in zip(gray, movements, strict=True):
            picture[:] = cv2.warpAffine(picture, movement, size, flags=flags, borderMode=edge)
        return True

    def left_px(self, gray: NDArray[np.uint8]) -> float:
        """Sway that is left in pictures that were laid over the first; as it was, where none can be told."""
        found = _tried(gray, self.corners, NEXT)
        return _sway_px(found, self.corners) if found else self.sway_px


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
    found = _tried(gray, corners, FAR)
    agreed = np.sum([agree for _, agree in found], axis=0)
    still = agreed >= STANDS_STILL * np.max(agreed)
    if len(found) < 2 or np.count_nonzero(still) < FEWEST:
        return None
    return Hand(_sway_px(found, corners[still]), corners[still])


def _tried(gray: NDArray[np.uint8], corners: NDArray[np.float32], halvings: int) -> list[Movement]:
    """How the corners moved from the first picture to some of the others."""
    some = np.unique(np.linspace(0, len(gray) - 1, TRIED + 1).astype(int))[1:]
    moved = (_movement(gray[0], gray[number], corners, np.eye(2, 3), halvings) for number in some)
    return [movement for movement in moved if movement is not None]


def _sway_px(found: list[Movement], corners: NDArray[np.float32]) -> float:
    """Root mean square of the shift of the corners' middle."""
    middle = np.append(corners.reshape(-1, 2).mean(axis=0), 1.0)
    shifts = np.array([movement @ middle - middle[:2] for movement, _ in found])
    return float(np.sqrt(np.mean(np.sum(shifts**2, axis=1))))


def _movement(
    first: NDArray[np.uint8],
    picture: NDArray[np.uint8],
    corners: NDArray[np.float32],
    guess: NDArray[np.float64],
    halvings: int,
) -> Movement | None:
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
    movement, agree = _similarity(corners[good], guessed[good], there[good])
    if np.mean(agree) < MOST_AGREE:
        movement, mask = cv2.estimateAffinePartial2D(
            corners[good], there[good], method=cv2.RANSAC, ransacReprojThreshold=AGREES_PX
        )
        agree = np.zeros(0, bool) if movement is None else mask.ravel() == 1
    if np.count_nonzero(agree) < FEWEST:
        return None
    agreeing = np.zeros(len(corners), bool)
    agreeing[np.flatnonzero(good)[agree]] = True
    return np.asarray(movement, np.float64), agreeing


def _similarity(
    corners: NDArray[np.float32], guessed: NDArray[np.float32], there: NDArray[np.float32]
) -> Movement:
    """Least-squares similarity (2, 3) of those points (m, 1, 2) that agree on it, and which do.

    Begun with those that have left the place where they were guessed by about as much as half of them have.
    Good where most agree; where fewer do, lots must be drawn.
    """
    here, guess, seen = (
        points.reshape(-1, 2).astype(np.float64) @ np.array([1, 1j]) for points in (corners, guessed, there)
    )
    left = (seen - guess).view(np.float64).reshape(-1, 2)
    agree = np.hypot(*(left - np.sort(left, axis=0)[len(left) // 2]).T) < AGREES_PX
    movement = np.eye(2, 3)
    for _ in range(ROUNDS):
        one, other = here[agree], seen[agree]
        if len(one) < FEWEST:
            break
        middle, to = one.sum() / len(one), other.sum() / len(one)
        away = one - middle
        turn = np.vdot(away, other - to) / (np.vdot(away, away).real + 1e-12)
        shift = to - turn * middle
        movement = np.array([[turn.real, -turn.imag, shift.real], [turn.imag, turn.real, shift.imag]])
        agree = np.abs(turn * here + shift - seen) < AGREES_PX
    return movement, agree
