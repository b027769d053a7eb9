"""The ``whirlwise`` command: runs the program and turns every expected trouble into one sentence."""

import contextlib
import re
import sys
from collections.abc import Sequence
from typing import Final, NoReturn

import typer

from ..vision.errors import UnreadableFileError, WrongHintError
from .output import OutputLostError, checked_output
from .trouble import ExitStatus, StoppedError, WrongUsageError

#: Debian's names of the packages that hold libraries which the picture libraries need from the system.
DEBIAN_PACKAGES: Final = {
    "libGL.so": "libgl1",
    "libglib-2.0.so": "libglib2.0-0",
    "libgthread-2.0.so": "libglib2.0-0",
    "libxcb.so": "libxcb1",
}


STOPPED: Final = "Stopped before the end: nothing was written, no file was changed."


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit status."""
    sys.exit(run(arguments))


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command and give its exit status; trouble goes to the standard error stream as one sentence."""
    try:
        with checked_output():
            status = int(
                _program(arguments)(arguments, prog_name="whirlwise", standalone_mode=False)
                or ExitStatus.MEASURED
            )
        # Typer makes Ctrl-C a status; by itself, before and after, Python makes it an exception.
        return _stop(STOPPED, ExitStatus.STOPPED) if status == ExitStatus.STOPPED else status
    except (typer.Abort, KeyboardInterrupt):
        return _stop(STOPPED, ExitStatus.STOPPED)
    except StoppedError as problem:
        return _stop(str(problem), ExitStatus.STOPPED)
    except typer.TyperException as problem:
        return _stop(_usage_sentence(problem), ExitStatus.WRONG_USAGE)
    except (WrongUsageError, WrongHintError, OutputLostError) as problem:
        return _stop(str(problem), ExitStatus.WRONG_USAGE)
    except UnreadableFileError as problem:
        return _stop(str(problem), ExitStatus.UNREADABLE)
    except ImportError as problem:
        sentence = missing_library_sentence(str(problem))
        if sentence is None:
            raise
        return _stop(sentence, ExitStatus.UNREADABLE)


def _program(arguments: Sequence[str] | None) -> typer.Typer:
    """Load the commands, or only the one that is to be there before the picture libraries are loaded."""
    typed = sys.argv[1:] if arguments is None else arguments
    if typed[:1] == ["page"]:
        from .program_of_page import app

        return app
    # Imported here because the picture libraries fail while they are imported where the system lacks a
    # library of theirs.
    from .program import app as all_commands

    return all_commands


def missing_library_sentence(message: str) -> str | None:
    """Name the Debian package to install, where an import failed for want of a system library.

    Examples
    --------
    >>> missing_library_sentence("libGL.so.1: cannot open shared object file: No such file or directory")
    'The system library libGL.so.1 is missing; on Debian install it with: apt-get install libgl1'
    """
    match = re.match(
        r"(?P<library>(?P<stem>lib[\w.+-]+?\.so)[.\d]*): cannot open shared object file", message
    )
    if match is None:
        return None
    package = DEBIAN_PACKAGES.get(match["stem"])
    how = (
        f"install it with: apt-get install {package}"
        if package
        else f"install the package that holds {match['library']}"
    )
    return f"The system library {match['library']} is missing; on Debian {how}"


def _usage_sentence(problem: typer.TyperException) -> str:
    """Write Typer's own complaint as one line with a remedy."""
    context: typer.Context | None = getattr(problem, "ctx", None)
    command = context.command_path if context else "whirlwise"
    complaint = _in_our_words(" ".join(problem.format_message().split()).rstrip("."))
    then = "" if complaint.endswith("?") else ";"
    return f"{complaint}{then} '{command} --help' tells what can be asked."


def _in_our_words(complaint: str) -> str:
    """Say what a value must be as the commands say it, where Typer's checks name it in a programmer's words.

    Examples
    --------
    >>> _in_our_words("Invalid value for '--lay': Value error, 'twice' is not one of 'open', 'double'")
    "--lay got 'twice' but expects one of open, double"
    >>> _in_our_words("Invalid value for '--plies': Input should be greater than or equal to 1")
    '--plies expects a whole number from 1'
    """
    match = re.fullmatch(
        r"Invalid value for '(?P<what>[^']+)'(?: \(env var: [^)]*\))?: (?P<why>.+)", complaint
    )
    if match is None:
        return complaint
    what, why = match.groups()
    if choice := re.fullmatch(r"Value error, '(?P<got>.*)' is not one of (?P<known>.+)", why):
        return f"{what} got '{choice['got']}' but expects one of {choice['known'].replace(chr(39), '')}"
    if least := re.fullmatch(r"Input should be (greater|less) than or equal to (?P<end>\d+)", why):
        return f"{what} expects a whole number {'from' if least[1] == 'greater' else 'up to'} {least['end']}"
    if why.startswith("Input should be a valid integer"):
        return f"{what} expects a whole number, such as 2"
    return complaint


def _stop(sentence: str, status: ExitStatus) -> int:
    # Where not even this can be said, the exit status still tells.
    with contextlib.suppress(OSError):
        print(sentence, file=sys.stderr, flush=True)
    return status
