"""What the doubt of the ratio is made of: how much of it would go if one thing were known."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from .joint import Fit
from .unknowns import PART

#: Unknowns, by how their names begin, that one and the same remedy would tell.
CAUSES: Final[Mapping[str, tuple[str, ...]]] = {
    "spindle": (PART, "lean"),
    "cords": ("loop1_cord",),
    "tilt": ("tilt", "rim_height", "rim_rounding", "oval"),
    "lens": ("log_focal", "k1", "centre"),
}


def shares_of_doubt(fit: Fit) -> dict[str, float]:
    """Share of the variance of whirl pitch / wheel pitch that would go if a cause's unknowns were known.

    The shares needn't add up to 1: unknowns that err together are each worth knowing.

    Notes
    -----
    Var(s | x) = Var(s) - c^T V^-1 c, with c the covariance of s and x, and V that of x (normal distribution).
    """
    names, covariance = list(fit.values), fit.covariance
    slope = np.zeros(len(names))
    slope[names.index("loop1_radius")] = 1 / fit.values["loop1_radius"]
    slope[names.index("pitch_radius")] = -1 / fit.values["pitch_radius"]
    along = covariance @ slope
    total = float(slope @ along)
    shares = {}
    for cause, beginnings in CAUSES.items():
        chosen = [k for k, name in enumerate(names) if name.startswith(beginnings)]
        if chosen and total > 0:
            known = np.linalg.lstsq(covariance[np.ix_(chosen, chosen)], along[chosen], rcond=None)[0]
            shares[cause] = float(np.clip(along[chosen] @ known / total, 0.0, 1.0))
    return shares
