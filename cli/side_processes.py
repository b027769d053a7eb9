"""Processes that work side by side: their threads, and a Ctrl-C that is not theirs."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import resource_tracker
from typing import Final

#: The libraries read these once, when they are loaded. Their threads wait for each other in busy loops: of
#: a process that yields to others, one waited for minutes for another that got no turn. Each process has a
#: core, and so no need of them.
THREAD_LIMITS: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@contextmanager
def deaf_to_ctrl_c() -> Iterator[None]:
    """Let processes that are started within it never hear Ctrl-C.

    It reaches every process of a terminal; the one that began all this ends the others. A process that only
    comes to ignore it by itself would break off while it loads, with a traceback.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # Started later, this helper of the library's would let the signal through again.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
