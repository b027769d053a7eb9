"""How many pictures a second a clip was captured with."""

from dataclasses import dataclass

#: The source of a rate that the user gave.
GIVEN = "given by the user"
#: Rates this close to each other (share) are the same.
SAME_RATE = 0.05


@dataclass(frozen=True, slots=True)
class FrameRate:
    """Pictures a second as captured (real time), what says so, and what the file's tag says if it has one."""

    capture_per_s: float
    source: str
    tagged_per_s: float | None = None

    @property
    def is_given(self) -> bool:
        """Whether the user gave it."""
        return self.source == GIVEN
