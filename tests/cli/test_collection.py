"""Pictures of many wheels become one table: whatever one of them does, the others come out."""

from __future__ import annotations

import csv
import os
import signal
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from filelock import FileLock
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from whirlwise.cli.collection import row as row_module
from whirlwise.cli.collection.lanes import side_by_side
from whirlwise.cli.collection.pictures import pictures_in
from whirlwise.cli.collection.row import COLUMNS, Task, failed_row, measured_row
from whirlwise.cli.collection.table import finished, rows_there, write_rows
from whirlwise.cli.commands import collection as command
from whirlwise.cli.show.csv_text import csv_text, rows_of_csv
from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.photo import PhotoSettings
from whirlwise.vision.photo_reading import PhotoReading

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

ENVIRONMENT = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}


def picture(path: Path, grey: int) -> Path:
    path.parent.mkdir(exist_ok=True)
    Image.fromarray(np.full((60, 80, 3), grey, np.uint8)).save(path)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three pictures, one of them in a folder of its own, beside what is no picture."""
    place = tmp_path / "pictures"
    place.mkdir()
    picture(place / "b.jpg", 90)
    picture(place / "a.png", 60)
    picture(place / "inv-7" / "whole.jpg", 120)
    (place / "notes.txt").write_text("none", encoding="utf-8")
    (place / ".hidden.jpg").write_bytes(b"none")
    return place


@pytest.fixture
def measured(monkeypatch: pytest.MonkeyPatch, photo_reading: PhotoReading) -> list[str]:
    """Names of the pictures that were measured, one after the other in this process, all going well."""
    names: list[str] = []

    def one(path: Path, settings: object) -> PhotoReading:
        names.append(path.name)
        return photo_reading

    def in_turn(tasks: list[Task], work: Any, broke_off: Any, *, lanes: int) -> Any:
        for task in tasks:
            yield work(task)

    monkeypatch.setattr(row_module, "measure_photo", one)
    monkeypatch.setattr(command, "side_by_side", in_turn)
    return names


def table(path: Path) -> list[dict[str, str]]:
    """Read a table as another program would."""
    return list(csv.DictReader(StringIO(path.read_bytes().decode("utf-8-sig"), newline="")))


def test_a_row_for_each_picture(
    whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str]
) -> None:
    to = tmp_path / "table.csv"
    found = whirlwise("collection", folder, "--to", to)
    assert (found.status, found.out) == (
        0,
        f"{to} holds 3 pictures: 3 measured. The column 'remarks' tells why.\n",
    )
    rows = table(to)
    assert [(row["file"], row["wheel"]) for row in rows] == [
        ("a.png", "a"),
        ("b.jpg", "b"),
        ("inv-7/whole.jpg", "inv-7"),
    ]
    assert list(rows[0]) == list(COLUMNS)
    for row in rows:
        assert float(row["ratio_low"]) < float(row["ratio"]) == pytest.approx(10.793, abs=0.001)
        assert float(row["wheel_pitch_mm"]) == pytest.approx(555.2)
        assert (row["drive"], row["scale_from"], row["bobbin_ratio"]) == ("single", "card", "")
    assert "3 of 3" in found.err


def test_it_goes_on_where_it_was_stopped(
    whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "table.csv"
    real: Any = command.side_by_side  # type: ignore[attr-defined]

    def stopped(tasks: list[Task], *arguments: Any, **options: Any) -> Any:
        outcomes = real(tasks, *arguments, **options)
        yield next(outcomes)
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "side_by_side", stopped)
    found = whirlwise("collection", folder, "--to", to)
    assert found.status == 130
    assert found.err.endswith(f"Stopped. 1 of 3 pictures are in {to}; the same command goes on from there.\n")
    assert [row["file"] for row in table(to)] == ["a.png"]
    monkeypatch.setattr(command, "side_by_side", real)
    assert whirlwise("collection", folder, "--to", to).status == 0
    assert measured == ["a.png", "b.jpg", "whole.jpg"]
    # Once more: nothing is left to do, and the table stays as it is, byte for byte.
    before = to.read_bytes()
    assert whirlwise("collection", folder, "--to", to).status == 0
    assert to.read_bytes() == before
    assert len(measured) == 3


def test_what_changed_is_measured_again(
    whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str]
) -> None:
    to = tmp_path / "table.csv"
    whirlwise("collection", folder, "--to", to)
    del measured[:]
    picture(folder / "b.jpg", 91)
    (folder / "a.png").rename(folder / "c.png")
    whirlwise("collection", folder, "--to", to)
    assert measured == ["b.jpg"]
    assert [row["file"] for row in table(to)] == ["b.jpg", "c.png", "inv-7/whole.jpg"]
    # Other options make other rows, and what they don't reach stays in the table.
    (folder / "b.jpg").rename(tmp_path / "elsewhere.jpg")
    whirlwise("collection", folder, "--to", to, "--offset", "12mm")
    assert sorted(measured) == ["b.jpg", "c.png", "whole.jpg"]
    assert [row["measured_with"].endswith("--offset 12mm") for row in table(to)] == [False, True, True]


def test_a_picture_that_fails_costs_only_itself(
    whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    real: Any = row_module.measure_photo  # type: ignore[attr-defined]
    problems: dict[str, Exception] = {
        "a.png": ZeroDivisionError("division"),
        "b.jpg": UnreadableFileError("b.jpg is no picture."),
    }

    def failing(path: Path, settings: PhotoSettings) -> PhotoReading:
        if path.name in problems:
            raise problems[path.name]
        reading: PhotoReading = real(path, settings)
        return reading

    monkeypatch.setattr(row_module, "measure_photo", failing)
    to = tmp_path / "table.csv"
    assert whirlwise("collection", folder, "--to", to).status == 0
    outcomes = {row["file"]: (row["outcome"], row["remarks"]) for row in table(to)}
    assert outcomes["a.png"][0] == "failed"
    assert "ZeroDivisionError: division" in outcomes["a.png"][1]
    assert outcomes["b.jpg"] == ("unreadable", "b.jpg is no picture.")
    assert outcomes["inv-7/whole.jpg"][0] == "measured"
    problems.clear()
    whirlwise("collection", folder, "--to", to)
    # The fault is tried again; what cannot be read is not, until the file changes.
    assert [row["outcome"] for row in table(to)] == ["measured", "unreadable", "measured"]


@pytest.mark.parametrize("content", [b"my,own\r\n1,2\r\n", b"\xff\xfe\x00", b"", b'"'])
def test_another_file_is_left_alone(
    whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str], content: bytes
) -> None:
    to = tmp_path / "table.csv"
    to.write_bytes(content)
    found = whirlwise("collection", folder, "--to", to)
    assert (found.status, found.out) == (4, "")
    assert "is not a table that this version of the program wrote" in found.err
    assert to.read_bytes() == content
    assert measured == []


def test_wrong_places(whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str]) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    to = tmp_path / "table.csv"
    for arguments, status, sentence in (
        ([folder, "--to", tmp_path / "table.txt"], 2, "let the name end in .csv"),
        ([folder, "--to", tmp_path / "none" / "table.csv"], 2, "there is no folder"),
        ([empty, "--to", to], 4, "There are no pictures in"),
        ([folder / "b.jpg", "--to", to], 4, "is not a folder"),
        ([folder, "--to", to, "--offset", "far"], 2, "--offset got 'far'"),
    ):
        found = whirlwise("collection", *arguments)
        assert (found.status, found.out, found.err.count("\n")) == (status, "", 1)
        assert sentence in found.err
    with FileLock(tmp_path / ".table.csv.lock"):
        found = whirlwise("collection", folder, "--to", to)
    assert (found.status, "Another program is filling" in found.err) == (2, True)
    assert measured == []


def test_a_full_disk_keeps_what_was_finished(
    whirlwise: Whirlwise, folder: Path, tmp_path: Path, measured: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "table.csv"
    calls = 0
    real = os.fsync

    def full(handle: int) -> None:
        nonlocal calls
        calls += 1
        if calls > 4:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    found = whirlwise("collection", folder, "--to", to)
    assert found.status == 2
    assert "No space left on device" in found.err
    assert [row["file"] for row in table(to)] == ["a.png"]


texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)


@settings(max_examples=200)
@given(st.lists(texts.filter(bool), min_size=1, max_size=5))
def test_cells_come_back_and_none_is_a_formula(cells: list[str]) -> None:
    header = [f"column {k}" for k in range(len(cells))]
    text = csv_text(header, [dict(zip(header, cells, strict=True))])
    assert rows_of_csv(text) == (header, [dict(zip(header, cells, strict=True))])
    for cell in next(iter(list(csv.reader(StringIO(text, newline="")))[1:])):
        # OWASP, "CSV Injection": a cell must not begin with one of these signs.
        assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_numbers_stay_numbers() -> None:
    assert csv_text(["a", "b", "c"], [{"a": -0.5, "b": None}]) == "a,b,c\r\n-0.5,,\r\n"


def test_a_row_that_was_cut_short_is_left_out() -> None:
    assert rows_of_csv("a,b\r\n1,2\r\n3") == (["a", "b"], [{"a": "1", "b": "2"}])


def test_a_table_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    task = Task(Path("=x.jpg"), "=x.jpg", "=x", "ab", PhotoSettings(), "now")
    write_rows(path, {"=x.jpg": failed_row(task, "it died"), "y": {**failed_row(task, ""), "file": "y"}})
    back = rows_there(path)
    assert [each["file"] for each in back] == ["=x.jpg", "y"]
    assert {key: value for key, value in back[0].items() if value is not None} == failed_row(task, "it died")
    assert finished(back) == {}


def test_pictures_are_found_by_their_endings(folder: Path) -> None:
    (folder / "C.HEIC").write_bytes(b"")
    assert [path.relative_to(folder).as_posix() for path in pictures_in(folder)] == [
        "C.HEIC",
        "a.png",
        "b.jpg",
        "inv-7/whole.jpg",
    ]


def test_what_is_no_picture_is_told_in_its_row(tmp_path: Path) -> None:
    path = tmp_path / "x.jpg"
    path.write_bytes(b"no picture")
    found = measured_row(Task(path, "x.jpg", "x", "ab", PhotoSettings(), "now"))
    assert found["outcome"] == "unreadable"
    assert "is not a picture that can be read here" in str(found["remarks"])


@pytest.fixture
def deeds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """A module that processes of their own can import, with a task that may die or hang."""
    (tmp_path / "whirlwise_test_deeds.py").write_text(
        textwrap.dedent("""
            import os, time
            import cv2

            def do(task):
                if task == "die":
                    os._exit(1)
                if task == "hang":
                    time.sleep(600)
                return task, os.environ["OMP_NUM_THREADS"], cv2.getNumThreads()

            def broke_off(task, why):
                return task, why
        """),
        encoding="utf-8",
    )
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delenv("OMP_NUM_THREADS", raising=False)
    import whirlwise_test_deeds  # type: ignore[import-not-found]

    return whirlwise_test_deeds


def test_a_process_that_dies_or_hangs_is_replaced(deeds: Any) -> None:
    tasks = ["one", "die", "hang", "two", "die", "three"]
    found = list(side_by_side(tasks, deeds.do, deeds.broke_off, lanes=2, longest_s=20.0))
    told = {outcome[0]: outcome[1:] for outcome in found}
    assert len(found) == len(tasks)
    assert told["one"] == told["two"] == told["three"] == ("1", 1)
    assert told["die"] == ("its process died; perhaps there was not enough memory",)
    assert told["hang"] == ("it took longer than 20 s",)
    assert "OMP_NUM_THREADS" not in os.environ


def waited_for(done: Callable[[], bool]) -> bool:
    end_s = time.monotonic() + 120
    while time.monotonic() < end_s and not done():
        time.sleep(0.05)
    return done()


@pytest.mark.skipif(sys.platform == "win32", reason="signals as POSIX has them")
def test_ctrl_c_leaves_a_whole_table_and_no_process(tmp_path: Path) -> None:
    # The command itself in a group of processes of its own, which all get the signal, as from a terminal.
    folder = tmp_path / "pictures"
    folder.mkdir()
    # So many that the work is not done before the signal comes, however slow this test is.
    for number in range(1000):
        picture(folder / f"{number:03}.png", number % 256)
    to = tmp_path / "table.csv"
    arguments = [str(each) for each in ("collection", folder, "--to", to, "--at-once", 2)]
    script = f"from whirlwise.cli.app import main\nif __name__ == '__main__':\n    main({arguments!r})\n"
    (tmp_path / "run.py").write_text(script, encoding="utf-8")
    running = subprocess.Popen(
        [sys.executable, tmp_path / "run.py"],
        start_new_session=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=ENVIRONMENT,
    )
    assert waited_for(lambda: to.exists() and len(table(to)) >= 2)
    os.killpg(running.pid, signal.SIGINT)
    _, err = running.communicate(timeout=300)
    assert running.returncode == 130
    assert "the same command goes on from there" in err
    assert "Traceback" not in err
    rows = table(to)
    assert 2 <= len(rows) < 1000
    assert {row["outcome"] for row in rows} == {"nothing trustworthy"}
    assert {path.name for path in tmp_path.iterdir()} <= {
        "pictures", "run.py", "table.csv", ".table.csv.lock"
    }  # fmt: skip
    assert waited_for(lambda: not group_lives(running.pid))


def group_lives(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True
