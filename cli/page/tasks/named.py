"""Trouble with a file, told of the name that the person knows, and without the command line's words."""

from collections.abc import Iterator
from contextlib import contextmanager

from ....vision.errors import UnreadableFileError, WrongHintError
from ...trouble import WrongUsageError
from ..plain import plain


@contextmanager
def in_the_persons_words(*media: dict[str, str]) -> Iterator[None]:
    """Within it, complaints name files as they came."""
    try:
        yield
    except (UnreadableFileError, WrongHintError, WrongUsageError) as problem:
        sentence = str(problem)
        for medium in media:
            sentence = sentence.replace(medium["file"], medium["name"])
        raise type(problem)(plain(sentence)) from problem
