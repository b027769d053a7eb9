"""What was measured, as a wheel's file takes it: kept beside the answer until it is wanted."""

from collections.abc import Mapping
from pathlib import Path

from ....calc.wheel import reading_of
from ...keep.adding import how_measured
from ...keep.entries import KeptReading, KeptSession
from ...keep.entries_text import reading_document, session_document
from ...keep.facts import sha256_of, taken
from ...keep.numbers import Numbers
from ..worker import Json


def reading_to_keep(
    kind: str, medium: Mapping[str, str], numbers: Numbers, given: Mapping[str, object]
) -> Json | None:
    """Give a picture's or clip's reading; None where nothing trustworthy was measured."""
    reading = reading_of("new", numbers)
    if not reading.values:
        return None
    file = Path(medium["file"])
    how = how_measured({name: value for name, value in given.items() if value})
    return reading_document(KeptReading(kind, medium["name"], sha256_of(file), *taken(file), how, reading))


def session_to_keep(medium: Mapping[str, str], told: Json, given: Mapping[str, object]) -> Json:
    """Give a sitting at the wheel."""
    file = Path(medium["file"])
    how = how_measured({name: value for name, value in given.items() if value})
    return session_document(KeptSession("new", medium["name"], sha256_of(file), *taken(file), how, told))
