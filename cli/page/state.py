"""What all screens share, and how a screen reaches it."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, TypeAlias, cast

from starlette.requests import Request

from .jobs import Jobs
from .keys import Keys
from .media import Media
from .wheels import Wheels
from .words import Words

Units: TypeAlias = Literal["metric", "imperial"]


@dataclass(frozen=True, slots=True)
class State:
    """What the page works with.

    Attributes
    ----------
    folder : Path
        The user's folder; nothing is written outside of it.
    media : Media
        Pictures and clips in it.
    phone_address : str, optional
        Where a phone in the same network reaches the page; None if it doesn't.
    stopping : callable
        Tells whether the server is about to end, so that whoever waits lets go.
    """

    folder: Path
    media: Media
    jobs: Jobs
    keys: Keys
    words: Words
    phone_address: str | None = None
    stopping: Callable[[], bool] = field(default=lambda: False)

    @property
    def wheels(self) -> Wheels:
        """Wheels that are kept in the folder."""
        return Wheels(self.folder)


def state_of(request: Request) -> State:
    """Give what all screens share."""
    return cast(State, request.app.state.whirlwise)


def units_of(request: Request) -> Units:
    """Give the units that the person chose; metric before that."""
    return "imperial" if request.cookies.get("whirlwise-units") == "imperial" else "metric"
