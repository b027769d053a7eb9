"""What workers do in tests: quickly, slowly, or not at all."""

import os
import signal
import time
from typing import Any

from whirlwise.cli.page.worker import Tell
from whirlwise.vision.errors import UnreadableFileError

Json = dict[str, Any]


def echo(order: Json, tell: Tell) -> Json:
    tell("saying it back", 0.5)
    return {"said": order["say"]}


def slow(order: Json, tell: Tell) -> Json:
    """Go on for longer than anybody waits."""
    for k in range(36_000):
        tell("counting", k / 36_000)
        time.sleep(0.1)
    return {}


def deaf(order: Json, tell: Tell) -> Json:
    """Go on for longer than anybody waits, and hear nothing."""
    time.sleep(3600.0)
    return {}


class Count:
    """Counts how often it was asked."""

    def __init__(self) -> None:
        self.counted = 0

    def __call__(self, order: Json, tell: Tell) -> Json:
        self.counted += 1
        # Long enough for both workers to have something to do.
        time.sleep(0.3)
        return {"process": os.getpid(), "counted": self.counted}


def refuse(order: Json, tell: Tell) -> Json:
    raise UnreadableFileError("This is empty. Copy it again.")


def misread(order: Json, tell: Tell) -> Json:
    """Say something that cannot be sent."""
    return {"a function": lambda: None}


def break_off(order: Json, tell: Tell) -> Json:
    os.kill(os.getpid(), signal.SIGKILL)
    return {}


def fault(order: Json, tell: Tell) -> Json:
    raise ZeroDivisionError("a fault of ours")


def process(order: Json, tell: Tell) -> Json:
    return {"process": os.getpid(), "threads": os.environ["OPENBLAS_NUM_THREADS"]}
