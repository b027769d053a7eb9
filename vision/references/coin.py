"""A round coin or disc of known diameter that lies flat on the wheel.

Seen squarely, in the wheel's plane, it is a circle. There are many: the hub, knobs, plates on a wall behind.
So it must lie within the rim and off the hub, have a size that fits a wheel, and show a clean edge all round;
if several things do, none is taken and the spinner is asked to point at it.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from ..errors import WrongHintError
from ..find.round_outline import RoundOutline, round_outline
from ..find.round_parts import SquareView, square_view
from ..geometry.camera import Points
from ..geometry.plane import BandPlane
from ..measured import NotMeasured
from ..open.picture import Picture
from .found import CircleOutline, FoundReference, ReferenceKind, ReferenceRequest, Surroundings
from .rectangle import WHEEL_RADII_MM

#: It lies so far from the hub, in rim radii.
NEAREST, FURTHEST = 0.3, 1.06
#: The smallest coin's radius in the view in which it is searched, and the view's largest side, in pixels.
SEARCH_RADIUS_PX, LARGEST_VIEW_PX = 11.0, 2200.0
#: The search for circles (OpenCV's gradient method): edge strength, how perfect a circle must be, how many.
EDGE_STRENGTH, PERFECT, CANDIDATES = 150.0, 0.6, 16
#: It is looked at closely with this radius in pixels at the most, over so many radii.
CLOSE_RADIUS_PX, CLOSE_RADII = 140.0, 2.2
#: Seen squarely it is as round as this (short axis / long axis), and its edge shows this far round.
ROUND, LEAST_ARC = 0.93, 0.7
#: Another one nearly as clear whose size differs by more than this leaves it open.
NEARLY_AS_CLEAR, SAME_SIZE = 0.85, 0.05
#: Without a click it must be seen so clearly: in pictures with known truth, a true coin has 0.95, most
#: other round things on a wheel 0.7 and less.
LEAST_CLARITY = 0.8
#: Places so far (in mean radii) from a rough middle are tried too, unless an edge is so clear at once.
ASIDE, ASIDE_PLACES, CLEAR_AT_ONCE = 0.45, 6, 0.9
#: Points of the edge err together; the least that they do.
EDGE_CORRELATION, LEAST_SCATTER_PX = 2.0, 0.3
OUTLINE_POINTS = 36

POINT_AT_IT = "Point at its middle: --reference coin=24.26mm,at=X,Y, in pixels of the upright picture."
SEVERAL = NotMeasured(
    "Several round things of different sizes may be the coin, so none is used.", POINT_AT_IT
)
NO_COIN = NotMeasured("No coin was found on the wheel: no clean round edge of a likely size.", POINT_AT_IT)


@dataclass(frozen=True, slots=True)
class _Seen:
    """A round edge as it lies in the plane, how clearly it is seen, and where it is in the picture."""

    radius: float
    clarity: float
    outline: RoundOutline
    view: SquareView


def find_coin(
    picture: Picture, surroundings: Surroundings, request: ReferenceRequest
) -> list[FoundReference | NotMeasured]:
    """The coin, if only one round thing can be it; or why there is none."""
    if request.length_mm is None:
        raise WrongHintError("A coin needs its diameter: give it as coin=24.26mm or coin=EUR-2, for example.")
    diameter_mm = request.length_mm.nominal_value
    radii = tuple(surroundings.rim_radius_mm * 0.5 * diameter_mm / r for r in reversed(WHEEL_RADII_MM))
    seen = _round_things(picture, surroundings, (radii[0], radii[1]), request.points_px)
    if not seen or (not request.points_px and seen[0].clarity < LEAST_CLARITY):
        return [NO_COIN]
    best = seen[0]
    rivals = (s for s in seen[1:] if abs(s.radius / best.radius - 1) > SAME_SIZE)
    if not request.points_px and any(s.clarity > NEARLY_AS_CLEAR * best.clarity for s in rivals):
        return [SEVERAL]
    return [_as_found(best, surroundings.plane, request)]


def _round_things(
    picture: Picture,
    surroundings: Surroundings,
    radii: tuple[float, float],
    at_px: tuple[tuple[float, float], ...],
) -> list[_Seen]:
    """All clean circles of a size in the range, where a coin may lie or where the spinner points."""
    plane, rim_radius = surroundings.plane, surroundings.rim_radius_mm
    if at_px:
        if not picture.contains(at_px[0]):
            raise WrongHintError(
                f"The coin's middle {at_px[0][0]:g},{at_px[0][1]:g} lies outside the picture, which is "
                f"{picture.width_px} x {picture.height_px} pixels. Point at a place inside it."
            )
        middles = plane.plane_from_pixels(np.array(at_px))
    else:
        middles = _circle_middles(picture, surroundings, radii)
    seen = [s for middle in middles if (s := _looked_at(picture, plane, middle, radii)) is not None]
    distinct: list[_Seen] = []
    for one in sorted(seen, key=lambda s: -s.clarity):
        middle = one.view.plane_from_view(one.outline.ellipse.centre_px[None])[0]
        away = float(np.hypot(*middle)) / rim_radius
        taken = any(
            np.hypot(*(middle - o.view.plane_from_view(o.outline.ellipse.centre_px[None])[0]))
            < 0.5 * o.radius
            for o in distinct
        )
        if not taken and (at_px or NEAREST < away < FURTHEST):
            distinct.append(one)
    return distinct


def _circle_middles(picture: Picture, surroundings: Surroundings, radii: tuple[float, float]) -> Points:
    """Middles (n, 2) in the plane of what looks like a circle of a size in the range."""
    plane, half = surroundings.plane, (FURTHEST + 0.1) * surroundings.rim_radius_mm
    native = plane.px_per_mm((0.0, 0.0))
    px_per_mm = min(native, max(SEARCH_RADIUS_PX / radii[0], 0.0), LARGEST_VIEW_PX / (2 * half))
    view = square_view(picture.bgr, plane, np.zeros(2), half, px_per_mm)
    grey = np.clip(view.lab[..., 0], 0, 255).astype(np.uint8)
    smallest, largest = (radius * px_per_mm for radius in radii)
    circles = cv2.HoughCircles(
        cv2.GaussianBlur(grey, (0, 0), 1.0),
        cv2.HOUGH_GRADIENT_ALT,
        1.5,
        smallest,
        param1=EDGE_STRENGTH,
        param2=PERFECT,
        minRadius=int(0.95 * smallest),
        maxRadius=int(np.ceil(1.05 * largest)),
    )
    if circles is None:
        return np.zeros((0, 2))
    return view.plane_from_view(
        np.asarray(circles, dtype=float).reshape(-1, circles.shape[-1])[:CANDIDATES, :2]
    )


def _looked_at(
    picture: Picture, plane: BandPlane, middle: Points, radii: tuple[float, float]
) -> _Seen | None:
    """The clearest round edge about a rough middle (2,) of the plane; None if there is none.

    A coin and its shadow together look like a circle beside the coin, so places all round are tried too.
    """
    turn = np.linspace(0, 2 * np.pi, ASIDE_PLACES, endpoint=False)
    aside = ASIDE * float(np.mean(radii)) * np.column_stack([np.cos(turn), np.sin(turn)])
    first = _looked_at_once(picture, plane, middle, radii)
    if first is not None and first.clarity > CLEAR_AT_ONCE:
        return first
    others = [_looked_at_once(picture, plane, middle + step, radii) for step in aside]
    return max((one for one in (first, *others) if one is not None), key=_clarity, default=None)


def _clarity(seen: _Seen) -> float:
    return seen.clarity


def _looked_at_once(
    picture: Picture, plane: BandPlane, middle: Points, radii: tuple[float, float]
) -> _Seen | None:
    """The round edge about a middle (2,), looked at squarely and closely; None if it is none."""
    native = plane.px_per_mm((float(middle[0]), float(middle[1])))
    px_per_mm = min(native, CLOSE_RADIUS_PX / radii[1])
    view = square_view(picture.bgr, plane, middle, CLOSE_RADII * radii[1], px_per_mm)
    centre_px = np.full(2, (view.lab.shape[0] - 1) / 2)
    outline = round_outline(view.lab, centre_px, (radii[0] * px_per_mm, radii[1] * px_per_mm))
    if outline is None or outline.arc < LEAST_ARC:
        return None
    short_px, long_px = sorted((outline.ellipse.semi_a_px, outline.ellipse.semi_b_px))
    if short_px < ROUND * long_px:
        return None
    return _Seen(outline.ellipse.mean_radius_px / px_per_mm, outline.clarity, outline, view)


def _as_found(seen: _Seen, plane: BandPlane, request: ReferenceRequest) -> FoundReference:
    assert request.length_mm is not None
    view, ellipse = seen.view, seen.outline.ellipse
    ends = ellipse.centre_px + ellipse.mean_radius_px * np.array([[-1.0, 0.0], [1.0, 0.0]])
    diameter_px = seen.outline.diameter_px
    shares = (
        request.length_mm.std_dev / request.length_mm.nominal_value,
        diameter_px.std_dev / diameter_px.nominal_value,
    )

    def in_picture(view_px: Points) -> Points:
        return plane.pixels_from_plane(view.plane_from_view(view_px))

    px_per_view_px = plane.px_per_mm_at(view.plane_from_view(ellipse.centre_px[None]))[0] / view.px_per_mm
    scatter_px = max(seen.outline.scatter_px * px_per_view_px, LEAST_SCATTER_PX)
    return FoundReference(
        "coin",
        in_picture(ends),
        request.length_mm.nominal_value,
        0.0,
        float(np.hypot(*shares)),
        EDGE_CORRELATION * scatter_px,
        outlined=seen.outline.arc,
        certain=bool(request.points_px),
        circle=CircleOutline(
            in_picture(seen.outline.points_px), in_picture(ellipse.outline(OUTLINE_POINTS)[0])
        ),
    )


COIN = ReferenceKind("coin", find_coin, needs_length=True)
