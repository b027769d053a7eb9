"""A wheel's file survives a hundred deaths of the program that writes it, a full disk and two writers."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import textwrap
from pathlib import Path
from typing import Any

import pytest

from whirlwise.cli.keep.store import read_wheel

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="a copy of a process is needed")

ENVIRONMENT = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}

#: Makes a file with one reading; what follows in each script changes it.
BEGIN = """
    import json, os, random, signal, sys, time
    from pathlib import Path
    import numpy as np
    from whirlwise.calc.wheel import Dimension, Reading
    from whirlwise.cli.keep.entries import KeptReading
    from whirlwise.cli.keep.store import change_wheel, read_wheel

    path = Path(sys.argv[1])

    def add(number):
        reading = Reading("new", {Dimension("pitch_mm"): 550.0 + number}, np.array([[1e-4]]), {})
        new = KeptReading("photo", "x.jpg", f"{number:064x}", "2026", "the date of the file", {}, reading)
        change_wheel(path, lambda wheel: wheel.with_reading(new)[0])

    add(0)
"""

#: Dies at the n-th call or return inside the modules that write, the lock included: before and after every
#: call of the system, and everywhere between.
EVERY_STEP = """
    WRITING = ("store.py", "whole_file.py", "_unix.py", "_api.py", "pathlib.py")

    def dying(at):
        seen = 0
        def watch(frame, event, argument):
            nonlocal seen
            if frame.f_code.co_filename.endswith(WRITING):
                seen += 1
                if seen == at:
                    os._exit(9)
        sys.setprofile(watch)
        try:
            add(1)
        finally:
            sys.setprofile(None)
        return seen

    def forked(work):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.write(writing, str(work()).encode())
            os._exit(0)
        os.close(writing)
        told = os.read(reading, 99)
        os.close(reading)
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), told

    old = path.read_bytes()
    status, steps = forked(lambda: dying(0))
    new, steps = path.read_bytes(), int(steps)
    outcomes = []
    for k in range(80):
        path.write_bytes(old)
        at = 1 + k * (steps - 1) // 79
        status, _ = forked(lambda: dying(at))
        found = path.read_bytes()
        before = path.with_name(path.name + ".before")
        outcomes.append({
            "died": status == 9,
            "file": "old" if found == old else "new" if found == new else "broken",
            "before": not before.exists() or before.read_bytes() == old,
        })
    path.write_bytes(old)
    add(1)
    print(json.dumps({"steps": steps, "outcomes": outcomes, "then": path.read_bytes() == new}))
"""

#: Is killed from outside at random, while it writes one change after the other.
AT_RANDOM = """
    chance = random.Random(5)
    outcomes = []
    number = 1
    for _ in range(20):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            while True:
                add(number)
                os.write(writing, b".")
                number += 1
        os.close(writing)
        told = sum(len(os.read(reading, 1)) for _ in range(chance.randrange(4)))
        time.sleep(chance.uniform(0.0, 0.02))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        told += len(os.read(reading, 100_000))
        os.close(reading)
        there = len(read_wheel(path).readings) - number
        outcomes.append([told, there])
        number += there
    print(json.dumps(outcomes))
"""


def ran(script: str, path: Path) -> Any:
    found = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(BEGIN) + textwrap.dedent(script), path],
        capture_output=True,
        text=True,
        check=False,
        env=ENVIRONMENT,
        timeout=300,
    )
    assert found.returncode == 0, found.stderr
    return json.loads(found.stdout)


def test_eighty_deaths_at_every_step_of_writing(tmp_path: Path) -> None:
    path = tmp_path / "wheel.json"
    told = ran(EVERY_STEP, path)
    outcomes = told["outcomes"]
    # More steps than deaths, so that no two deaths are the same.
    assert told["steps"] > 80
    assert len(outcomes) == 80
    assert all(each["died"] and each["before"] for each in outcomes)
    assert {each["file"] for each in outcomes} == {"old", "new"}
    # Once it is the new file it stays so.
    files = [each["file"] for each in outcomes]
    assert files == sorted(files, reverse=True)
    # What the dead left behind is in nobody's way.
    assert told["then"]
    assert not path.with_name(".wheel.json.part").exists()


def test_twenty_deaths_at_random(tmp_path: Path) -> None:
    outcomes = ran(AT_RANDOM, tmp_path / "wheel.json")
    assert len(outcomes) == 20
    # Whatever was told to be written is there, and at most the one on its way besides.
    assert all(told <= there <= told + 1 for told, there in outcomes)
    assert sum(told for told, _ in outcomes) > 10


def command(path: Path, script: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own, after some lines of Python."""
    typed = [str(each) for each in arguments]
    return subprocess.run(
        [sys.executable, "-c", f"{script}\nfrom whirlwise.cli.app import main\nmain({typed!r})"],
        capture_output=True,
        text=True,
        check=False,
        env=ENVIRONMENT,
        cwd=path.parent,
    )


def test_a_disk_that_fills_up_leaves_the_old_file(tmp_path: Path) -> None:
    # The system refuses to let any file grow beyond what is there, in the middle of a write.
    path = tmp_path / "wheel.json"
    assert command(path, "", "hand", path.name, "--across", "rim=450mm").returncode == 0
    old = path.read_bytes()
    full = f"import resource\nresource.setrlimit(resource.RLIMIT_FSIZE, ({len(old) + 100},) * 2)"
    found = command(path, full, "hand", path.name, "--across", "rim=451mm")
    assert found.returncode == 2
    assert found.stdout == ""
    assert found.stderr.startswith(f"The wheel's file {path} could not be written (File too large);")
    assert found.stderr.count("\n") == 1
    assert path.read_bytes() == old
    assert not path.with_name(".wheel.json.part").exists()
    assert command(path, "", "hand", path.name, "--across", "rim=451mm").returncode == 0
    assert len(read_wheel(path).readings) == 2


def test_two_commands_at_once_both_land(tmp_path: Path) -> None:
    path = tmp_path / "wheel.json"
    script = "from whirlwise.cli.app import main\nmain({arguments})"
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", script.format(arguments=["hand", str(path), "--across", f"rim={mm}mm"])],
            stdout=subprocess.DEVNULL,
            env=ENVIRONMENT,
        )
        for mm in (450, 451, 452)
    ]
    assert [writer.wait(timeout=120) for writer in writers] == [0, 0, 0]
    assert sorted(each.id for each in read_wheel(path).readings) == ["hand-1", "hand-2", "hand-3"]
