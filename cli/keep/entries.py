"""What is kept of one picture, clip, set of figures or sitting at the wheel."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from ...calc.wheel import Reading

#: The kind of a reading that was taken by hand, of which there is no picture.
HAND: Final = "hand"


@dataclass(frozen=True, slots=True)
class KeptReading:
    """One reading as it is kept.

    Attributes
    ----------
    kind : str
        The command that measured it: ``"photo"``, ``"clip"``, ``"profile"``, ``"hand"``.
    file : str
        Name of the picture or clip, without its folder; empty for figures taken by hand.
    sha256 : str
        Checksum of that file, in hexadecimal digits (FIPS 180-4); by it the same picture is known again.
        Empty for figures taken by hand.
    taken, taken_from : str
        When it was taken (ISO 8601) and what tells so.
    how : mapping of str to Any
        The options with which it was measured.
    reading : Reading
        Values with their covariance; its name is the reading's id.
    """

    kind: str
    file: str
    sha256: str
    taken: str
    taken_from: str
    how: Mapping[str, Any]
    reading: Reading

    @property
    def id(self) -> str:
        """The name by which the reading is called, such as ``photo-1``."""
        return self.reading.name

    @property
    def title(self) -> str:
        """What to call it before people: the file's name, or that it was taken by hand."""
        return self.file or "what was measured by hand"

    @property
    def source(self) -> tuple[str, ...] | None:
        """What tells whether two readings are of the same thing in the same file; None: of no file.

        One picture may show a great wheel and its head, each measured by a command of its own.
        """
        if not self.sha256:
            return None
        heads = {(dimension.head, dimension.in_head) for dimension in self.reading.values}
        return (self.sha256, self.kind, *(f"{name} {inside}" for name, inside in sorted(heads)))

    def named(self, name: str) -> "KeptReading":
        """Give the same reading under another id."""
        return replace(self, reading=replace(self.reading, name=name))


@dataclass(frozen=True, slots=True)
class KeptSession:
    """One sitting at the wheel: how it was treadled.

    Attributes
    ----------
    id : str
        Such as ``rhythm-1``.
    file, sha256, taken, taken_from, how
        As in a reading.
    told : mapping of str to Any
        What was measured, as JSON holds it.
    """

    id: str
    file: str
    sha256: str
    taken: str
    taken_from: str
    how: Mapping[str, Any]
    told: Mapping[str, Any]

    @property
    def kind(self) -> str:
        """The command that measured it."""
        return "rhythm"

    @property
    def source(self) -> tuple[str, ...]:
        """As in a reading."""
        return (self.sha256, self.kind)

    def named(self, name: str) -> "KeptSession":
        """Give the same session under another id."""
        return replace(self, id=name)
