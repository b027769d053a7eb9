"""A file that turns out to be unreadable is told of and put aside, and nothing that may be readable is."""

import json
import os
import time
from importlib import resources
from pathlib import Path

import pytest
from tests.page.kept_wheels import order
from tests.page.small_clips import write_clip

from whirlwise import sample_media
from whirlwise.cli.page.file_kinds import JPEG, MP4, FileKind
from whirlwise.cli.page.media import ABOUT, Media, Medium
from whirlwise.cli.page.state import State
from whirlwise.cli.page.tasks import clip, photo, rhythm
from whirlwise.cli.page.tasks.named import in_the_persons_words
from whirlwise.cli.trouble import WrongUsageError
from whirlwise.vision.errors import UnreadableFileError, WrongHintError

PICTURE = Path(str(resources.files(sample_media))) / "old_wheel.jpg"
TOLD = "It is put with what is deleted, under 'Pictures and clips'."


def quiet(what: str, share: float) -> None: ...


def sent(state: State, content: bytes, name: str, kind: FileKind = JPEG) -> Medium:
    arrived = state.media.arriving()
    arrived.write_bytes(content)
    return state.media.keep(arrived, name, kind)


def named(medium: Medium) -> dict[str, str]:
    """A medium as an order names it."""
    return {"id": medium.id, "file": str(medium.original), "folder": str(medium.folder), "name": medium.name}


def ids(media: list[Medium]) -> list[str]:
    return [each.id for each in media]


@pytest.fixture
def broken(state: State) -> Medium:
    return sent(state, PICTURE.read_bytes()[:40_000], "broken.jpg")


def test_a_broken_picture_is_put_aside_and_can_be_brought_back(state: State, broken: Medium) -> None:
    with pytest.raises(UnreadableFileError) as told:
        photo.run({"media": {"picture": named(broken)}}, quiet)
    assert str(told.value).startswith("broken.jpg is damaged or broken off.")
    assert str(told.value).endswith(TOLD)
    assert (state.media.all(), ids(state.media.deleted())) == ([], [broken.id])
    assert state.media.restore(broken.id)
    assert broken.original.read_bytes() == PICTURE.read_bytes()[:40_000]


@pytest.mark.parametrize("task", [clip.run, rhythm.run])
def test_a_broken_clip_is_put_aside(state: State, tmp_path: Path, task: object) -> None:
    whole = write_clip(tmp_path / "whole.mp4", "h264").read_bytes()
    medium = sent(state, whole[:60], "broken.mp4", MP4)
    assert callable(task)
    with pytest.raises(UnreadableFileError) as told:
        task({"media": {"clip": named(medium)}}, quiet)
    assert str(told.value).startswith("broken.mp4")
    assert (state.media.all(), ids(state.media.deleted())) == ([], [medium.id])


@pytest.mark.parametrize("problem", [WrongHintError("so"), WrongUsageError("so")])
def test_what_was_told_wrongly_puts_nothing_aside(state: State, broken: Medium, problem: Exception) -> None:
    with pytest.raises(type(problem), match=r"^so$"), in_the_persons_words(named(broken)):
        raise problem
    assert ids(state.media.all()) == [broken.id]


def test_of_two_none_is_put_aside(state: State, broken: Medium) -> None:
    other = sent(state, PICTURE.read_bytes(), "whole.jpg")
    with pytest.raises(UnreadableFileError, match=r"^so$"), in_the_persons_words(named(broken), named(other)):
        raise UnreadableFileError("so")
    assert len(state.media.all()) == 2


def test_a_wheel_is_never_put_aside(state: State) -> None:
    wheel = state.wheels.begin("attic")
    with pytest.raises(UnreadableFileError), in_the_persons_words(order(wheel)["wheels"][0]):
        raise UnreadableFileError("so")
    assert state.wheels.all() == [wheel]


def unreadable(medium: Medium) -> str:
    with pytest.raises(UnreadableFileError) as told, in_the_persons_words(named(medium)):
        raise UnreadableFileError("so")
    return str(told.value)


@pytest.mark.parametrize("name", ["reading-1.json", "rhythm-12.json"])
def test_what_was_measured_once_stays(state: State, broken: Medium, name: str) -> None:
    (broken.folder / name).write_text("{}", encoding="utf-8")
    assert unreadable(broken) == "so"
    assert ids(state.media.all()) == [broken.id]


@pytest.mark.parametrize(("minutes", "stays"), [(50, False), (70, True)])
def test_what_has_been_kept_for_long_stays(state: State, broken: Medium, minutes: float, stays: bool) -> None:
    about = json.loads((broken.folder / ABOUT).read_text(encoding="utf-8"))
    about["added_s"] = time.time() - 60 * minutes
    (broken.folder / ABOUT).write_text(json.dumps(about), encoding="utf-8")
    assert (unreadable(broken) == "so") == stays
    assert bool(state.media.all()) == stays


def test_it_is_there_for_a_whole_day(state: State, broken: Medium) -> None:
    """The day begins when it is put aside, however old the folder's own date is."""
    yesterday = time.time() - 25 * 3600
    os.utime(broken.folder, (yesterday, yesterday))
    assert unreadable(broken) == f"so {TOLD}"
    assert ids(Media(state.folder).deleted()) == [broken.id]
