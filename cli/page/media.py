"""The user's folder of pictures and clips: each in a folder of its own, named by chance.

::

    FOLDER/media/ID/original.jpg   the file as it came, without where it was taken
    FOLDER/media/ID/about.json     the name it had, numbered if another had it, what it is, when it came
    FOLDER/media/ID/preview.jpg    a smaller copy for the screen, made by a worker
    FOLDER/media/ID/size.json      how many pixels the picture has, known with its smaller copy
    FOLDER/media/ID/playable.mp4   a copy of a clip that browsers play, where they do not play the clip itself
    FOLDER/media/ID/reading-1.json what was measured, one file for each time
    FOLDER/media/ID/rhythm-1.json  how it was treadled, likewise
    FOLDER/deleted/ID/             deleted, or new and unreadable, and gone for good a day later
    FOLDER/arriving/               what is still on its way

An id from outside is compared with the pattern of ids and never used as a path otherwise.
"""

import json
import os
import re
import secrets
import shutil
import tempfile
import time
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any, Final

from .file_kinds import FileKind, Kind

Json = dict[str, Any]

ID: Final = re.compile(r"[0-9a-f]{16}")
ABOUT: Final = "about.json"
PREVIEW: Final = "preview.jpg"
SIZE: Final = "size.json"
PLAYABLE: Final = "playable.mp4"
READING: Final = re.compile(r"([a-z]+)-(\d+)\.json")
#: Longer names are cut; they are shown and never used as a path.
LONGEST_NAME: Final = 80
DAY_S: Final = 24 * 3600.0
NEW_S: Final = 3600.0
KEPT, DELETED = "media", "deleted"


@dataclass(frozen=True, slots=True)
class Medium:
    """A picture, clip or sound that is kept."""

    id: str
    folder: Path
    name: str
    kind: Kind
    media_type: str
    added_s: float

    @property
    def original(self) -> Path:
        """The file as it came."""
        return next(self.folder.glob("original.*"))

    @property
    def preview(self) -> Path:
        """The smaller copy; it may not be there yet."""
        return self.folder / PREVIEW

    @property
    def size_px(self) -> list[int] | None:
        """Width and height of the upright picture, as soon as a worker has looked at it."""
        try:
            told: list[int] = json.loads((self.folder / SIZE).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None
        return told

    @property
    def playable(self) -> Path:
        """What a browser plays: a copy, where there is one."""
        copy = self.folder / PLAYABLE
        return copy if copy.exists() else self.original

    def readings(self, kind: str = "reading") -> list[Json]:
        """Give everything of a kind that was measured of it, the oldest first."""
        found = [
            (int(match[2]), path)
            for path in self.folder.iterdir()
            if (match := READING.fullmatch(path.name)) and match[1] == kind
        ]
        return [
            {"number": number, **json.loads(path.read_text(encoding="utf-8"))}
            for number, path in sorted(found)
        ]


class Media:
    """All that is kept."""

    def __init__(self, folder: Path) -> None:
        self._kept, self._deleted = folder / KEPT, folder / DELETED
        self._arriving = folder / "arriving"
        for each in (folder, self._kept, self._deleted, self._arriving):
            each.mkdir(parents=True, exist_ok=True, mode=0o700)
        forget_old(self._deleted)
        forget_old(self._arriving)

    def arriving(self) -> Path:
        """Make an empty file for something that comes in; it counts once :meth:`keep` was told."""
        handle, path = tempfile.mkstemp(dir=self._arriving)
        os.close(handle)
        return Path(path)

    def keep(self, arrived: Path, name: str, kind: FileKind) -> Medium:
        """Take in a file that has come whole."""
        medium_id = secrets.token_hex(8)
        # What is deleted may be brought back.
        taken = {medium.name for medium in (*self.all(), *self.deleted())}
        about: Json = {
            "name": name_of_its_own(shown_name(name), taken),
            "kind": kind.kind,
            "media_type": kind.media_type,
            "added_s": time.time(),
        }
        # Made whole beside the others and moved among them at once, so that nobody sees half of it.
        making = Path(tempfile.mkdtemp(dir=self._arriving))
        arrived.rename(making / f"original{kind.ending}")
        (making / ABOUT).write_text(json.dumps(about), encoding="utf-8")
        making.rename(self._kept / medium_id)
        return Medium(medium_id, self._kept / medium_id, **about)

    def get(self, medium_id: str) -> Medium | None:
        """Find what has an id."""
        return _medium_in(self._kept / medium_id) if ID.fullmatch(medium_id) else None

    def all(self) -> list[Medium]:
        """Give all that is kept, the newest first."""
        return _media_in(self._kept)

    def deleted(self) -> list[Medium]:
        """Give all that can be brought back still, the newest first."""
        forget_old(self._deleted)
        return _media_in(self._deleted)

    def delete(self, medium_id: str) -> bool:
        """Put something aside; :meth:`restore` brings it back for a day at least."""
        return self._move(medium_id, self._kept, self._deleted)

    def restore(self, medium_id: str) -> bool:
        """Bring back what was deleted."""
        return self._move(medium_id, self._deleted, self._kept)

    @staticmethod
    def _move(medium_id: str, here: Path, there: Path) -> bool:
        if not ID.fullmatch(medium_id) or not (here / medium_id).is_dir():
            return False
        os.utime(here / medium_id)
        (here / medium_id).rename(there / medium_id)
        return True


def _medium_in(folder: Path) -> Medium | None:
    try:
        about = json.loads((folder / ABOUT).read_text(encoding="utf-8"))
        return Medium(folder.name, folder, **about)
    except (OSError, ValueError, TypeError):
        return None


def _media_in(folder: Path) -> list[Medium]:
    """Give what lies in a folder, the newest first."""
    found = [_medium_in(each) for each in folder.iterdir() if ID.fullmatch(each.name)]
    return sorted((each for each in found if each), key=lambda each: -each.added_s)


def put_aside_if_new(folder: Path) -> bool:
    """Put aside a picture or clip that cannot be read, as if it were deleted.

    It must have come within the last hour, and nothing must have been measured of it yet: what was read once,
    or has been kept for long, may be readable again another time.
    """
    medium = _medium_in(folder) if folder.parent.name == KEPT else None
    if medium is None or time.time() - medium.added_s > NEW_S:
        return False
    if any(READING.fullmatch(each.name) for each in folder.iterdir()):
        return False
    os.utime(folder)
    folder.rename(folder.parents[1] / DELETED / folder.name)
    return True


def forget_old(folder: Path) -> None:
    """Delete for good what was put here more than a day ago."""
    for each in folder.iterdir():
        if each.stat().st_mtime < time.time() - DAY_S:
            shutil.rmtree(each) if each.is_dir() else each.unlink()


def shown_name(name: str) -> str:
    r"""Make of a file's name what can be shown: the last part, without signs that are not seen.

    Examples
    --------
    >>> shown_name("C:\\pictures\\wheel.jpg"), shown_name("../../etc/wheel\n.jpg"), shown_name("")
    ('wheel.jpg', 'wheel.jpg', 'without a name')
    """
    return printable(re.split(r"[/\\]", name)[-1])


def name_of_its_own(name: str, taken: Collection[str]) -> str:
    """Tell a file from others of its name: a phone may call every picture and clip the same.

    Examples
    --------
    >>> name_of_its_own("image.jpg", {"image.jpg", "image (2).jpg"}), name_of_its_own("wheel", {"wheel"})
    ('image (3).jpg', 'wheel (2)')
    """
    stem, point, ending = name.rpartition(".")
    if not stem:
        stem, point, ending = name, "", ""
    numbered = (f"{stem} ({number}){point}{ending}" for number in count(2))
    return name if name not in taken else next(each for each in numbered if each not in taken)


def printable(name: str) -> str:
    r"""Make of a name, such as a wheel's, what can be shown: no signs that are not seen, and not too long.

    Examples
    --------
    >>> printable("Wheel 1920/30\n"), printable(" ")
    ('Wheel 1920/30', 'without a name')
    """
    seen = "".join(letter for letter in name if letter.isprintable()).strip()
    return seen[:LONGEST_NAME] or "without a name"


def keep_reading(folder: Path, reading: Mapping[str, Any], kind: str = "reading") -> int:
    """Keep what was measured in a file of its own and give its number; nothing is written over.

    Raises
    ------
    OSError
        If there is no room, say.
    """
    text = json.dumps(reading, allow_nan=False)
    with tempfile.NamedTemporaryFile("w", dir=folder, prefix="making-", encoding="utf-8") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
        number = 1
        while True:
            try:
                # A link is refused where the name is taken, so two tabs never write over each other.
                os.link(file.name, folder / f"{kind}-{number}.json")
                return number
            except FileExistsError:
                number += 1
