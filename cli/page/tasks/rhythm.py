"""How steadily the wheel was treadled in one clip, against a wish and against another session."""

import json
import time
from dataclasses import replace
from pathlib import Path
from typing import Final

from ....calc.rhythm import Session, against_wish, changes
from ....vision.clip import ClipSettings, measure_clip
from ....vision.measured import NotMeasured
from ....vision.session import SessionReading, session_of_clip
from ....vision.turning.rhythm import Rhythm
from ...given.numbers import plain_number
from ...keep.entries_text import session_of_document
from ...keep.told_session import session_of_kept, told_of
from ...show.rhythm_words import Treadling, session_document, treadling_answer
from ...show.session import session_of
from ..media import READING, keep_reading
from ..worker import Json, Tell
from .clip import course, drawn
from .first_picture import first_picture
from .keepable import session_to_keep
from .named import in_the_persons_words
from .playing import make_playable
from .preview import write_preview
from .told import told

#: Sessions are kept under this name, apart from what else was measured of a clip.
KIND: Final = "rhythm"


def run(order: Json, tell: Tell) -> Json:
    """Measure ``media.clip``, hold it against ``media.earlier`` if that is named, and keep the session.

    ``given`` holds ``wished``, turns of the wheel a minute, and ``captured_at``, as they were typed.
    """
    medium, said = order["media"]["clip"], order.get("given", {})
    began_s = time.monotonic()
    with in_the_persons_words(medium):
        wished = _number(said, "wished", "--wished", "60")
        settings = ClipSettings(
            captured_at_per_s=_number(said, "captured_at", "--captured-at", "240"), with_flyer=False
        )
        tell("looking at the picture", 0.0)
        file, folder = Path(medium["file"]), Path(medium["folder"])
        first = first_picture(file)
        write_preview(first, folder)
        tell("making it play", 0.0)
        make_playable(file, folder)
        clip = measure_clip(file, settings, tell)
    session = session_of_clip(clip)
    document = {
        "given": said,
        "size_px": [int(first.shape[1]), int(first.shape[0])],
        "seconds": round(time.monotonic() - began_s, 1),
        "wished": wished,
        "earlier": order["media"].get("earlier", {}).get("id", ""),
        "answer": told(treadling_answer(_treadling(session, medium["name"], wished, _earlier(order, tell)))),
        "drawn": drawn(clip),
        "course": course(clip),
        "turns_s": _turns_s(session),
        "kept": session_to_keep(medium, told_of(session_document(session)), said)
        if isinstance(session.rhythm, Rhythm)
        else None,
    }
    return {**document, "number": keep_reading(folder, document, KIND)}


def _number(said: Json, name: str, option: str, example: str) -> float | None:
    text = said.get(name)
    return float(plain_number(str(text), option, example=example).n) if text else None


def _treadling(
    session: SessionReading, name: str, wished: float | None, earlier: Session | None
) -> Treadling:
    rhythm = session.rhythm
    if isinstance(rhythm, NotMeasured):
        return Treadling((session,), (), (None,))
    now = session_of(name, rhythm)
    return Treadling(
        (session,),
        changes([earlier, now]) if earlier else (),
        (against_wish(now, wished) if wished is not None else None,),
    )


def _earlier(order: Json, tell: Tell) -> Session | None:
    """The session to compare with: as it was measured last, or else measured now."""
    medium = order["media"].get("earlier")
    if medium is None:
        return None
    kept = _kept_last(Path(medium["folder"]))
    if kept is not None:
        found = session_of_kept(session_of_document(kept, KIND))
        return found and replace(found, name=medium["name"])
    with in_the_persons_words(medium):
        reading = session_of_clip(measure_clip(Path(medium["file"]), ClipSettings(with_flyer=False), tell))
    return session_of(medium["name"], reading.rhythm) if isinstance(reading.rhythm, Rhythm) else None


def _kept_last(folder: Path) -> Json | None:
    """The session that was measured last of a clip, as a wheel's file would take it."""
    numbers = [
        int(match[2])
        for path in folder.iterdir()
        if (match := READING.fullmatch(path.name)) and match[1] == KIND
    ]
    if not numbers:
        return None
    text = (folder / f"{KIND}-{max(numbers)}.json").read_text(encoding="utf-8")
    kept: Json | None = json.loads(text)["kept"]
    return kept


def _turns_s(session: SessionReading) -> list[float]:
    rhythm = session.rhythm
    return [] if isinstance(rhythm, NotMeasured) else [round(float(each), 4) for each in rhythm.turn_times_s]
