"""How far a cord goes on beyond the run along which it was found.

A run is followed to where a shelf or a post behind it takes its evidence away; the whirl may be much further.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..geometry.ellipse import Points
from .cord_lines import CordLine
from .cord_profile import with_cord
from .edges import Pixels
from .runs import BandRun, RunPair
from .strip import ACROSS_STEP_PX, STATIONS, profiles, straightened

#: So many thicknesses to either side are looked at.
REACH = 3.0
#: It goes on to a place if it is seen there and along so much of the way.
SEEN_ON_THE_WAY = 0.6
#: What seems to go on nearly to where the runs meet is no cord, for they bend round a whirl before.
MOST_OF_THE_WAY = 0.85


def followed_on(lab: Pixels, pair: RunPair, cords: tuple[CordLine, CordLine]) -> RunPair:
    """The same two runs, each up to where its cord is last seen before they meet."""
    one, other = (_followed(lab, run, cord, pair) for run, cord in zip(pair.runs, cords, strict=True))
    return replace(pair, runs=(one, other))


def _followed(lab: Pixels, run: BandRun, cord: CordLine, pair: RunPair) -> BandRun:
    way_px = pair.meeting_px - run.end_px
    length_px = float(np.hypot(*way_px))
    if length_px < STATIONS / 4:
        return run
    reach_px = REACH * cord.thickness_px
    across_px = np.arange(-reach_px, reach_px + ACROSS_STEP_PX / 2, ACROSS_STEP_PX)
    beyond = replace(run, start_px=run.end_px, end_px=pair.meeting_px)
    pixels, stations, normal = straightened(lab, beyond, across_px)
    seen = with_cord(profiles(pixels, _offsets_px(cord, stations, normal)), across_px, cord.thickness_px)
    so_far = np.cumsum(seen) / np.arange(1, len(seen) + 1)
    reached = np.flatnonzero(seen & (so_far >= SEEN_ON_THE_WAY))
    share = (reached[-1] + 1) / len(seen) if len(reached) else 0.0
    return run if share > MOST_OF_THE_WAY else replace(run, end_px=run.end_px + share * way_px)


def _offsets_px(cord: CordLine, stations: Points, normal: Points) -> NDArray[np.float64]:
    """How far across the way (n,) the straight line through a cord lies at stations (n, 2)."""
    along = cord.points_px[-1] - cord.points_px[0]
    beside = np.array([-along[1], along[0]])
    # From a station along the normal to the line: (station + offset * normal - middle) . beside = 0.
    return np.asarray((cord.points_px.mean(axis=0) - stations) @ beside / (normal @ beside))
