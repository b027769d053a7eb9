"""The option ``--reference``: what of known size lies in the picture."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from uncertainties import UFloat

from ...vision.references import REFERENCE_KINDS, ReferenceRequest
from ...vision.references.sheet_layout import CHECK_LINE_MM
from ..trouble import WrongUsageError
from .numbers import DISTANCE_HALF_WIDTH_MM, length_mm
from .points import finite_numbers

OPTION: Final = "--reference"
KINDS_BY_NAME: Final = frozenset(name for name, kind in REFERENCE_KINDS.items() if not kind.needs_length)
#: Kinds that scripts may already name, but that this version cannot measure from.
KINDS_NOT_YET: Final = {"rule": "a rule", "coin": "a coin"}
#: A sheet printed to fit a page comes out up to a tenth too small; other scales were not printed from ours.
MOST_ENLARGED: Final = 0.25
EXPECTED: Final = (
    "auto, none, card, a4, a5, letter, sheet, sheet=199.5mm, marker=60mm or points=X1,Y1,X2,Y2,300mm"
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
    kind, _, size = text.partition("=")
    if kind in KINDS_NOT_YET:
        raise WrongUsageError(
            f"This version cannot use {KINDS_NOT_YET[kind]} ({OPTION} {text}) yet; lay a bank card in the "
            f"plane of the wheel and give {OPTION} card, or give {OPTION} none for the ratio alone."
        )
    if text in KINDS_BY_NAME:
        return ReferenceRequest(text)
    if kind == "sheet" and size:
        return ReferenceRequest("sheet", length_mm=_check_line_mm(text, size))
    if kind == "marker" and size:
        return ReferenceRequest("marker", length_mm=_distance_mm(size, "marker=60mm"))
    if kind == "points" and size:
        return _two_points(text, size)
    raise WrongUsageError.of_option(OPTION, text, EXPECTED)


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
