"""What is kept of a session at the wheel, and how it is reckoned with again."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat, ufloat

from ...calc.interval import COVERAGE_FACTOR_95
from ...calc.rhythm import Session
from ...vision.turning.rhythm import FEWEST_TURNS
from ...vision.turning.turn_times import turn_times
from .checks import DamagedError, an_object, finite, of_type
from .entries import KeptSession

#: No turn of a wheel takes longer.
LONGEST_TURN_S = 3600.0


def told_of(document: Mapping[str, Any]) -> dict[str, Any]:
    """Take from a session's document what is kept: all but the file's name, which is kept beside it."""
    return {key: value for key, value in document.items() if key != "file"}


def check_told(told: dict[str, Any], where: str) -> None:
    """Check what stands in a file as told of a session.

    Raises
    ------
    DamagedError
        If the turns' times, or the swing within the turn, cannot be.
    """
    if told.get("rhythm") is None:
        return
    rhythm = an_object(told["rhythm"], where, "session")
    _turn_times(rhythm, where)
    _swing(rhythm, where)


def session_of_kept(kept: KeptSession) -> Session | None:
    """Give a kept session as the one that is reckoned with; None where it tells no rhythm."""
    if kept.told.get("rhythm") is None:
        return None
    rhythm = an_object(kept.told["rhythm"], kept.id, "session")
    turn_s = _turn_times(rhythm, kept.id)
    turns = turn_times(turn_s)
    sampling = turns.usual_spread / (2 * turns.freedom) ** 0.5
    return Session(
        name=f"{kept.file} ({kept.id})",
        turn_times_s=tuple(turn_s.tolist()),
        cv_percent=ufloat(100 * turns.spread, 100 * sampling),
        usual_cv_percent=100 * turns.usual_spread,
        freedom=turns.freedom,
        usual_turn_s=turns.mean_s,
        within_turn_percent=_swing(rhythm, kept.id),
    )


def _turn_times(rhythm: dict[str, Any], where: str) -> NDArray[np.float64]:
    times_s = [finite(each, where) for each in of_type(rhythm, "turn_times_s", list, where)]
    if len(times_s) < FEWEST_TURNS or not all(0 < each < LONGEST_TURN_S for each in times_s):
        raise DamagedError(f"{where} holds times of turns that cannot be")
    return np.array(times_s)


def _swing(rhythm: dict[str, Any], where: str) -> UFloat | None:
    if rhythm.get("within_turn_percent") is None:
        return None
    number = an_object(rhythm["within_turn_percent"], where, "session")
    value, low, high = (finite(number.get(key), where) for key in ("value", "low", "high"))
    if not low <= value <= high:
        raise DamagedError(f"{where} holds a number outside its interval")
    return ufloat(value, (high - low) / 2 / COVERAGE_FACTOR_95)
