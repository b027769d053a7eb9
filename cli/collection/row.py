"""One picture of a collection, and the row of the table that it makes."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ...calc.interval import Interval, interval_95, reciprocal_interval_95
from ...vision.errors import UnreadableFileError, WrongHintError
from ...vision.measured import NotMeasured, Outcome
from ...vision.photo import PhotoSettings, measure_photo
from ...vision.photo_reading import PhotoReading, WheelReading
from ..show.as_json import photo_document
from ..show.csv_text import Cell, interval_cells

NUMBERS: Final = (
    "ratio",
    "bobbin_ratio",
    "rim_mm",
    "wheel_pitch_mm",
    "whirl_pitch_mm",
    "centre_distance_mm",
)
#: Columns of the table; those of a number stand thrice, with the ends of its 95 % interval.
COLUMNS: Final = (
    "file",
    "wheel",
    "outcome",
    *(name + end for name in NUMBERS for end in ("", "_low", "_high")),
    "drive",
    "scale_from",
    "remarks",
    "measured_with",
    "sha256",
)

MEASURED: Final = "measured"
NOTHING: Final = "nothing trustworthy"
UNREADABLE: Final = "unreadable"
FAILED: Final = "failed"
#: Outcomes that would come out the same again.
FINISHED: Final = frozenset({MEASURED, NOTHING, UNREADABLE})


@dataclass(frozen=True, slots=True)
class Task:
    """A picture to measure.

    Attributes
    ----------
    path : Path
    name : str
        How the table calls it: its path within the folder.
    wheel : str
        Which wheel it shows: the folder that it lies in, or its own name where it lies in none.
    sha256 : str
        Its checksum.
    settings : PhotoSettings
    measured_with : str
        Options and version of the program, by which a row is known to be up to date.
    """

    path: Path
    name: str
    wheel: str
    sha256: str
    settings: PhotoSettings
    measured_with: str


Row = Mapping[str, Cell]


def measured_row(task: Task) -> Row:
    """Measure a picture; whatever goes wrong with it is told in its row."""
    try:
        reading = measure_photo(task.path, task.settings)
        return row_of(task, _outcome(reading), _remarks(reading), _numbers(reading))
    except (UnreadableFileError, WrongHintError) as problem:
        return row_of(task, UNREADABLE, str(problem))
    except Exception as problem:
        # A fault of the program's own in one picture must not cost the others of the store.
        return failed_row(task, f"{type(problem).__name__}: {problem}")


def failed_row(task: Task, why: str) -> Row:
    """Give the row of a picture whose measurement broke off."""
    return row_of(task, FAILED, f"The program failed on this picture ({why}); it is tried again next time.")


def row_of(task: Task, outcome: str, remarks: str, numbers: Mapping[str, Cell] | None = None) -> Row:
    """Put a row together."""
    return {
        "file": task.name,
        "wheel": task.wheel,
        "outcome": outcome,
        **(numbers or {}),
        "remarks": remarks,
        "measured_with": task.measured_with,
        "sha256": task.sha256,
    }


def _outcome(reading: PhotoReading) -> str:
    sized = isinstance(reading.wheel, WheelReading) and not isinstance(reading.wheel.outer_mm, NotMeasured)
    return MEASURED if reading.whirls or sized else NOTHING


def _remarks(reading: PhotoReading) -> str:
    return " ".join(photo_document(reading)["remarks"])


def _numbers(reading: PhotoReading) -> dict[str, Cell]:
    wheel = reading.wheel if isinstance(reading.wheel, WheelReading) else None
    first, bobbin = ([*reading.whirls, None, None])[:2]
    found = {
        "ratio": reciprocal_interval_95(first.pitch_per_wheel_pitch) if first else None,
        "bobbin_ratio": reciprocal_interval_95(bobbin.pitch_per_wheel_pitch) if bobbin else None,
        "rim_mm": _interval(wheel.outer_mm) if wheel else None,
        "wheel_pitch_mm": _interval(wheel.pitch_mm) if wheel else None,
        "whirl_pitch_mm": _interval(first.pitch_mm) if first else None,
        "centre_distance_mm": _interval(reading.centre_distance_mm),
    }
    cells = [interval_cells(name, interval) for name, interval in found.items()]
    return {
        **{name: cell for each in cells for name, cell in each.items()},
        "drive": reading.drive if isinstance(reading.drive, str) else None,
        "scale_from": ", ".join(reference.kind for reference in reading.references),
    }


def _interval(outcome: Outcome) -> Interval | None:
    return None if isinstance(outcome, NotMeasured) else interval_95(outcome)
