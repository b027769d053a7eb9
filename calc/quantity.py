"""What every function of this package takes and gives."""

from typing import TypeAlias

from uncertainties import UFloat

#: A number that is known exactly, or with its uncertainty and its correlations to others.
Quantity: TypeAlias = UFloat | float
