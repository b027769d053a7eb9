"""Whether there is a file to read at all, and how its troubles are told."""

import pathlib
import stat

from ..errors import UnreadableFileError

RECORD_AGAIN = "record it again, or copy it again from the camera"
CHECK_NAME = "check the name and the folder"


def check_place(path: pathlib.Path, expected: str) -> None:
    """Refuse what cannot be a recording, before anything is read.

    Parameters
    ----------
    expected : str
        What the file should be, such as ``"a whole video clip such as .mp4 or .mov"``.

    Raises
    ------
    UnreadableFileError
        If there is no such file, or it is a folder, a device or empty.
    """
    try:
        found = path.stat()
    except FileNotFoundError as error:
        raise UnreadableFileError(sentence(path, "a name that no file has", expected, CHECK_NAME)) from error
    except OSError as error:
        raise UnreadableFileError(
            sentence(path, f"no file ({error.strerror})", expected, CHECK_NAME)
        ) from error
    if stat.S_ISDIR(found.st_mode):
        raise UnreadableFileError(sentence(path, "a folder", expected, "name one file in it"))
    if not stat.S_ISREG(found.st_mode):
        raise UnreadableFileError(sentence(path, "a device", expected, CHECK_NAME))
    if found.st_size == 0:
        raise UnreadableFileError(sentence(path, "an empty file", expected))


def what_is_wrong(error: Exception) -> str:
    """Say why a file could not be decoded."""
    if isinstance(error, PermissionError):
        return "a file that you may not read"
    return "a file that cannot be decoded (another kind of file, or one that was cut off)"


def sentence(path: pathlib.Path, got: str, expected: str, remedy: str = RECORD_AGAIN) -> str:
    """Put a trouble with a file into one sentence: what was got, what was expected, what to do."""
    return f"{path}: got {got}, expected {expected}; {remedy}."
