"""A run of the second loop of a double drive, which leaves the band plane.

The two grooves on the wheel lie as near to each other as they can, the flyer's whirl may have further steps
between the one in use and the bobbin's whirl. So the second loop's runs slant away from their plane.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .observations import RunSeen, Slopes
from .plane_points import PlanePoints
from .scene import Scene

#: A run shorter than this is none; a fit may pass through such scenes on its way.
LEAST_LENGTH_MM = 1.0


@dataclass(frozen=True, slots=True)
class SlantingRunSeen(RunSeen):
    """Points (n, 2) on the centre line of a straight run from groove to groove at different heights.

    ``<loop>_height`` is the height of the groove in the wheel, ``<loop>_whirl_height`` of that on the whirl.
    """

    def heights_mm(self, scene: Scene) -> NDArray[np.float64]:
        """Heights (n,) of the points."""
        at_wheel, at_whirl = (scene.values[f"{self.loop}_{which}"] for which in ("height", "whirl_height"))
        return np.asarray(at_wheel + (at_whirl - at_wheel) * self._share(scene))

    def growth(self, scene: Scene, seen: PlanePoints) -> Slopes:
        """How the misfits grow with camera, plane, both pitch circles, both heights and the shift.

        That a point's share of the way changes with all these as well is left out: it moves the point by a
        few millimetres times that change, in height only.
        """
        # Explicit base: dataclasses with slots make a new class, which a bare super() does not know.
        slopes = dict(RunSeen.growth(self, scene, seen))
        by_height = slopes[f"{self.loop}_height"]
        share = self._share(scene)
        slopes[f"{self.loop}_height"] = by_height * (1 - share)
        slopes[f"{self.loop}_whirl_height"] = by_height * share
        return slopes

    def _share(self, scene: Scene) -> NDArray[np.float64]:
        """Share (n,) of the way from the wheel's groove to the whirl's; it hardly hangs on the height."""
        at_wheel, at_whirl = (scene.values[f"{self.loop}_{which}"] for which in ("height", "whirl_height"))
        normal = scene.run_normal(self.side, scene.values[f"{self.loop}_radius"])
        along = np.array([normal[1], -normal[0]]) * self.side
        points = scene.plane.plane_from_pixels(self.points_px, 0.5 * (at_wheel + at_whirl))
        return np.asarray(points @ along / max(float(scene.spindle_mm @ along), LEAST_LENGTH_MM))
