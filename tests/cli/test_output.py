"""What cannot be printed is told in a sentence, with an exit status, and without a traceback."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

COMMAND = [sys.executable, "-c", "from whirlwise.cli.app import main; main()"]
ASKED = (
    ["guide", "photo"],
    ["--help"],
    ["twist", "--ratio=12.5", "--cadence=60", "--drafting=150cm", "--json"],
)
FULL = Path("/dev/full")


@pytest.mark.skipif(not FULL.exists(), reason="this system has no full disk to play with")
@pytest.mark.parametrize("asked", ASKED, ids=" ".join)
def test_a_full_disk(asked: list[str]) -> None:
    with FULL.open("w") as full:
        found = subprocess.run(
            [*COMMAND, *asked], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert found.returncode == 2
    assert found.stderr == (
        "The answer could not be printed (No space left on device); make room, or send it elsewhere.\n"
    )


@pytest.mark.parametrize("asked", ASKED[:1], ids=" ".join)
def test_a_reader_that_went_away(asked: list[str]) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    try:
        found = subprocess.run(
            [*COMMAND, *asked], stdout=writer, stderr=subprocess.PIPE, text=True, check=False
        )
    finally:
        os.close(writer)
    assert found.returncode == 2
    assert found.stderr == "The answer could not be printed (Broken pipe); make room, or send it elsewhere.\n"


@pytest.mark.skipif(not FULL.exists(), reason="this system has no full disk to play with")
def test_where_not_even_trouble_can_be_told_the_status_tells() -> None:
    with FULL.open("w") as full:
        found = subprocess.run([*COMMAND, "guide", "loom"], stdout=full, stderr=full, check=False)
    assert found.returncode == 2
