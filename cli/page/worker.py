"""What runs in a worker process: it is told what to do, tells how far it is, and gives the outcome.

A worker is started afresh (spawned), because the picture libraries don't bear being copied while they run.
"""

import importlib
import os
import signal
import time
import traceback
from collections.abc import Callable, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any, Final, TypeAlias

from ..side_processes import THREAD_LIMITS

Json: TypeAlias = dict[str, Any]
#: Told what is done, and how much of it is done (0 to 1).
Tell: TypeAlias = Callable[[str, float], None]
#: What a worker can do.
Task: TypeAlias = Callable[[Json, Tell], Json]

#: Progress is told no more often than this, unless something else is begun.
EVERY_S: Final = 0.1
#: Added to a worker's niceness, so that the page answers while all cores measure.
NICENESS: Final = 5


def work(connection: Connection, warm: Sequence[str] = ()) -> None:
    """Load the modules of ``warm``, then do what is sent, one task after the other, until nobody sends more.

    What comes in is a pair of a task (``module:function``) and its order. What goes out are tuples:
    ``("told", what, share)``, then ``("done", outcome)``, ``("failed", sentence)`` or ``("fault",)``.
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
    with suppress(EOFError, OSError):
        while True:
            task, order = connection.recv()
            _do(connection, task, order)


def _do(connection: Connection, task: str, order: Json) -> None:
    try:
        module, _, name = task.partition(":")
        function: Task = getattr(importlib.import_module(module), name)
        connection.send(("done", function(order, _teller(connection))))
    except (BrokenPipeError, EOFError):
        raise
    except Exception as problem:
        sentence = _sentence(problem)
        if sentence is None:
            # A fault of ours: the terminal gets what is needed to mend it, the page a sentence.
            traceback.print_exc()
        connection.send(("fault",) if sentence is None else ("failed", sentence))


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


def _teller(connection: Connection) -> Tell:
    last_what, next_s = "", 0.0

    def tell(what: str, share: float) -> None:
        nonlocal last_what, next_s
        now_s = time.monotonic()
        if what != last_what or now_s >= next_s:
            last_what, next_s = what, now_s + EVERY_S
            connection.send(("told", what, share))

    return tell
