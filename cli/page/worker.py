"""What runs in a worker process: it is told what to do, tells how far it is, and gives the outcome.

A worker is started afresh (spawned), because the picture libraries don't bear being copied while they run.
"""

import importlib
import os
import signal
import threading
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Final, TypeAlias

from ..side_processes import THREAD_LIMITS

Json: TypeAlias = dict[str, Any]
#: Told what is done, and how much of it is done (0 to 1).
Tell: TypeAlias = Callable[[str, float], None]
#: What a worker can do: a function, or a class whose one object stays with the worker and is called like one.
Task: TypeAlias = Callable[[Json, Tell], Json]

#: Progress is told no more often than this, unless something else is begun.
EVERY_S: Final = 0.1
#: Added to a worker's niceness, so that the page answers while all cores measure.
NICENESS: Final = 5


class StoppedError(Exception):
    """What is done is no longer wanted."""


def work(connection: Connection, warm: Sequence[str] = ()) -> None:
    """Load the modules of ``warm``, then do what is sent, one task after the other, until nobody sends more.

    What comes in is ``("do", job, task, order)``, the task being ``module:function`` or ``module:Class``, and
    ``("stop", job)``. What goes out are tuples: ``("told", what, share)``, then ``("done", outcome)``,
    ``("failed", sentence)``, ``("stopped",)`` or ``("fault",)``.
    """
    # Where it could not be kept from hearing it from the first.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    os.environ.update(dict.fromkeys(THREAD_LIMITS, "1"))
    for module in warm:
        # What cannot be loaded is told by the first job that needs it.
        with suppress(ImportError):
            importlib.import_module(module)
    tasks: dict[str, Task] = {}
    with suppress(EOFError, OSError):
        while True:
            # A job that was stopped may have ended by itself just before that.
            if (message := connection.recv())[0] == "do":
                _do(connection, tasks, *message[1:])


def _do(connection: Connection, tasks: dict[str, Task], job: str, name: str, order: Json) -> None:
    try:
        if name not in tasks:
            module, _, function = name.partition(":")
            found = getattr(importlib.import_module(module), function)
            tasks[name] = found() if isinstance(found, type) else found
        with _in_language_of(order):
            connection.send(("done", tasks[name](order, _Teller(connection, job))))
    except (BrokenPipeError, EOFError):
        raise
    except StoppedError:
        connection.send(("stopped",))
    except Exception as problem:
        sentence = _sentence(problem)
        if sentence is None:
            # A fault of ours: the terminal gets what is needed to mend it, the page a sentence.
            traceback.print_exc()
        connection.send(("fault",) if sentence is None else ("failed", sentence))


@contextmanager
def _in_language_of(order: Json) -> Iterator[None]:
    """Draw, and write reports, in the language of an order within it; whatever else is told stays English.

    The process that serves says that in the page's language, where it is shown.
    """
    if not order.get("language"):
        yield
        return
    # Imported here because most pages are English.
    from ..show.language import SAID
    from .translating.documents import names_in
    from .translating.folder import language_in

    before = SAID.set(language_in(Path(order["language"])).said.keeping(names_in(order)))
    try:
        yield
    finally:
        SAID.reset(before)


def _sentence(problem: Exception) -> str | None:
    """Give the message of an exception if it was written for people."""
    # Imported here because a worker is to be there at once.
    from ...vision.errors import UnreadableFileError, WrongHintError
    from ..app import missing_library_sentence
    from ..trouble import WrongUsageError

    if isinstance(problem, ImportError):
        return missing_library_sentence(str(problem))
    expected = UnreadableFileError | WrongHintError | WrongUsageError
    return str(problem) if isinstance(problem, expected) else None


class _Teller:
    """Tells how far a job is, and ends it where it is told that nobody wants it any more.

    Several threads may tell at once.
    """

    def __init__(self, connection: Connection, job: str) -> None:
        self._connection, self._job = connection, job
        self._lock = threading.Lock()
        self._what, self._next_s = "", 0.0
        self._stopped = False

    def __call__(self, what: str, share: float) -> None:
        with self._lock:
            while self._connection.poll():
                self._stopped |= self._connection.recv() == ("stop", self._job)
            if self._stopped:
                raise StoppedError
            now_s = time.monotonic()
            if what != self._what or now_s >= self._next_s:
                self._what, self._next_s = what, now_s + EVERY_S
                self._connection.send(("told", what, share))
