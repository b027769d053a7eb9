"""A measured rhythm as the session that is reckoned with."""

from ...calc.rhythm import Session
from ...vision.measured import NotMeasured
from ...vision.turning.rhythm import Rhythm


def session_of(name: str, rhythm: Rhythm) -> Session:
    """Give what the reckoning takes of a rhythm."""
    swing = rhythm.within_turn_percent
    return Session(
        name=name,
        turn_times_s=rhythm.turn_times_s,
        cv_percent=rhythm.cv_percent,
        usual_cv_percent=rhythm.usual_cv_percent,
        freedom=rhythm.freedom,
        usual_turn_s=rhythm.usual_turn_s,
        within_turn_percent=None if isinstance(swing, NotMeasured) else swing,
    )
