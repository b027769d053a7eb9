"""A lane: a thread that takes the next job and sits with a worker process until it is done.

A worker that dies takes its own job with it, which says so, and is replaced. A job that is stopped is asked
to end, so that its worker keeps what it remembers; one that does not listen is killed with its worker,
because nothing else stops a library in the midst of its work.
"""

import multiprocessing
import threading
import time
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import TYPE_CHECKING, Any, Final

from ..side_processes import deaf_to_ctrl_c
from .worker import work

if TYPE_CHECKING:
    from .jobs import Job, Jobs

#: What takes this long hangs.
LONGEST_S: Final = 1800.0
#: How often the clock is looked at while a worker is silent, in s.
GLANCE_S: Final = 1.0
#: A worker that was asked to stop is given so long for it.
STOPPING_S: Final = 1.5
#: So many of the media that it worked at last a worker remembers something of (see `tasks/photo.py`).
KNOWN: Final = 2


class Lane:
    """A thread and the worker process that it sits with.

    The queue tells it which job it begins, while nobody else takes one.
    """

    def __init__(self, jobs: "Jobs") -> None:
        self._jobs = jobs
        self._lock = threading.Lock()
        self._at = ""
        self._stopping, self._killed = False, False
        self._about: tuple[str, ...] = ()
        self._worker: tuple[BaseProcess, Connection] | None = None
        self._thread = threading.Thread(target=self._run, name="lane", daemon=True)

    def start(self) -> None:
        """Begin to take jobs."""
        self._thread.start()

    def warm_up(self) -> None:
        """Have a worker started before there is anything to do, unless all is over already."""
        with self._lock:
            if self._thread.is_alive():
                self._opened()

    def join(self) -> None:
        """Wait for the end."""
        self._thread.join()

    def kill(self) -> None:
        """End the worker, whatever it is at."""
        with self._lock:
            self._kill()

    def begins(self, job: "Job") -> None:
        """Take note of the job that is done next."""
        self._at, self._stopping = job.id, False
        if job.about:
            self._about = (*(each for each in self._about if each != job.about), job.about)[-KNOWN:]

    def suits(self, job: "Job") -> tuple[bool, bool]:
        """How well it suits a job, greater being better: whether it knows the media, whether it is loaded."""
        return job.about in self._about, self._worker is not None

    @property
    def is_soon_free(self) -> bool:
        """Whether nothing is done, or only something that was stopped."""
        return not self._at or self._stopping

    def stop_if_at(self, job_id: str) -> None:
        """Ask the worker to stop if it is at a job, and kill it if it doesn't soon; never at another job."""
        with self._lock:
            if self._at != job_id:
                return
            self._stopping = True
            self._ask_to_stop()
        killing = threading.Timer(STOPPING_S, self._kill_if_at, (job_id,))
        killing.daemon = True
        killing.start()

    def _ask_to_stop(self) -> None:
        if self._worker is not None:
            with suppress(OSError):
                self._worker[1].send(("stop", self._at))

    def _kill_if_at(self, job_id: str) -> None:
        with self._lock:
            if self._at == job_id:
                self._kill()

    def _kill(self) -> None:
        if self._worker is not None:
            self._killed = True
            self._worker[0].kill()

    def _run(self) -> None:
        while (job := self._jobs.next(self)) is not None:
            self._do(job)
            self._jobs.look_again()
        with self._lock:
            self._close()

    def _do(self, job: "Job") -> None:
        with self._lock:
            connection = self._opened()
            with suppress(OSError):
                connection.send(("do", job.id, self._jobs.function_of(job), job.order))
            # A worker that was asked before it knew of the job, took no notice.
            if self._stopping:
                self._ask_to_stop()
        alive = self._listen(job, connection)
        with self._lock:
            self._at = ""
            if not alive or self._killed:
                self._close()
                # At once, so that it has loaded what it needs before the next job.
                self._opened()

    def _listen(self, job: "Job", connection: Connection) -> bool:
        """Pass on what the worker says until it is done; False if it must be replaced."""
        end_s = time.monotonic() + LONGEST_S
        while True:
            try:
                if not connection.poll(GLANCE_S):
                    if time.monotonic() > end_s:
                        self._jobs.change(job.id, state="failed", why="hung")
                        return False
                    continue
                message = connection.recv()
            except (EOFError, OSError):
                # Either it was stopped, and the job says so already, or the worker died by itself.
                self._jobs.change(job.id, state="failed", why="died")
                return False
            if message[0] == "told":
                self._jobs.change(job.id, what=message[1], share=float(message[2]))
                continue
            self._jobs.change(job.id, **_end(message))
            return True

    def _opened(self) -> Connection:
        if self._worker is None:
            spawn = multiprocessing.get_context("spawn")
            here, there = spawn.Pipe()
            process = spawn.Process(target=work, args=(there, self._jobs.warm), daemon=True)
            with deaf_to_ctrl_c():
                process.start()
            there.close()
            self._worker, self._killed = (process, here), False
        return self._worker[1]

    def _close(self) -> None:
        if self._worker is not None:
            process, connection = self._worker
            process.kill()
            process.join()
            connection.close()
            self._worker = None
            self._about = ()


def _end(message: tuple[Any, ...]) -> dict[str, Any]:
    """What a worker's last message of a job changes."""
    if message[0] == "done":
        return {"state": "done", "share": 1.0, "outcome": message[1]}
    if message[0] == "failed":
        return {"state": "failed", "sentence": message[1]}
    if message[0] == "stopped":
        return {"state": "stopped"}
    return {"state": "failed", "why": "fault"}
