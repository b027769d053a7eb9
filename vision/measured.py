"""What a measurement gives: a number with its uncertainty, or the reason why there is none."""

from dataclasses import dataclass
from typing import TypeAlias, TypeVar

from uncertainties import UFloat

T = TypeVar("T")

#: Half of a 95 % interval in standard deviations, of a normal distribution.
HALF_WIDTH_95 = 1.959964


@dataclass(frozen=True, slots=True)
class NotMeasured:
    """Stands where a measurement could not be made. It is never a number and never NaN.

    Attributes
    ----------
    reason : str
        Why there is no number, as a sentence for a spinner.
    remedy : str
        What to do so that there is one next time, as a sentence.
    """

    reason: str
    remedy: str

    def __post_init__(self) -> None:
        if not self.reason or not self.remedy:
            raise ValueError("a measurement that was not made needs a reason and a remedy")

    def __str__(self) -> str:
        return f"{self.reason} {self.remedy}"


#: A number with standard uncertainty and correlations, or the reason why there is none.
Outcome: TypeAlias = UFloat | NotMeasured
