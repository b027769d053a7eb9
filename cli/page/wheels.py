"""The wheels that are kept: each in a folder of its own, named by chance.

::

    FOLDER/wheels/ID/wheel.json     the wheel's file, as commands know it; it comes with the first reading
    FOLDER/wheels/ID/about.json     its name, and when it was begun
    FOLDER/wheels/ID/media/ID       an empty file for each picture or clip whose reading was added
    FOLDER/wheels/ID/report.html    the report that was written last
    FOLDER/deleted-wheels/ID/       deleted, and gone for good a day later

An id from outside is compared with the pattern of ids and never used as a path otherwise.
"""

import json
import os
import secrets
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from .media import ABOUT, ID, forget_old, printable

WHEEL: Final = "wheel.json"
REPORT: Final = "report.html"
MEDIA: Final = "media"


@dataclass(frozen=True, slots=True)
class Wheel:
    """A wheel that is kept, by its id and name."""

    id: str
    folder: Path
    name: str
    begun_s: float

    @property
    def file(self) -> Path:
        """The wheel's file; it comes with the first reading."""
        return self.folder / WHEEL

    @property
    def report(self) -> Path:
        """The report that was written last; it may not be there."""
        return self.folder / REPORT

    @property
    def media_ids(self) -> list[str]:
        """Ids of pictures and clips whose readings were added."""
        folder = self.folder / MEDIA
        return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []


class Wheels:
    """All wheels in the user's folder."""

    def __init__(self, folder: Path) -> None:
        self._kept, self._deleted = folder / "wheels", folder / "deleted-wheels"

    def begin(self, name: str) -> Wheel:
        """Keep a new wheel under a name."""
        self._kept.mkdir(parents=True, exist_ok=True, mode=0o700)
        about: dict[str, Any] = {"name": printable(name), "begun_s": time.time()}
        wheel_id = secrets.token_hex(8)
        # Made whole beside the others, so that nobody sees half of it; its name is no id.
        making = Path(tempfile.mkdtemp(dir=self._kept, prefix="making-"))
        (making / ABOUT).write_text(json.dumps(about), encoding="utf-8")
        making.rename(self._kept / wheel_id)
        return Wheel(wheel_id, self._kept / wheel_id, **about)

    def get(self, wheel_id: str) -> Wheel | None:
        """Find what has an id."""
        return _wheel_in(self._kept / wheel_id) if ID.fullmatch(wheel_id) else None

    def all(self) -> list[Wheel]:
        """Give all wheels, the newest first."""
        return _wheels_in(self._kept)

    def deleted(self) -> list[Wheel]:
        """Give all that can be brought back still, the newest first."""
        if self._deleted.is_dir():
            forget_old(self._deleted)
        return _wheels_in(self._deleted)

    def forget_reports_of(self, medium_id: str) -> None:
        """Delete the reports that may show a picture or clip, which is deleted; they can be written anew."""
        for wheel in self.all():
            if medium_id in wheel.media_ids:
                wheel.report.unlink(missing_ok=True)

    def delete(self, wheel_id: str) -> bool:
        """Put a wheel aside; :meth:`restore` brings it back for a day at least."""
        self._deleted.mkdir(parents=True, exist_ok=True, mode=0o700)
        forget_old(self._deleted)
        return _move(wheel_id, self._kept, self._deleted)

    def restore(self, wheel_id: str) -> bool:
        """Bring back what was deleted."""
        return _move(wheel_id, self._deleted, self._kept)


def _wheel_in(folder: Path) -> Wheel | None:
    try:
        return Wheel(folder.name, folder, **json.loads((folder / ABOUT).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None


def _wheels_in(folder: Path) -> list[Wheel]:
    """Give the wheels in a folder, the newest first; none if there is no folder yet."""
    if not folder.is_dir():
        return []
    found = [_wheel_in(each) for each in folder.iterdir() if ID.fullmatch(each.name)]
    return sorted((each for each in found if each), key=lambda each: -each.begun_s)


def _move(wheel_id: str, here: Path, there: Path) -> bool:
    if not ID.fullmatch(wheel_id) or not (here / wheel_id).is_dir():
        return False
    os.utime(here / wheel_id)
    (here / wheel_id).rename(there / wheel_id)
    return True
