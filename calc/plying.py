"""Plying: what several yarns twisted together weigh, how long they come out, and how much twist balances.

A plied yarn is as heavy for its length as its singles together, times the length of singles that went into
it: tex = sum of tex / length share, where the length share is length of plied yarn over length of singles.
"Contraction" is used in books for the share that is lost (0.10) and for the lengthened count (x 1.10): a
two-fold 16s with 10 % asks for singles of 2 x 16 / 0.9 = 35.56 by the first and 2 x 16 x 1.1 = 35.2 by the
second. Here the length share says which is meant: 0.9, or 1 / 1.1.
"""

from collections.abc import Iterable

from .quantity import Quantity
from .yarn_facts import BALANCED_SHARE, PLIED_LENGTH_SHARE


def plied_tex(singles_tex: Iterable[Quantity], length_share: Quantity = 1.0) -> Quantity:
    """Give the tex of yarns twisted together.

    Parameters
    ----------
    singles_tex : iterable of Quantity
        One for each ply.
    length_share : Quantity
        Length of the plied yarn over that of its singles.

    Examples
    --------
    >>> plied_tex([20.0, 20.0, 30.0])
    70.0
    """
    total: Quantity = 0.0
    for tex in singles_tex:
        total = total + tex
    return total / length_share


def singles_tex(plied_tex: Quantity, plies: int, length_share: Quantity = PLIED_LENGTH_SHARE) -> Quantity:
    """Give the tex of each of several like singles for a wished plied yarn."""
    return plied_tex * (length_share if plies > 1 else 1.0) / plies


def singles_length(
    plied_length: Quantity, plies: int, length_share: Quantity = PLIED_LENGTH_SHARE
) -> Quantity:
    """Give the length of singles, all plies together, that a length of plied yarn takes."""
    return plied_length * plies / (length_share if plies > 1 else 1.0)


def balanced_ply_twist(singles_twist: Quantity) -> Quantity:
    """Give the twist, put in the other way, of a plied yarn that hangs straight; in the singles' unit."""
    return singles_twist * BALANCED_SHARE


def singles_twist_from_ply_back(ply_back_twist: Quantity) -> Quantity:
    """Tell the singles' twist from a sample that was let fold back on itself.

    The sample takes the twist that balances it, so this is the inverse of :func:`balanced_ply_twist`.
    """
    return ply_back_twist / BALANCED_SHARE
