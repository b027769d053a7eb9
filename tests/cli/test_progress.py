"""Long work tells how far it is, on a terminal only, and a stop is one sentence."""

import io

import pytest
from tests.cli.conftest import Whirlwise

from whirlwise.cli.show import progress
from whirlwise.cli.show.progress import Progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_line_that_is_gone_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress, "PATIENCE_S", -1.0)
    terminal = Terminal()
    with Progress(terminal) as line:
        line.tell("reading the clip", 0.25)
    assert terminal.getvalue().startswith("\rreading the clip: 25 % (Ctrl-C stops it)")
    assert terminal.getvalue().endswith("\r" + " " * len("reading the clip: 25 % (Ctrl-C stops it)") + "\r")


def test_short_work_tells_nothing() -> None:
    terminal = Terminal()
    with Progress(terminal) as line:
        line.tell("reading the clip", 0.25)
    assert terminal.getvalue() == ""


def test_no_terminal_no_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress, "PATIENCE_S", -1.0)
    file = io.StringIO()
    with Progress(file) as line:
        line.tell("reading the clip", 0.25)
    assert file.getvalue() == ""


def test_a_stop_is_a_sentence(whirlwise: Whirlwise, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("whirlwise.cli.commands.clip.measure_clip", stopped)
    found = whirlwise("clip", "any.mp4")
    assert found.status == 130
    assert found.out == ""
    assert "Stopped before the end: nothing was written, no file was changed." in found.err
    assert "Traceback" not in found.err
