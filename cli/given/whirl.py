"""The option ``--label``: the name of a whirl."""

from ...calc.wheel import WHEEL
from ..trouble import WrongUsageError


def whirl_label(text: str | None) -> str | None:
    """Read a whirl's name.

    Raises
    ------
    WrongUsageError
        If it is empty, holds signs that don't print, or is the word for the drive wheel.
    """
    return None if text is None else part_name(text, "--label", "a name for the whirl, such as small")


def part_name(text: str, option: str, expected: str) -> str:
    """Read the name of a part.

    Raises
    ------
    WrongUsageError
        If it is empty, holds signs that don't print, or is the word for the drive wheel.
    """
    name = " ".join(text.split())
    if not name or not name.isprintable() or name == WHEEL:
        raise WrongUsageError.of_option(option, text, expected)
    return name
