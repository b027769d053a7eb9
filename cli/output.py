"""What is printed must arrive: a full disk or a reader that went away is told."""

import contextlib
import os
import sys
from collections.abc import Iterator
from typing import TextIO, cast


class OutputLostError(Exception):
    """Something printed did not arrive; the message says why and what to do.

    Not an ``OSError``, because the command library ends the program without a word on some of these.
    """


class _Checked:
    """The standard output stream, its troubles turned into :class:`OutputLostError`."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def __getattr__(self, name: str) -> object:
        return getattr(self._stream, name)

    def write(self, text: str) -> int:
        """Write, or say what went wrong."""
        try:
            return self._stream.write(text)
        except OSError as problem:
            raise _lost(problem) from problem

    def flush(self) -> None:
        """Send on what was written, or say what went wrong."""
        try:
            self._stream.flush()
        except OSError as problem:
            raise _lost(problem) from problem


def _lost(problem: OSError) -> OutputLostError:
    reason = problem.strerror or type(problem).__name__
    return OutputLostError(f"The answer could not be printed ({reason}); make room, or send it elsewhere.")


@contextlib.contextmanager
def checked_output() -> Iterator[None]:
    """Within it, whatever is printed has arrived or raises.

    Raises
    ------
    OutputLostError
        If it did not arrive.
    """
    stream = sys.stdout
    if stream is None:
        # Started without any output, as by a timer: nobody waits for it.
        yield
        return
    checked = _Checked(stream)
    try:
        with contextlib.redirect_stdout(cast(TextIO, checked)):
            yield
        checked.flush()
    except OutputLostError:
        _give_up(stream)
        raise


def _give_up(stream: TextIO) -> None:
    """Let what could not be written vanish, so that Python doesn't try once more while it ends."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
