"""Trouble with a file, told of the name that the person knows, and without the command line's words."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ....vision.errors import UnreadableFileError, WrongHintError
from ...trouble import WrongUsageError
from ..media import put_aside_if_new
from ..plain import plain
from ..words import words


@contextmanager
def in_the_persons_words(*media: dict[str, str]) -> Iterator[None]:
    """Within it, complaints name files as they came; one that cannot be read is not kept if it is new."""
    try:
        yield
    except (UnreadableFileError, WrongHintError, WrongUsageError) as problem:
        sentence = str(problem)
        for medium in media:
            sentence = sentence.replace(medium["file"], medium["name"])
        sentence = plain(sentence)
        # Where there are several, it is not sure which of them cannot be read.
        if isinstance(problem, UnreadableFileError) and len(media) == 1:
            aside = put_aside_if_new(Path(media[0]["folder"]))
            sentence += f" {words()('uploads.put_aside')}" if aside else ""
        raise type(problem)(sentence) from problem
