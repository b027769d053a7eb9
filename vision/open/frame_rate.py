"""How many pictures a second a clip was captured with."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FrameRate:
    """Pictures a second as captured (real time), and what says so."""

    capture_per_s: float
    source: str
