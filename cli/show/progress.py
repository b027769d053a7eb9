"""How far a long measurement is: one line on the terminal that is overwritten, and gone when it ends."""

import sys
import time
from types import TracebackType
from typing import Final, Self, TextIO

#: What is done sooner is not told.
PATIENCE_S: Final = 1.0
#: The line changes no more often than this.
EVERY_S: Final = 0.2


class Progress:
    """A line such as ``reading the clip: 40 % (Ctrl-C stops it)`` on the standard error stream.

    Nothing is written where that stream is no terminal, so that a script finds sentences there and no more.
    """

    def __init__(self, stream: TextIO | None = None) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._shown = self._stream.isatty()
        self._next_s = time.monotonic() + PATIENCE_S
        self._length = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._write("")

    def tell(self, what: str, share: float) -> None:
        """Say what is done now, and how much of it is done (0 to 1)."""
        if self._shown and time.monotonic() >= self._next_s:
            self._next_s = time.monotonic() + EVERY_S
            self._write(f"{what}: {round(100 * share)} % (Ctrl-C stops it)")

    def _write(self, line: str) -> None:
        """Write over the last line; nothing where nothing was written and nothing is to be."""
        if self._shown and (line or self._length):
            self._stream.write("\r" + line.ljust(self._length) + ("" if line else "\r"))
            self._stream.flush()
            self._length = len(line)
