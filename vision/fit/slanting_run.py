"""A run of the second loop of a double drive, which leaves the band plane.

The two grooves on the wheel lie as near to each other as they can, the flyer's whirl may have further steps
between the one in use and the bobbin's whirl. So the second loop's runs slant away from their plane.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..geometry.camera import Points
from .scene import Scene


@dataclass(frozen=True, slots=True)
class SlantingRunSeen:
    """Points (n, 2) on the centre line of a straight run from groove to groove at different heights.

    ``side`` and ``shift`` as of :class:`~whirlwise.vision.fit.observations.RunSeen`. ``loop`` names the
    unknowns ``<loop>_radius``, ``<loop>_height`` of the groove in the wheel and ``<loop>_whirl_height``.
    """

    points_px: Points
    deviation_px: float
    side: int
    loop: str
    shift: str

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfit across the run."""
        values = scene.values
        normal = scene.run_normal(self.side, values[f"{self.loop}_radius"])
        points = scene.plane.plane_from_pixels(self.points_px, self._heights_mm(scene, normal))
        misfit_mm = points @ normal - values["pitch_radius"] - values[self.shift]
        return np.asarray(misfit_mm * scene.plane.px_per_mm_at(points) / self.deviation_px)

    def _heights_mm(self, scene: Scene, normal: NDArray[np.float64]) -> NDArray[np.float64]:
        """Heights (n,) of the points; where along the run they lie hardly hangs on the height."""
        at_wheel, at_whirl = (scene.values[f"{self.loop}_{which}"] for which in ("height", "whirl_height"))
        along = np.array([-normal[1], normal[0]])
        length_mm = float(scene.spindle_mm @ along)
        points = scene.plane.plane_from_pixels(self.points_px, 0.5 * (at_wheel + at_whirl))
        share = points @ along / length_mm
        return np.asarray(at_wheel + (at_whirl - at_wheel) * share)
