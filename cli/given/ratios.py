"""Drive ratios as people give them: typed for each whirl, or taken from a wheel's file."""

from collections.abc import Sequence
from pathlib import Path

from ...calc.quantity import Quantity
from ..keep.known_ratios import known_ratios, twisting_ratios
from ..trouble import WrongUsageError
from .making import named_ratios, ratio_typed
from .yarn import share


def ratios_given(
    typed: Sequence[str], wheel_file: Path | None, slip: str | None = None
) -> dict[str, Quantity]:
    """Give the ratio of every whirl by its name, the typed ones after those of the wheel's file.

    Of a file those that twist the yarn: in double drive the flyer's. A slip is taken off the typed ones.

    Raises
    ------
    WrongUsageError
        If there is none, two whirls have one name, or a text is no ratio.
    UnreadableFileError
        If the wheel's file cannot be read.
    """
    ratios: dict[str, Quantity] = {} if wheel_file is None else dict(twisting_ratios(wheel_file))
    if wheel_file is not None and not ratios and not typed:
        raise WrongUsageError(f"--wheel got '{wheel_file}', in which no ratio is known; add --ratio 12.5.")
    for label, ratio in named_ratios(typed, "--ratio", tuple(ratios)).items():
        ratios[label] = ratio * _kept(slip)
    if not ratios:
        raise WrongUsageError("There is no whirl to reckon with; give --ratio small=12.5 or --wheel FILE.")
    return ratios


def one_ratio(
    typed: str | None, wheel_file: Path | None, whirl: str | None, slip: str | None = None
) -> Quantity | None:
    """Give the one ratio that is meant, a typed one without its slip; None where neither is given.

    Raises
    ------
    WrongUsageError
        If both are given, or it stays open which whirl of the file is meant.
    UnreadableFileError
        If the wheel's file cannot be read.
    """
    if wheel_file is None:
        if whirl is not None:
            raise WrongUsageError("--whirl names a whirl in a wheel's file; give --wheel FILE with it.")
        if typed is None:
            return None
        return ratio_typed(typed, "--ratio") * _kept(slip)
    if typed is not None:
        raise WrongUsageError("--ratio and --wheel both tell the ratio; give one of them.")
    known = twisting_ratios(wheel_file) if whirl is None else known_ratios(wheel_file)
    if whirl is None and len(known) == 1:
        return next(iter(known.values()))
    if whirl not in known:
        raise WrongUsageError(
            f"--whirl expects the name of a whirl in {wheel_file} whose ratio is known: "
            f"{', '.join(known) or 'there is none'}."
        )
    return known[whirl]


def _kept(slip: str | None) -> Quantity:
    """The share of its speed that a slipping band leaves to the flyer."""
    return 1.0 if slip is None else 1 - share(slip, "--slip")
