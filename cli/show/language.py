"""The language of what is drawn and written as a whole, such as a report: English, unless told otherwise."""

from collections.abc import Callable
from contextvars import ContextVar
from typing import Final

#: Says a text in that language; texts of our own are English.
SAID: Final[ContextVar[Callable[[str], str]]] = ContextVar("said", default=str)
