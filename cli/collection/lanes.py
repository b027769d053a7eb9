"""Work done side by side in processes of their own, so that none of it can stop the rest.

A process is started afresh (spawned), because the picture libraries don't bear being copied while they run,
and each works with one thread, because there is one for every core. One that dies takes its own task with it
and is replaced.
"""

import multiprocessing
import os
import signal
import time
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from typing import Any, Final, Generic, TypeVar

import cv2

from ..side_processes import THREAD_LIMITS, deaf_to_ctrl_c

T = TypeVar("T")
R = TypeVar("R")

#: The largest pictures take a few minutes on a slow machine; what takes this long hangs.
LONGEST_S: Final = 1800.0
#: How often the clock is looked at, in s.
GLANCE_S: Final = 1.0


@dataclass(slots=True)
class _Lane(Generic[T]):
    """A process, the line to it, what it works on and since when."""

    process: BaseProcess
    connection: Connection
    task: T
    began_s: float


def cores() -> int:
    """How many processes can run at once here."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def side_by_side(
    tasks: Iterable[T],
    work: Callable[[T], R],
    broke_off: Callable[[T, str], R],
    *,
    lanes: int,
    longest_s: float = LONGEST_S,
) -> Generator[R, None, None]:
    """Give the outcome of each task as it is done, in whatever order.

    Parameters
    ----------
    tasks : iterable
    work : callable
        Does one task, in another process; it must be a function of a module.
    broke_off : callable
        Gives the outcome of a task whose process died or hung, and why.
    lanes : int
        How many processes work at once.
    longest_s : float
        A task that takes longer is broken off.
    """
    waiting = deque(tasks)
    busy: list[_Lane[T]] = []
    try:
        while waiting or busy:
            while waiting and len(busy) < lanes:
                busy.append(_opened(work, waiting.popleft()))
            for lane in _ready(busy, longest_s):
                answer = _answer(lane, longest_s)
                outcome = answer[0] if isinstance(answer, tuple) else broke_off(lane.task, answer)
                if isinstance(answer, tuple) and waiting:
                    _give(lane, waiting.popleft())
                else:
                    busy.remove(lane)
                    _close(lane)
                yield outcome
    finally:
        for lane in busy:
            _close(lane)


def _opened(work: Callable[[T], R], task: T) -> _Lane[T]:
    spawn = multiprocessing.get_context("spawn")
    here, there = spawn.Pipe()
    with _one_thread_each(), deaf_to_ctrl_c():
        process = spawn.Process(target=_work, args=(there, work), daemon=True)
        process.start()
    there.close()
    lane = _Lane(process, here, task, 0.0)
    _give(lane, task)
    return lane


def _give(lane: _Lane[T], task: T) -> None:
    lane.task, lane.began_s = task, time.monotonic()
    # If the process is dead already, the line tells so when it is read.
    with suppress(OSError):
        lane.connection.send(task)


def _ready(busy: list[_Lane[T]], longest_s: float) -> list[_Lane[T]]:
    """Lanes that have answered, died or hung."""
    answered = wait([lane.connection for lane in busy], timeout=min(GLANCE_S, longest_s))
    now_s = time.monotonic()
    return [lane for lane in busy if lane.connection in answered or now_s - lane.began_s > longest_s]


def _answer(lane: _Lane[T], longest_s: float) -> tuple[Any] | str:
    """Give what a lane found, in a tuple, or why it found nothing."""
    if not lane.connection.poll():
        return f"it took longer than {longest_s:.0f} s"
    try:
        return (lane.connection.recv(),)
    except (EOFError, OSError):
        return "its process died; perhaps there was not enough memory"


def _close(lane: _Lane[T]) -> None:
    lane.process.kill()
    lane.process.join()
    lane.connection.close()


def _work(connection: Connection, work: Callable[[Any], Any]) -> None:
    """Do tasks, in a process of its own, until nobody sends one."""
    # Where it could not be kept from hearing it from the first.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cv2.setNumThreads(1)
    with suppress(EOFError, OSError):
        while True:
            connection.send(work(connection.recv()))


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Let processes that are started within it reckon with one thread; what was set stays set."""
    missing = [name for name in THREAD_LIMITS if name not in os.environ]
    os.environ.update(dict.fromkeys(missing, "1"))
    try:
        yield
    finally:
        for name in missing:
            del os.environ[name]
