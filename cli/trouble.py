"""How a command ends, and what went wrong in the person's own words."""

from enum import IntEnum


class ExitStatus(IntEnum):
    """Exit statuses that scripts rely on."""

    MEASURED = 0
    WRONG_USAGE = 2
    NOTHING_MEASURED = 3
    UNREADABLE = 4
    #: As shells tell it: 128 and the number of the signal that Ctrl-C sends.
    STOPPED = 130


class StoppedError(Exception):
    """Stopped by the person after something was kept; the message says what."""


class WrongUsageError(ValueError):
    """Something typed that cannot be meant; one sentence: what was got, what was expected, what to do."""

    @classmethod
    def of_option(cls, option: str, text: str, expected: str) -> "WrongUsageError":
        """Name the option, what was typed after it and what was expected there."""
        return cls(f"{option} got '{text}' but expects {expected}.")
