"""What was found in one picture, kept so that it need not be found again when something else is asked of it.

A step of a measurement depends on the picture and on what it is told. Whatever it is told stands in its key,
by value; so what is remembered is what would be found again, and a measurement that remembers gives the
numbers of one that does not.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from threading import Lock
from typing import Any, TypeVar

import numpy as np
from uncertainties import UFloat

from .open.picture import Picture

T = TypeVar("T")

#: Outcomes of each step that are kept: for both poses of a rim, and for a mark that goes to and fro.
MOST_KEPT = 8


class Remembered:
    """Outcomes of steps, all of the picture in one file; of another file, or a file that was changed, none.

    Several threads may ask at once; then a step may be done twice.

    Attributes
    ----------
    before_step : callable
        Told the name of each step before it is done anew. What it raises ends the measurement, and what was
        found until then stays remembered.
    """

    def __init__(self) -> None:
        self.before_step: Callable[[str], None] = lambda step: None
        self._of: Hashable = None
        self._steps: dict[str, OrderedDict[Hashable, Any]] = {}
        self._lock = Lock()

    def begin(self, path: Path) -> None:
        """Forget everything unless it is of this file as it is now."""
        try:
            state = path.stat()
        except OSError:
            of = None
        else:
            of = (path.absolute(), state.st_ino, state.st_size, state.st_mtime_ns)
        if of is None or of != self._of:
            self._steps.clear()
        self._of = of

    def once(self, step: str, told: object, find: Callable[[], T]) -> T:
        """The outcome of a step that is told something, found now unless it is remembered."""
        key = by_value(told)
        with self._lock:
            kept = self._steps.setdefault(step, OrderedDict())
            if key in kept:
                kept.move_to_end(key)
                outcome: T = kept[key]
                return outcome
        self.before_step(step)
        outcome = find()
        with self._lock:
            kept[key] = outcome
            while len(kept) > MOST_KEPT:
                kept.popitem(last=False)
        return outcome


def by_value(thing: object) -> Hashable:
    """Something hashable that is equal for things of equal content, and for no others.

    Numbers with uncertainty count by value and uncertainty, arrays by their bytes. Pictures count alike, as
    there is one.
    """
    if isinstance(thing, np.ndarray):
        return (thing.shape, thing.dtype.str, thing.tobytes())
    if isinstance(thing, UFloat):
        return ("number", thing.nominal_value, thing.std_dev)
    if isinstance(thing, Picture):
        return "picture"
    if is_dataclass(thing) and not isinstance(thing, type):
        return (type(thing).__name__, *(by_value(getattr(thing, each.name)) for each in fields(thing)))
    if isinstance(thing, Mapping):
        return tuple((by_value(name), by_value(value)) for name, value in thing.items())
    if isinstance(thing, tuple | list):
        return tuple(map(by_value, thing))
    if isinstance(thing, np.generic):
        return by_value(thing.item())
    if isinstance(thing, str | int | float) or thing is None:
        return thing
    raise TypeError(f"nothing tells when two of {type(thing).__name__} are equal")
