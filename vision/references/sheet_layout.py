"""What is printed on our own reference sheet, and where: all lengths in mm on paper, x right, y up."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: Length of the line that the spinner measures with a ruler.
CHECK_LINE_MM = 200.0
#: ISO/IEC 7810, ID-1: the frame into which a bank card must fit; its corners' radius is from memory.
CARD_MM, CARD_CORNER_MM = (85.60, 53.98), 3.18
#: Side of each marker's black square; a field of its 6 x 6 is 7.5 mm, and so is the white round it at least.
MARKER_MM = 45.0


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """A sheet with a marker in each corner.

    Attributes
    ----------
    paper : str
        Its name as typed.
    page_mm : tuple of float
        Width and height of the paper, upright.
    frame_mm : tuple of float
        Width and height from outer edge to outer edge of the markers; the frame lies in the paper's middle.
    numbers : tuple of int
        The markers of DICT_4X4_50, clockwise from the upper left one. No paper shares one with another, so
        that a picture tells which sheet it shows.
    """

    paper: str
    page_mm: tuple[float, float]
    frame_mm: tuple[float, float]
    numbers: tuple[int, int, int, int]

    def marker_corners_mm(self, place: int) -> NDArray[np.float64]:
        """Corners (4, 2) of the black square of the marker at a place, clockwise from its upper left one."""
        frame = self.frame_corners_mm()[place]
        inwards = -np.sign(frame - np.divide(self.page_mm, 2))
        middle = frame + inwards * MARKER_MM / 2
        return np.asarray(middle + MARKER_MM / 2 * np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]))

    def frame_corners_mm(self) -> NDArray[np.float64]:
        """Outer corners (4, 2) of the four markers, clockwise from the upper left one."""
        half = 0.5 * np.array(self.frame_mm)
        return np.asarray(np.divide(self.page_mm, 2) + half * [[-1, 1], [1, 1], [1, -1], [-1, -1]])


# ISO 216, and ANSI/ASME Y14.1 for Letter. Printers leave up to 6 mm of a sheet white, some 13 mm at its end
# (common practice, no source).
SHEETS = (
    SheetLayout("a4", (210.0, 297.0), (180.0, 260.0), (40, 41, 42, 43)),
    SheetLayout("letter", (215.9, 279.4), (184.0, 248.0), (44, 45, 46, 47)),
)
