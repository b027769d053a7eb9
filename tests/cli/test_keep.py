"""A wheel's file: what is kept comes back, and no accident loses what was in it."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from filelock import FileLock
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, Image

from whirlwise.calc.wheel import Dimension, Reading
from whirlwise.cli.keep import store
from whirlwise.cli.keep.as_text import DamagedError, text_of_wheel, wheel_of_text
from whirlwise.cli.keep.entries import KeptReading
from whirlwise.cli.keep.facts import sha256_of, taken
from whirlwise.cli.keep.kept import KeptWheel
from whirlwise.cli.keep.store import change_wheel, check_wheel_file, read_wheel
from whirlwise.cli.trouble import WrongUsageError
from whirlwise.vision.errors import UnreadableFileError


def kept(name: str = "photo-1", pitch_mm: float = 550.0, sha256: str = "0" * 64) -> KeptReading:
    values = {Dimension("pitch_mm"): pitch_mm, Dimension("ratio", "whirl"): 11.0}
    reading = Reading(
        name, values, np.array([[1e-4, 2e-5], [2e-5, 4e-4]]), {"rim": np.array([0.008, -0.001])}
    )
    return KeptReading(
        "photo", "whole.jpg", sha256, "2026-05-01T10:00:00", "the camera's note in the file", {}, reading
    )


def add(new: KeptReading) -> Callable[[KeptWheel], KeptWheel]:
    return lambda wheel: wheel.with_reading(new)[0]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A wheel's file with one reading."""
    path = tmp_path / "wheel.json"
    change_wheel(path, add(kept()))
    return path


def same(one: KeptReading, other: KeptReading) -> bool:
    """Whether two readings are the same but for the digits that are not kept."""
    return (
        (one.kind, one.file, one.sha256, one.taken, one.taken_from, one.how, one.id)
        == (other.kind, other.file, other.sha256, other.taken, other.taken_from, other.how, other.id)
        and list(one.reading.values) == list(other.reading.values)
        and np.allclose(list(one.reading.values.values()), list(other.reading.values.values()), rtol=1e-11)
        and np.allclose(one.reading.covariance, other.reading.covariance, rtol=1e-7, atol=0)
        and set(one.reading.shared) == set(other.reading.shared)
        and all(
            np.allclose(one.reading.shared[c], other.reading.shared[c], rtol=1e-7) for c in one.reading.shared
        )
    )


@settings(max_examples=50)
@given(
    values=st.lists(st.floats(1e-3, 1e6), min_size=1, max_size=6),
    file=st.text(st.characters(exclude_categories=["Cs"])),
    number=st.integers(0, 2**32 - 1),
)
def test_what_is_kept_comes_back(values: list[float], file: str, number: int) -> None:
    rng = np.random.default_rng(number)
    root = rng.normal(size=(len(values), len(values))) * 0.01
    reading = Reading(
        "clip-3",
        {Dimension("pitch_mm", f"step {k}"): value for k, value in enumerate(values)},
        root @ root.T,
        {"rim": rng.normal(size=len(values))},
    )
    new = KeptReading("clip", file, "a" * 64, "2026", "the date of the file", {"--band": "2mm"}, reading)
    (back,) = wheel_of_text(text_of_wheel(KeptWheel.of([new]))).readings
    assert same(back, new)


def test_the_file_can_be_read_by_people(file: Path) -> None:
    document = json.loads(file.read_text(encoding="utf-8"))
    assert document["version"] == 2
    (reading,) = document["readings"]
    assert {key: reading[key] for key in ("id", "kind", "file", "taken")} == {
        "id": "photo-1",
        "kind": "photo",
        "file": "whole.jpg",
        "taken": "2026-05-01T10:00:00",
    }
    pitch = reading["numbers"][0]
    assert (pitch["of"], pitch["what"], pitch["value"]) == ("wheel", "pitch_mm", 550)
    # 550 exp(+-1.96 sqrt(0.01^2 + 0.008^2)), the ends rounded outwards.
    assert pitch["low"] == pytest.approx(536.36, abs=0.1)
    assert pitch["high"] == pytest.approx(563.98, abs=0.1)


def test_the_same_picture_takes_its_own_place() -> None:
    wheel = KeptWheel()
    for sha256 in ("a" * 64, "b" * 64, "a" * 64):
        wheel, added, replaced = wheel.with_reading(kept("new", 500.0 + len(wheel.readings), sha256))
    assert replaced
    assert added.id == "photo-1"
    assert [each.id for each in wheel.readings] == ["photo-1", "photo-2"]
    assert wheel.readings[0].reading.values[Dimension("pitch_mm")] == 502.0


def test_a_change_keeps_the_version_before(file: Path) -> None:
    first = file.read_bytes()
    change_wheel(file, add(kept(sha256="1" * 64)))
    assert [each.id for each in read_wheel(file).readings] == ["photo-1", "photo-2"]
    assert file.with_name("wheel.json.before").read_bytes() == first
    assert {path.name for path in file.parent.iterdir()} == {
        "wheel.json",
        "wheel.json.before",
        ".wheel.json.lock",
    }


def test_rights_and_links_stay(file: Path, tmp_path: Path) -> None:
    file.chmod(0o640)
    link = tmp_path / "link.json"
    link.symlink_to(file)
    change_wheel(link, add(kept(sha256="1" * 64)))
    assert link.is_symlink()
    assert file.stat().st_mode & 0o777 == 0o640
    assert len(read_wheel(file).readings) == 2


class KilledError(BaseException):
    """The power goes out."""


STEPS = ["open", "os.chmod", "os.fsync", "os.replace"]


@pytest.mark.parametrize("problem", [KilledError(), OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))])
@pytest.mark.parametrize("after", [False, True], ids=["before it", "after it"])
@pytest.mark.parametrize("call", [1, 2])
@pytest.mark.parametrize("step", STEPS)
def test_whatever_fails_the_file_is_the_old_or_the_new_one(
    file: Path, monkeypatch: pytest.MonkeyPatch, step: str, call: int, after: bool, problem: BaseException
) -> None:
    old = file.read_bytes()
    calls = 0

    def failing(real: Callable[..., Any]) -> Callable[..., Any]:
        def work(*arguments: Any, **options: Any) -> Any:
            nonlocal calls
            if step == "open" and not str(arguments[0]).endswith(".part"):
                return real(*arguments, **options)
            calls += 1
            if calls == call and not after:
                raise problem
            result = real(*arguments, **options)
            if calls == call:
                raise problem
            return result

        return work

    if step == "open":
        monkeypatch.setattr(Path, "open", failing(Path.open))
    else:
        monkeypatch.setattr(os, step.removeprefix("os."), failing(getattr(os, step.removeprefix("os."))))
    with pytest.raises((KilledError, WrongUsageError)) as caught:
        change_wheel(file, add(kept(sha256="1" * 64)))
    monkeypatch.undo()
    assert calls >= call
    done = step == "os.replace" and call == 2 and after
    if not done:
        assert file.read_bytes() == old
    assert len(read_wheel(file).readings) == (2 if done else 1)
    assert not file.with_name(".wheel.json.part").exists()
    if isinstance(caught.value, WrongUsageError):
        assert "No space left on device" in str(caught.value)
    # The next change finds nothing in its way.
    change_wheel(file, add(kept(sha256="2" * 64)))
    assert len(read_wheel(file).readings) == (3 if done else 2)


def test_a_writer_that_is_killed_half_way_leaves_the_old_file(file: Path) -> None:
    # A process of its own that dies inside a write: nothing tidies up after it, not even 'finally'.
    script = f"""
        import os
        from pathlib import Path
        from whirlwise.cli.keep import store
        store.os.fsync = lambda handle: os._exit(9)
        store.change_wheel(Path({str(file)!r}), lambda wheel: wheel)
    """
    old = file.read_bytes()
    found = subprocess.run([sys.executable, "-c", textwrap.dedent(script)], check=False)
    assert found.returncode == 9
    assert file.read_bytes() == old
    change_wheel(file, add(kept(sha256="1" * 64)))
    assert len(read_wheel(file).readings) == 2


def test_two_writers_side_by_side_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "wheel.json"
    script = f"""
        import sys
        from dataclasses import replace
        from pathlib import Path
        import numpy as np
        from whirlwise.calc.wheel import Dimension, Reading
        from whirlwise.cli.keep.entries import KeptReading
        from whirlwise.cli.keep.store import change_wheel
        for k in range(15):
            reading = Reading("new", {{Dimension("pitch_mm"): 550.0}}, np.array([[1e-4]]), {{}})
            sha256 = sys.argv[1] * 32 + f"{{k:032x}}"
            new = KeptReading("photo", "whole.jpg", sha256, "2026", "the date of the file", {{}}, reading)
            change_wheel(Path({str(path)!r}), lambda wheel: wheel.with_reading(new)[0])
    """
    command = [sys.executable, "-c", textwrap.dedent(script)]
    writers = [subprocess.Popen([*command, letter]) for letter in "abc"]
    assert [writer.wait(timeout=120) for writer in writers] == [0, 0, 0]
    readings = read_wheel(path).readings
    assert len({each.sha256 for each in readings}) == 45
    assert sorted(each.id for each in readings) == sorted(f"photo-{k}" for k in range(1, 46))


def test_waiting_for_another_program_ends(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "LONGEST_WAIT_S", 0.1)
    old = file.read_bytes()
    with (
        FileLock(file.with_name(".wheel.json.lock")),
        pytest.raises(WrongUsageError, match="Another program has been writing"),
    ):
        change_wheel(file, add(kept()))
    assert file.read_bytes() == old


def spoilt(change: Callable[[dict[str, Any]], object]) -> str:
    document = json.loads(text_of_wheel(KeptWheel.of([kept(), kept("photo-2", sha256="1" * 64)])))
    change(document)
    return json.dumps(document)


def first(document: dict[str, Any]) -> dict[str, Any]:
    entry: dict[str, Any] = document["readings"][0]
    return entry


DAMAGE: dict[str, tuple[str, str]] = {
    "half": (text_of_wheel(KeptWheel.of([kept()]))[:300], "it is not whole JSON text"),
    "empty": ("", "it is not whole JSON text"),
    "deep": ("[" * 100_000, "it is not whole JSON text"),
    "nan": (spoilt(lambda d: first(d)["numbers"][0].update(value=float("nan"))), "it is not whole JSON text"),
    "other": ('{"wheel": 1}', "it is not the file of a wheel"),
    "list": ("[]", "it is not the file of a wheel"),
    "newer": (spoilt(lambda d: d.update(version=4)), "a newer version of the program wrote it (version 4"),
    "unversioned": (spoilt(lambda d: d.pop("version")), "its version is missing"),
    "no readings": (spoilt(lambda d: d.pop("readings")), "the file lacks its 'readings'"),
    "no id": (spoilt(lambda d: first(d).pop("id")), "reading 1 lacks its 'id'"),
    "no checksum": (spoilt(lambda d: first(d).update(sha256="abc")), "reading 1 has no id or no checksum"),
    "twice": (spoilt(lambda d: d["readings"].append(first(d))), "two of its readings have one id"),
    "no reading": (spoilt(lambda d: d["readings"].append(3)), "reading 3 is no reading"),
    "negative": (spoilt(lambda d: first(d)["numbers"][0].update(value=-1)), "above zero"),
    "word": (spoilt(lambda d: first(d)["numbers"][0].update(value="x")), "holds a number that is none"),
    "what": (spoilt(lambda d: first(d)["numbers"][0].update(what="age")), "a 'age', which this version"),
    "ragged": (spoilt(lambda d: first(d)["relative_covariance"][0].pop()), "a row of the wrong length"),
    "short": (spoilt(lambda d: first(d)["relative_covariance"].pop()), "do not fit together"),
    "lopsided": (spoilt(lambda d: first(d)["relative_covariance"][0].reverse()), "do not fit together"),
}


@pytest.mark.parametrize(("text", "why"), DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_or_newer_file_is_refused_and_left(tmp_path: Path, text: str, why: str) -> None:
    with pytest.raises(DamagedError):
        wheel_of_text(text)
    path = tmp_path / "wheel.json"
    path.write_text(text, encoding="utf-8")
    for use in (
        lambda: read_wheel(path),
        lambda: check_wheel_file(path),
        lambda: change_wheel(path, add(kept())),
    ):
        with pytest.raises(UnreadableFileError) as caught:
            use()
        assert why in str(caught.value)
        assert str(caught.value).startswith(f"{path} cannot be used as a wheel's file: ")
        assert "It was left untouched." in str(caught.value)
        assert path.read_text(encoding="utf-8") == text
    assert not path.with_name("wheel.json.before").exists()


def test_a_damaged_file_names_the_version_before(file: Path) -> None:
    change_wheel(file, add(kept(sha256="1" * 64)))
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(UnreadableFileError, match=r"it is no text.*before the last change is .*\.before\.$"):
        read_wheel(file)


def test_places_that_will_not_do(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFileError, match="There is no file"):
        read_wheel(tmp_path / "none.json")
    with pytest.raises(UnreadableFileError, match="is not a file"):
        read_wheel(tmp_path)
    with pytest.raises(WrongUsageError, match="there is no folder"):
        check_wheel_file(tmp_path / "none" / "wheel.json")
    with pytest.raises(UnreadableFileError, match="cannot be opened"):
        read_wheel(tmp_path / ("a" * 300))


def test_a_folder_that_may_not_be_written_to(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(WrongUsageError, match=r"could not be written \(Permission denied\)"):
        check_wheel_file(file)


def test_the_cameras_note_comes_before_the_files_date(tmp_path: Path) -> None:
    # Exif 2.32: DateTimeOriginal is 'YYYY:MM:DD HH:MM:SS', OffsetTimeOriginal '+HH:MM'.
    path = tmp_path / "wheel.jpg"
    exif = Image.Exif()
    details = exif.get_ifd(ExifTags.IFD.Exif)
    details[ExifTags.Base.DateTimeOriginal] = "2026:05:01 10:20:30"
    Image.new("RGB", (8, 8)).save(path, exif=exif)
    assert taken(path) == ("2026-05-01T10:20:30", "the camera's note in the file")
    details[ExifTags.Base.OffsetTimeOriginal] = "+02:00"
    Image.new("RGB", (8, 8)).save(path, exif=exif)
    assert taken(path) == ("2026-05-01T10:20:30+02:00", "the camera's note in the file")
    details[ExifTags.Base.DateTimeOriginal] = "0000:00:00 00:00:00"
    Image.new("RGB", (8, 8)).save(path, exif=exif)
    os.utime(path, (1_700_000_000, 1_700_000_000))
    assert taken(path) == ("2023-11-14T22:13:20+00:00", "the date of the file")


def test_a_clip_goes_by_the_files_date(tmp_path: Path) -> None:
    path = tmp_path / "wheel.mp4"
    path.write_bytes(b"no picture")
    os.utime(path, (0, 0))
    assert taken(path) == ("1970-01-01T00:00:00+00:00", "the date of the file")


def test_checksum(tmp_path: Path) -> None:
    # FIPS 180-4, example of NIST: SHA-256 of "abc".
    path = tmp_path / "abc"
    path.write_bytes(b"abc")
    assert sha256_of(path) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
