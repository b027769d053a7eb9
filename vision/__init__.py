"""Pictures and clips in, readings with uncertainty out.

This package knows nothing of spinning beyond round things, bands and turning, and never imports
``whirlwise.calc`` or ``whirlwise.cli``. Its two measurements read top to bottom like recipes:
:mod:`whirlwise.vision.photo` (sizes and ratios from one picture) and :mod:`whirlwise.vision.clip`
(turns, cadence and ratio from one clip).

Coordinates
-----------
- Pixels are (x, y) in the upright picture as a viewer shows it; x to the right, y down; pixel centres
  at whole numbers. Row and column order appears only beside NumPy indexing.
- Camera frame: x to the right, y down, z away from the camera.
- Band plane frame: the origin is the wheel's axle in the plane of the drive band, z points out of the
  plane towards the camera, in mm. A part at z > 0 stands nearer to the camera than the band.
- Lengths in mm, times in s, angles in rad (names that end in ``_deg`` are in degrees).
- Turning is positive anticlockwise as seen in the upright picture.
"""
