"""Clicks and rates as people type them."""

import math

from ..trouble import WrongUsageError

Point = tuple[float, float]


def point_px(text: str, option: str) -> Point:
    """Read a click such as ``812,640``: x and y in pixels of the upright picture.

    Raises
    ------
    WrongUsageError
        If it is not two numbers.
    """
    numbers = finite_numbers(text)
    if numbers is None or len(numbers) != 2:
        raise WrongUsageError.of_option(
            option, text, "a point X,Y in pixels of the upright picture, such as 812,640"
        )
    return numbers[0], numbers[1]


def finite_numbers(text: str) -> list[float] | None:
    """Read numbers with commas between them; nothing where one is none."""
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError:
        return None
    return numbers if all(map(math.isfinite, numbers)) else None
