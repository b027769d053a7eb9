"""How much light on a cord, and how much colour, explains the profiles across it."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

#: The background takes the first so many coefficients.
BACKGROUND: Final = 2
#: Beyond so many half thicknesses the light is taken to go on evenly: next to nothing of a cord shows there.
BEYOND: Final = 1.5
#: A weight that keeps the light finite on a cord that another one hides altogether.
HIDDEN: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Alike:
    """Light (..., 1, cords * 3) on the cords as it is all along, and how firmly each group is held to it."""

    light: Numbers
    firmness: Numbers


def curved_light(u: Numbers, covered: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    """Light that slopes and curves over a cord, at places ``u`` across it, -1 to 1 from edge to edge."""
    u = np.clip(u, -BEYOND, BEYOND)
    return covered, covered * u, covered * u**2


def explained_by_light(design: Numbers, seen: Numbers, alike: Alike | None = None) -> tuple[Numbers, Numbers]:
    """Light (..., groups, k) that explains lightness best, and what is left (..., groups, n) of it.

    Parameters
    ----------
    design : (..., groups, columns, k) array
        Background first, then the parts of the light on the cords.
    seen : (groups, columns) array
    alike : Alike, optional
        Departures from the light as it is all along are among what is left.
    """
    normal, right = normal_equations(design, seen[..., None], alike)
    light = np.linalg.solve(normal, right)[..., 0]
    left = seen - (design @ light[..., None])[..., 0]
    if alike is not None:
        unlike = np.sqrt(alike.firmness) * (light[..., BACKGROUND:] - alike.light)
        left = np.concatenate([left, unlike], axis=-1)
    return np.asarray(light), np.asarray(left)


def left_of_colour(design: Numbers, seen: Numbers) -> Numbers:
    """What is left (..., groups, columns * channels) of channels (groups, columns, channels) at best."""
    colour = np.linalg.solve(*normal_equations(design, seen))
    left = seen - design @ colour
    return left.reshape(*left.shape[:-2], -1)


def normal_equations(design: Numbers, seen: Numbers, alike: Alike | None = None) -> tuple[Numbers, Numbers]:
    """Matrices (..., groups, k, k) and right sides (..., groups, k, channels) whose solution is the light."""
    # Products by matmul: einsum's own loops take twice as long.
    across = design.swapaxes(-1, -2)
    normal, right = across @ design, across @ seen
    count = np.arange(normal.shape[-1])
    normal[..., count, count] += HIDDEN
    if alike is not None:
        on_cords = count[BACKGROUND:]
        normal[..., on_cords, on_cords] += alike.firmness
        right[..., on_cords, 0] += alike.firmness * alike.light
    return normal, right
