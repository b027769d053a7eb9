"""Things of known size: each kind says how it is found, and one registry names them all.

To add a kind, write its ``find`` in a module of its own and put the :class:`ReferenceKind` into
:data:`REFERENCE_KINDS`.
"""

from .coin import COIN
from .found import FoundReference, ReferenceKind, ReferenceRequest, Surroundings
from .marker import MARKER
from .points import POINTS
from .rectangle import A4, A5, CARD, LETTER
from .rule import RULE
from .sheet import SHEET

__all__ = [
    "AUTOMATIC_KINDS",
    "REFERENCE_KINDS",
    "FoundReference",
    "ReferenceKind",
    "ReferenceRequest",
    "Surroundings",
]

#: All kinds by the name that the spinner types.
REFERENCE_KINDS: dict[str, ReferenceKind] = {
    kind.name: kind for kind in (CARD, A4, A5, LETTER, RULE, COIN, MARKER, SHEET, POINTS)
}

#: Kinds that are looked for when none is named.
AUTOMATIC_KINDS = ("card",)
