"""Measuring in a process beside, so that the pictures that keep coming are looked at meanwhile."""

import contextlib
import multiprocessing
import signal
import threading
from collections.abc import Iterator
from multiprocessing.connection import Connection

from .clip import ClipSettings, measure_frames
from .clip_reading import ClipReading
from .open.clip import ClipFrames


class Aside:
    """Measures in one process beside at a time; it ends with the program at the latest."""

    def __init__(self) -> None:
        # Afresh, not as a copy: a copy of a process with threads may hang.
        self._context = multiprocessing.get_context("spawn")
        self._answer: Connection | None = None

    def begin(self, frames: ClipFrames, settings: ClipSettings) -> None:
        """Hand pictures to a new process."""
        self._answer, there = self._context.Pipe(duplex=False)
        process = self._context.Process(target=_measure, args=(there, frames, settings), daemon=True)
        with _deaf_to_interrupts():
            process.start()
        there.close()

    def outcome(self, wait_s: float = 0.0) -> ClipReading | None:
        """Give what came out, once; None while it is not there, or if the process failed."""
        if self._answer is None or not self._answer.poll(wait_s):
            return None
        answer, self._answer = self._answer, None
        try:
            reading = answer.recv()
        except EOFError:
            return None
        return reading if isinstance(reading, ClipReading) else None

    @property
    def idle(self) -> bool:
        """Whether no process is at work."""
        return self._answer is None


@contextlib.contextmanager
def _deaf_to_interrupts() -> Iterator[None]:
    """Within it, a process that is started learns to ignore Ctrl-C from its first moment on.

    The person's Ctrl-C is meant for the program that shows the answer; that one ends the process beside.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _measure(answer: Connection, frames: ClipFrames, settings: ClipSettings) -> None:
    answer.send(measure_frames(frames, settings))
