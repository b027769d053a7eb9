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
    if text is None:
        return None
    name = " ".join(text.split())
    if not name or not name.isprintable() or name == WHEEL:
        raise WrongUsageError.of_option("--label", text, "a name for the whirl, such as small")
    return name
