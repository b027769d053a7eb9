"""``whirlwise live``: lines while the wheel turns, a summary at the end, however it ends."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.vision.drawn_clips import DrawnClip, write_clip

from whirlwise.vision.open.capture import Snapshot

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

DRAWN = DrawnClip(frames=240)


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_clip(tmp_path_factory.mktemp("live") / "wheel.mp4", DRAWN.pictures())


def test_a_clip_as_if_live(whirlwise: Whirlwise, clip: Path) -> None:
    done = whirlwise("live", clip, "--at-once")
    assert done.status == 0
    lines = [line for line in done.out.splitlines() if " s   " in line]
    assert len(lines) == 7
    assert all(len(line) <= 80 for line in lines)
    assert "No turning wheel is seen yet." in lines[0]
    assert "a minute (" in lines[-1]
    assert "ratio 9.3" in done.out or "turns the flyer 9.3" in " ".join(done.out.split())
    assert "Keep fingers, hair and sleeves away" in done.out


def interrupted() -> Iterator[Snapshot]:
    """A camera, and a person who presses Ctrl-C after seven seconds."""
    for i, picture in enumerate(DRAWN.pictures()[:210]):
        yield Snapshot(picture, i / DRAWN.per_s, 1)
    raise KeyboardInterrupt


def test_ctrl_c_ends_with_a_summary(whirlwise: Whirlwise, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("whirlwise.cli.commands.live.watch_camera", lambda number: interrupted())
    done = whirlwise("live", "--json")
    assert done.status == 0
    told = json.loads(done.out)
    truth = (DRAWN.wheel_rad(np.array([209 / 30])) - DRAWN.wheel_rad(np.zeros(1)))[0] / (2 * np.pi)
    assert told["file"] == "camera 0"
    assert told["wheel"]["turns"]["value"] == pytest.approx(truth, rel=5e-3)
    assert told["ratio"] is None or told["ratio"]["value"] == pytest.approx(DRAWN.ratio, rel=0.01)


def test_no_camera(whirlwise: Whirlwise) -> None:
    done = whirlwise("live", "--camera", 97)
    assert done.status == 4
    assert done.err.strip().startswith("No camera 97 was found on this computer.")


def test_no_such_clip(whirlwise: Whirlwise, tmp_path: Path) -> None:
    done = whirlwise("live", tmp_path / "none.mp4")
    assert done.status == 4
    assert "there is no such clip; check the name and the folder." in done.err


def test_nothing_seen(whirlwise: Whirlwise, tmp_path: Path) -> None:
    wall = write_clip(tmp_path / "wall.mp4", np.full((45, 64, 96), 120, np.uint8))
    done = whirlwise("live", wall, "--at-once")
    assert done.status == 3
    assert "No turning wheel was seen." in done.out
