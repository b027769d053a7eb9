"""Long work: a queue, a few worker processes, and how far each job is.

Each lane is a thread that takes the next job and sits with a worker process until it is done. A worker that
dies takes its own job with it, which says so, and is replaced; stopping a job kills its worker, because
nothing else stops a library in the midst of its work.
"""

import multiprocessing
import queue
import secrets
import threading
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Final, Literal, TypeAlias

from ..side_processes import deaf_to_ctrl_c
from .worker import Json, work

State: TypeAlias = Literal["waiting", "working", "done", "failed", "stopped"]

#: What takes this long hangs.
LONGEST_S: Final = 1800.0
#: How often the clock is looked at while a worker is silent, in s.
GLANCE_S: Final = 1.0
#: The first view of the page comes before a worker, which takes a core for a second or two while it loads.
WARM_AFTER_S: Final = 1.0
#: More jobs than this don't wait; who sends so many is no person.
MOST_WAITING: Final = 200
#: Jobs that ended are remembered until so many came after them.
REMEMBERED: Final = 500


class TooManyJobsError(Exception):
    """The queue is full."""


@dataclass(frozen=True, slots=True)
class Job:
    """How a job stands.

    Attributes
    ----------
    version : int
        Grows with every change, so that who waits for one knows when there was one.
    what, share : str, float
        What is done now, and how much of it is done (0 to 1).
    outcome : dict, optional
        What a job that is done found.
    sentence : str
        Why it failed, in the words of whoever found out; empty where ``why`` tells.
    why : str
        Name of the words for it: ``died``, ``hung`` or ``fault``; else empty.
    """

    id: str
    kind: str
    order: Json
    state: State = "waiting"
    version: int = 0
    what: str = ""
    share: float = 0.0
    outcome: Json | None = None
    sentence: str = ""
    why: str = ""
    began_s: float = 0.0

    @property
    def ended(self) -> bool:
        """Whether nothing will change any more."""
        return self.state in ("done", "failed", "stopped")


class Jobs:
    """The queue and its lanes.

    Parameters
    ----------
    tasks : mapping of str to str
        For each kind of job the function that does it, ``module:function``, see :data:`.tasks.TASKS`.
    lanes : int
        How many jobs run at once.
    warm : sequence of str
        Modules that a worker loads before it is asked for anything.
    """

    def __init__(self, tasks: Mapping[str, str], lanes: int, warm: Sequence[str] = ()) -> None:
        self._tasks, self.warm = tasks, tuple(warm)
        self._lock = threading.Lock()
        self._jobs: dict[str, Job] = {}
        self._queue: queue.Queue[str | None] = queue.Queue()
        self._lanes = [_Lane(self) for _ in range(lanes)]
        self._warming = threading.Timer(WARM_AFTER_S, self._lanes[0].warm_up)
        self._warming.daemon = True

    def open(self) -> None:
        """Start the lanes; soon after, the first one starts a worker, so that no job need wait for that."""
        for lane in self._lanes:
            lane.start()
        self._warming.start()

    def close(self) -> None:
        """End all work, whatever it is at."""
        self._warming.cancel()
        with self._lock:
            for job in self._jobs.values():
                if not job.ended:
                    self._jobs[job.id] = replace(job, state="stopped", version=job.version + 1)
        for _ in self._lanes:
            self._queue.put(None)
        for lane in self._lanes:
            lane.kill()
        for lane in self._lanes:
            lane.join()

    def begin(self, kind: str, order: Json) -> Job:
        """Queue a job.

        Raises
        ------
        KeyError
            If there is no such kind.
        TooManyJobsError
        """
        job = Job(secrets.token_hex(8), kind, order)
        self._tasks[kind]
        with self._lock:
            if sum(other.state == "waiting" for other in self._jobs.values()) >= MOST_WAITING:
                raise TooManyJobsError
            for old in [other.id for other in self._jobs.values() if other.ended][:-REMEMBERED]:
                del self._jobs[old]
            self._jobs[job.id] = job
        self._queue.put(job.id)
        return job

    def look(self, job_id: str) -> Job | None:
        """Tell how a job stands."""
        with self._lock:
            return self._jobs.get(job_id)

    def all(self) -> list[Job]:
        """Give all jobs that are remembered, the oldest first."""
        with self._lock:
            return list(self._jobs.values())

    def ahead_of(self, job: Job) -> int:
        """Count the jobs that wait before a waiting one."""
        with self._lock:
            waiting = [other.id for other in self._jobs.values() if other.state == "waiting"]
        return waiting.index(job.id) if job.id in waiting else 0

    def stop(self, job_id: str) -> None:
        """End a job, whether it waits or is at work; one that has ended stays as it is."""
        with self._lock:
            job = self._jobs.get(job_id)
            if job is None or job.ended:
                return
            self._jobs[job_id] = replace(job, state="stopped", version=job.version + 1)
        for lane in self._lanes:
            lane.kill_if_at(job_id)

    def change(self, job_id: str, **changes: Any) -> bool:
        """Change how a job stands; False if it has ended already, by being stopped, say."""
        with self._lock:
            job = self._jobs[job_id]
            if job.ended:
                return False
            self._jobs[job_id] = replace(job, version=job.version + 1, **changes)
            return True

    def next(self) -> Job | None:
        """Wait for the next job that is still wanted, and mark it as being worked at; None at the end."""
        while (job_id := self._queue.get()) is not None:
            if self.change(job_id, state="working", began_s=time.monotonic()):
                return self.look(job_id)
        return None

    def was_stopped(self, job_id: str) -> bool:
        """Whether the person stopped a job."""
        with self._lock:
            return self._jobs[job_id].state == "stopped"

    def function_of(self, job: Job) -> str:
        """Name the function that does a job."""
        return self._tasks[job.kind]


class _Lane:
    """A thread, and the worker process that it sits with."""

    def __init__(self, jobs: Jobs) -> None:
        self._jobs = jobs
        self._lock = threading.Lock()
        self._at = ""
        self._worker: tuple[BaseProcess, Connection] | None = None
        self._thread = threading.Thread(target=self._run, name="lane", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def warm_up(self) -> None:
        """Have a worker started before there is anything to do, unless all is over already."""
        with self._lock:
            if self._thread.is_alive():
                self._opened()

    def join(self) -> None:
        self._thread.join()

    def kill(self) -> None:
        with self._lock:
            if self._worker is not None:
                self._worker[0].kill()

    def kill_if_at(self, job_id: str) -> None:
        """Kill the worker if it is at a job; never one that has gone on to another."""
        with self._lock:
            if self._at == job_id and self._worker is not None:
                self._worker[0].kill()

    def _run(self) -> None:
        while (job := self._jobs.next()) is not None:
            self._do(job)
        with self._lock:
            self._close()

    def _do(self, job: Job) -> None:
        with self._lock:
            self._at = job.id
            connection = self._opened()
        with suppress(OSError):
            connection.send((self._jobs.function_of(job), job.order))
        alive = self._listen(job, connection)
        with self._lock:
            self._at = ""
            # One that was stopped is being killed, even if its outcome came in just before that.
            if not alive or self._jobs.was_stopped(job.id):
                self._close()
                # At once, so that it has loaded what it needs before the next job.
                self._opened()

    def _listen(self, job: Job, connection: Connection) -> bool:
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
            self._worker = process, here
        return self._worker[1]

    def _close(self) -> None:
        if self._worker is not None:
            process, connection = self._worker
            process.kill()
            process.join()
            connection.close()
            self._worker = None


def _end(message: tuple[Any, ...]) -> dict[str, Any]:
    """What a worker's last message of a job changes."""
    if message[0] == "done":
        return {"state": "done", "share": 1.0, "outcome": message[1]}
    if message[0] == "failed":
        return {"state": "failed", "sentence": message[1]}
    return {"state": "failed", "why": "fault"}
