"""One name for one whirl, where pictures and clips of it were taken without naming it.

A clip cannot tell which whirl carries the band, a picture from the front cannot tell which groove of several
it is, and a picture from the side gives every groove a label of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from .parts import Drive
from .seating import Seat, seated
from .wheel import Reading

#: What a picture calls the whirl that turns the flyer in double drive.
FLYER_WHIRL: Final = "flyer whirl"


@dataclass(frozen=True, slots=True)
class NamedReadings:
    """Readings in which one whirl goes by one name.

    Attributes
    ----------
    readings : tuple of Reading
    seats : tuple of Seat
        Which groove seen from the side was taken for which whirl.
    nameless_is : str or None
        The name that the whirl without one got.
    """

    readings: tuple[Reading, ...]
    seats: tuple[Seat, ...] = ()
    nameless_is: str | None = None


def under_one_name(
    readings: Sequence[Reading], *, nameless: str, drive: Drive | None = None
) -> NamedReadings:
    """Find out which whirls of the readings are the same, and give them one name.

    Parameters
    ----------
    readings : sequence of Reading
    nameless : str
        The label of a whirl that nobody named.
    drive : str, optional
        How the wheel is driven, if it is known.

    Returns
    -------
    NamedReadings
        The whirl without a name is that of the flyer in double drive, because a clip counts the flyer; else
        the only groove seen from the side whose size fits. Where neither can be told it keeps its label.
    """
    labels = _labels(readings)
    if nameless in labels and FLYER_WHIRL in labels and drive in (None, "double"):
        known, seats = seated(_renamed(readings, nameless, FLYER_WHIRL))
        return NamedReadings(known, seats, FLYER_WHIRL)
    known, seats = seated(readings)
    grooves = {seat.groove for seat in seats if seat.whirl == nameless}
    if len(grooves) != 1 or (name := grooves.pop()) in _labels(known):
        return NamedReadings(known, seats)
    return NamedReadings(_renamed(known, nameless, name), seats, name)


def _labels(readings: Sequence[Reading]) -> set[str]:
    return {d.part for reading in readings for d in reading.values if not d.in_head}


def _renamed(readings: Sequence[Reading], old: str, new: str) -> tuple[Reading, ...]:
    return tuple(reading.renamed(old, new) for reading in readings)
