"""A second cord that leaves the wheel where the band's run does, and goes to another place on the spindle.

The loops of a double drive run side by side in the wheel and part on their way to two whirls of unlike size.
Where they lie close together one strip shows both; further apart either is a run of its own.
"""

from collections.abc import Sequence

import numpy as np

from .runs import BandRun, RunPair

#: It is seen nearly as clearly and as far as the run, and makes nearly as good a band with another run.
AS_CLEAR, AS_FAR, AS_GOOD = 0.75, 0.75, 0.5
#: A run that was found a second time is off by a step or two of direction; a cord that goes elsewhere by more
#: than that, and at its end by so many rim radii. Further away than that it is no cord of this wheel.
LEAST_TURN_RAD, MOST_TURN_RAD, LEAST_AWAY, MOST_AWAY = np.radians(1.4), np.radians(6.0), 0.025, 0.12


def runs_beside(pairs: Sequence[RunPair]) -> tuple[BandRun | None, BandRun | None]:
    """The clearest run beside either run of the first pair; None where there is none.

    Parameters
    ----------
    pairs : sequence of RunPair
        Ways to see the band, the likeliest first.
    """
    best, *others = pairs
    alike = [pair for pair in others if pair.score > AS_GOOD * best.score]
    one, other = (
        max(
            (pair.runs[k] for pair in alike if _beside(best.runs[k], pair.runs[k], best.rim_radius_px)),
            key=lambda run: run.strength,
            default=None,
        )
        for k in range(2)
    )
    return one, other


def _beside(run: BandRun, other: BandRun, rim_radius_px: float) -> bool:
    """Whether another run goes beside a run, to another place."""
    turn_rad = float(np.arccos(np.clip(run.direction @ other.direction, -1.0, 1.0)))
    across = np.array([-run.direction[1], run.direction[0]])
    away = float(abs((other.end_px - run.start_px) @ across)) / rim_radius_px
    return (
        other.strength > AS_CLEAR * run.strength
        and other.length_px > AS_FAR * run.length_px
        and LEAST_TURN_RAD < turn_rad < MOST_TURN_RAD
        and LEAST_AWAY < away < MOST_AWAY
    )
