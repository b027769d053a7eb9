"""Twist by counting: turns of the wheel for each draw of yarn, without any clock.

While a draw of length L is twisted by n turns of the wheel the flyer makes ratio x n turns: twist = ratio x
n / L. Drafting and cadence belong together through it, because n turns of the wheel take n / cadence minutes.
"""

from .quantity import Quantity


def twist_of_draw_per_cm(ratio: Quantity, treadles: Quantity, draw_cm: Quantity) -> Quantity:
    """Give the twist of a draw.

    Examples
    --------
    >>> twist_of_draw_per_cm(12.0, 10.0, 40.0)
    3.0
    """
    return ratio * treadles / draw_cm


def treadles_for_draw(twist_per_cm: Quantity, ratio: Quantity, draw_cm: Quantity) -> Quantity:
    """Give the turns of the wheel to count for a wished twist."""
    return twist_per_cm * draw_cm / ratio


def draw_for_treadles_cm(twist_per_cm: Quantity, ratio: Quantity, treadles: Quantity) -> Quantity:
    """Give the length to draw out for a wished twist."""
    return ratio * treadles / twist_per_cm


def ratio_for_draw(twist_per_cm: Quantity, treadles: Quantity, draw_cm: Quantity) -> Quantity:
    """Give the drive ratio that a wished twist asks for."""
    return twist_per_cm * draw_cm / treadles


def drafting_of_draws_cm_per_min(
    draw_cm: Quantity, treadles: Quantity, cadence_per_min: Quantity
) -> Quantity:
    """Give the drafting speed of one draw after the other."""
    return draw_cm * cadence_per_min / treadles
