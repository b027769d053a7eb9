"""The option ``--reference``: what of known size lies in the picture."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from uncertainties import UFloat

from ...vision.references import REFERENCE_KINDS, ReferenceRequest
from ...vision.references.coins import DIAMETERS_MM, coin_diameter_mm
from ...vision.references.sheet_layout import CHECK_LINE_MM
from ..trouble import WrongUsageError
from .numbers import COIN_HALF_WIDTH_MM, DISTANCE_HALF_WIDTH_MM, length_mm
from .points import Point, finite_numbers

OPTION: Final = "--reference"
KINDS_BY_NAME: Final = frozenset(name for name, kind in REFERENCE_KINDS.items() if not kind.needs_length)
#: Things at whose corners the spinner may point.
WITH_CORNERS: Final = frozenset(("card", "a4", "a5", "letter"))
#: Kinds that scripts may already name, but that this version cannot measure from.
#: A sheet printed to fit a page comes out up to a tenth too small; other scales were not printed from ours.
MOST_ENLARGED: Final = 0.25
EXPECTED: Final = (
    "auto, none, card, a4, a5, letter, rule, coin=EUR-2, sheet, sheet=199.5mm, marker=60mm or "
    "points=X1,Y1,X2,Y2,300mm"
)


@dataclass(frozen=True, slots=True)
class GivenReferences:
    """References to look for; none named means all kinds that can be found without being told."""

    requests: tuple[ReferenceRequest, ...] = ()
    without: bool = False


def references(texts: Sequence[str]) -> GivenReferences:
    """Read all ``--reference`` options together.

    Raises
    ------
    WrongUsageError
        If one is not known, not usable yet, or contradicts another.
    """
    alone = {"auto", "none"} & set(texts)
    if alone and len(set(texts)) > 1:
        name = min(alone)
        raise WrongUsageError(f"{OPTION} {name} stands with other references; give it alone or leave it out.")
    if "none" in texts:
        return GivenReferences(without=True)
    return GivenReferences(tuple(_request(text) for text in texts if text != "auto"))


def _request(text: str) -> ReferenceRequest:
    if text in KINDS_BY_NAME:
        return ReferenceRequest(text)
    kind, at, corners = text.partition(",at=")
    if at and kind in WITH_CORNERS:
        return ReferenceRequest(kind, points_px=_corners(text, corners))
    kind, _, size = text.partition("=")
    if kind == "sheet" and size:
        return ReferenceRequest("sheet", length_mm=_check_line_mm(text, size))
    if kind == "marker" and size:
        return ReferenceRequest("marker", length_mm=_distance_mm(size, "marker=60mm"))
    if kind == "coin" and size:
        return _coin(text, size)
    if kind == "points" and size:
        return _two_points(text, size)
    raise WrongUsageError.of_option(OPTION, text, EXPECTED)


def _corners(text: str, places: str) -> tuple[Point, ...]:
    numbers = finite_numbers(places)
    if numbers is None or len(numbers) != 8:
        raise WrongUsageError.of_option(
            OPTION,
            text,
            "a card or sheet and its four corners, such as card,at=810,640,893,652,886,705,802,693",
        )
    return tuple(zip(numbers[::2], numbers[1::2], strict=True))


def _check_line_mm(text: str, size: str) -> UFloat:
    """The printed sheet's line as the spinner measured it; what is far from 200 mm was another line."""
    measured = _distance_mm(size, "sheet=199.5mm")
    if abs(measured.nominal_value / CHECK_LINE_MM - 1) > MOST_ENLARGED:
        raise WrongUsageError.of_option(
            OPTION,
            text,
            f"the measured length of the sheet's {CHECK_LINE_MM:.0f} mm line, such as sheet=199.5mm",
        )
    return measured


def _coin(text: str, size: str) -> ReferenceRequest:
    """A coin by its name or diameter, and where it is if ``,at=X,Y`` follows."""
    name, at, place = size.partition(",at=")
    middle = finite_numbers(place) if at else []
    if middle is None or len(middle) != (2 if at else 0):
        raise WrongUsageError.of_option(
            OPTION, text, "a coin and a point in its middle, such as coin=EUR-2,at=812,640"
        )
    diameter_mm = coin_diameter_mm(name)
    if diameter_mm is None and "-" in name.lstrip("+-") and name[:3].isalpha():
        raise WrongUsageError(
            f"{OPTION} coin={name} is no coin that is known here; give its diameter instead, such as "
            f"{OPTION} coin=24.26mm. Known are {', '.join(DIAMETERS_MM)}."
        )
    if diameter_mm is None:
        diameter_mm = length_mm(name, OPTION, half_width_mm=COIN_HALF_WIDTH_MM, example="coin=24.26mm")
    return ReferenceRequest("coin", diameter_mm, ((middle[0], middle[1]),) if middle else ())


def _two_points(text: str, size: str) -> ReferenceRequest:
    coordinates, _, distance = size.rpartition(",")
    numbers = finite_numbers(coordinates)
    if numbers is None or len(numbers) != 4:
        raise WrongUsageError.of_option(
            OPTION, text, "two points and the distance between them, such as points=310,420,980,431,300mm"
        )
    x1, y1, x2, y2 = numbers
    return ReferenceRequest(
        "points",
        length_mm=_distance_mm(distance, "points=310,420,980,431,300mm"),
        points_px=((x1, y1), (x2, y2)),
    )


def _distance_mm(text: str, example: str) -> UFloat:
    return length_mm(text, OPTION, half_width_mm=DISTANCE_HALF_WIDTH_MM, example=example)
