"""What all screens share, and how a screen reaches it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias, TypeVar, cast

from starlette.requests import Request

from .jobs import Jobs
from .keys import Keys
from .media import Media
from .translating.documents import document_said
from .wheels import Wheels
from .words import Words

if TYPE_CHECKING:
    from .translating.folder import Language

Units: TypeAlias = Literal["metric", "imperial"]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class State:
    """What the page works with.

    Attributes
    ----------
    folder : Path
        The user's folder; nothing is written outside of it.
    media : Media
        Pictures and clips in it.
    language : Language, optional
        That of ``words``; None in English, where no sentence is looked at.
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
    language: "Language | None" = None
    phone_address: str | None = None
    stopping: Callable[[], bool] = field(default=lambda: False)

    def said(self, sentence: str, names: Sequence[str] = ()) -> str:
        """Give a sentence in the language of the page, in which names stay as they are."""
        return sentence if self.language is None else self.language.said.keeping(names)(sentence)

    def told(self, document: T, names: Sequence[str] = ()) -> T:
        """Give what a worker told, as JSON, in the language of the page; names stay as they are."""
        if self.language is None:
            return document
        return document_said(document, self.language.said.keeping(names))

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
