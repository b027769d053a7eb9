"""``python -m whirlwise.cli.page.translating FOLDER``: make what a translator fills in, or add to it."""

import sys
from pathlib import Path

from ...trouble import ExitStatus, WrongUsageError
from .folder import COMMAND, SENTENCES, WORDS
from .writing import write_folder


def main(typed: list[str]) -> int:
    """Write the folder that was named, and say what to do with it."""
    if len(typed) != 1 or typed[0].startswith("-"):
        print(f"Name one folder, such as: {COMMAND} german", file=sys.stderr)
        return ExitStatus.WRONG_USAGE
    folder = Path(typed[0])
    try:
        left = write_folder(folder)
    except WrongUsageError as problem:
        print(problem, file=sys.stderr)
        return ExitStatus.WRONG_USAGE
    for each in left:
        print(f"No longer said: {each}")
    print(f"Translate {folder / WORDS} and {folder / SENTENCES}; then: whirlwise page --words {folder}")
    return ExitStatus.MEASURED


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
