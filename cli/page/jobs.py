"""Long work: the queue, and how far each job is. The work itself is done in lanes (`lane.py`).

A lane remembers something of the pictures that it worked at last, so a job goes to the lane that knows its
picture, if that one is free.
"""

import json
import secrets
import threading
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, TypeAlias

from .lane import Lane
from .worker import Json

State: TypeAlias = Literal["waiting", "working", "done", "failed", "stopped"]

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
    def about(self) -> str:
        """What it is about, the files; empty if about none."""
        media = self.order.get("media")
        return json.dumps(media, sort_keys=True) if media else ""

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
        self._changed = threading.Condition(self._lock)
        self._jobs: dict[str, Job] = {}
        self._waiting: list[str] = []
        self._closed = False
        self._lanes = [Lane(self) for _ in range(lanes)]
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
            self._closed = True
            self._changed.notify_all()
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
            self._waiting.append(job.id)
            self._changed.notify_all()
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
            return self._waiting.index(job.id) if job.id in self._waiting else 0

    def stop(self, job_id: str) -> None:
        """End a job, whether it waits or is at work; one that has ended stays as it is."""
        with self._lock:
            job = self._jobs.get(job_id)
            if job is None or job.ended:
                return
            self._jobs[job_id] = replace(job, state="stopped", version=job.version + 1)
            if job_id in self._waiting:
                self._waiting.remove(job_id)
        for lane in self._lanes:
            lane.stop_if_at(job_id)

    def change(self, job_id: str, **changes: Any) -> bool:
        """Change how a job stands; False if it has ended already, by being stopped, say."""
        with self._lock:
            job = self._jobs[job_id]
            if job.ended:
                return False
            self._jobs[job_id] = replace(job, version=job.version + 1, **changes)
            return True

    def next(self, lane: Lane) -> Job | None:
        """Wait for the next job for a lane, and mark it as being worked at; None at the end."""
        with self._changed:
            while not self._closed:
                waiting = (self._jobs[job_id] for job_id in self._waiting)
                job = next((job for job in waiting if self._suits(lane, job)), None)
                if job is not None:
                    self._waiting.remove(job.id)
                    working = replace(job, state="working", version=job.version + 1, began_s=time.monotonic())
                    self._jobs[job.id] = working
                    lane.begins(working)
                    return working
                self._changed.wait()
        return None

    def look_again(self) -> None:
        """Have lanes that wait see whether a job suits them, now that another lane is free, or knows less."""
        with self._changed:
            self._changed.notify_all()

    def _suits(self, lane: Lane, job: Job) -> bool:
        """Whether a lane is to do a job: not if one that suits it better is soon free."""
        return not any(other.is_soon_free and other.suits(job) > lane.suits(job) for other in self._lanes)

    def function_of(self, job: Job) -> str:
        """Name the function that does a job."""
        return self._tasks[job.kind]
