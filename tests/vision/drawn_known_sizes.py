"""Things of known size that lie in a plane parallel to the band's: card, marker, sheet. Lengths in mm."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from tests.vision.drawn_canvas import Colour, Face
from tests.vision.drawn_pictures import Points
from tests.vision.drawn_scenes import CARD_MM, unit
from tests.vision.drawn_solids import Lamp, Stuff, flat

PAPER: Colour = (232.0, 236.0, 236.0)
INK: Colour = (28.0, 27.0, 26.0)
BRASS: Colour = (96.0, 168.0, 196.0)
#: ISO 216; corners of a card are rounded by 3.18 mm in ISO/IEC 7810.
A4_MM = (210.0, 297.0)
CARD_CORNER_MM = 3.18


@dataclass(frozen=True, slots=True)
class KnownSize:
    """A card, an A4 sheet or a marker of DICT_4X4_50: its middle, turn, height and the side of a marker."""

    kind: str
    middle: tuple[float, float]
    turn: float
    height: float
    colour: Colour
    side: float = 0.0
    number: int = 0

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of what is measured."""
        return {"card": CARD_MM, "a4": A4_MM}.get(self.kind, (self.side, self.side))

    def corners(self) -> Points:
        """Corners (4, 3): top left, top right, bottom right, bottom left of the thing itself."""
        half = 0.5 * np.array(self.size)
        return self._placed(half * np.array([[-1.0, 1.0], [1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]]))

    def outline(self) -> Points:
        """All that it hides, (n, 3); a marker has a white edge."""
        wide, high = np.array(self.size) * (1.35 if self.kind == "marker" else 1.0)
        return self._placed(rounded(wide, high, CARD_CORNER_MM if self.kind == "card" else 0.05))

    def faces(self, lamp: Lamp) -> Iterator[Face]:
        """The thing and what is printed on it."""
        yield self._face(lamp, 0, self.colour, self.outline())
        if self.kind == "card":
            for colour, middle, wide, high in (
                (BRASS, (-24.0, 4.0), 11.0, 9.0),
                (PAPER, (0.0, -11.0), 62.0, 3.2),
                (PAPER, (-14.0, -20.0), 34.0, 2.6),
            ):
                yield self._face(lamp, 1, colour, self._placed(rounded(wide, high, 0.8) + np.array(middle)))
        if self.kind == "a4":
            for line in np.arange(120.0, -120.0, -9.0):
                long = 150 - 60 * abs(np.sin(line))
                print_ = rounded(long, 2.6, 0.3) + np.array([0.5 * long - 85, line])
                yield self._face(lamp, 1, (110.0, 108.0, 106.0), self._placed(print_))
        if self.kind == "marker":
            yield from self._marker(lamp)

    def _marker(self, lamp: Lamp) -> Iterator[Face]:
        yield self._face(lamp, 1, INK, self.corners())
        dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
        fields = cv2.aruco.generateImageMarker(dictionary, self.number, 6) > 128
        step = self.side / 6
        for row, column in zip(*np.nonzero(fields), strict=True):
            middle = step * np.array([column - 2.5, 2.5 - row])
            square = step * np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
            yield self._face(lamp, 2, PAPER, self._placed(square + middle))

    def _face(self, lamp: Lamp, layer: int, colour: Colour, outline: Points) -> Face:
        return Stuff(colour).face(lamp, np.array([0, 0, 1.0]), self.height + 1e-4 * layer, outline)

    def _placed(self, outline: Points) -> Points:
        axes = np.array([unit(self.turn), unit(self.turn + np.pi / 2)])
        return flat(outline @ axes + np.array(self.middle), self.height)


def rounded(wide: float, high: float, radius: float) -> Points:
    """Outline of a rectangle with rounded corners about the origin."""
    turn = np.linspace(0, np.pi / 2, 12)
    inner = 0.5 * np.array([wide, high]) - radius
    corners = [np.array(s) * inner for s in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
    return np.vstack([c + radius * unit(turn + k * np.pi / 2) for k, c in enumerate(corners)])
