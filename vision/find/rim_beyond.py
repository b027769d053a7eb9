"""Whether something round and even lies outside of what was taken for the rim's outermost edge.

Where rim and background are alike, the rim's inner edge may be the clearest round edge about the hub, and of
the outer one only arcs show: too little to measure, enough to tell that the rim goes on. A band that leaves
the rim as a tangent tells that too; this is for pictures without one.
"""

import numpy as np
from numpy.typing import NDArray

from .edges import lab_pixels
from .rim import REFINE_SIDE_PX, RimEdge, refine_edge

#: Sizes at which an edge is looked for, as multiples of the rim's, and how far off it may be found, as a
#: share of the rim's radius: rims are up to a sixth of their radius deep (common practice, no source).
FACTORS, REACH, FURTHEST, MOST_ASIDE = np.arange(1.03, 1.26, 0.02), 0.012, 1.28, 0.08
LEAST_FACTOR = 1.025
#: On an edge its points scatter little, be it seen only in part; what fits a curve by chance scatters more
#: (0.65 px and up, on pictures with known truth).
LEAST_COVER, MOST_SCATTER_PX = 0.28, 0.5


def edge_seen_beyond(bgr: NDArray[np.uint8], rim: RimEdge) -> bool:
    """Whether arcs of a larger round edge about the same middle are seen.

    Parameters
    ----------
    bgr : (h, w, 3) array of uint8
    rim : RimEdge
        In pixels of the picture.
    """
    scale = min(1.0, REFINE_SIDE_PX / max(bgr.shape[:2]))
    lab = lab_pixels(bgr, scale)
    known = rim.ellipse.rescaled(scale)
    radius_px = known.mean_radius_px
    rng = np.random.default_rng(0)
    for factor in FACTORS.tolist():
        edge = refine_edge(lab, known.grown(factor), REACH * radius_px, rng)
        if edge is None or edge.cover < LEAST_COVER or edge.scatter_px > MOST_SCATTER_PX:
            continue
        larger = edge.ellipse.mean_radius_px / radius_px
        aside = np.hypot(edge.ellipse.x_px - known.x_px, edge.ellipse.y_px - known.y_px) / radius_px
        if LEAST_FACTOR < larger < FURTHEST and aside < MOST_ASIDE:
            return True
    return False
