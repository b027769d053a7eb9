"""How a wheel's dimensions are called before people."""

from typing import Final

from ...calc.wheel import Dimension

NAMES: Final = {
    "outer_mm": "across the edge",
    "groove_mm": "groove",
    "pitch_mm": "where the band runs",
}


def name_of(dimension: Dimension) -> str:
    """Give a dimension's name, such as ``small, groove``."""
    if dimension.what == "centre_distance_mm":
        return "axle to spindle"
    if dimension.what == "ratio":
        return f"ratio ({dimension.part})"
    if dimension.what == "ratio_at_work":
        return f"ratio at work ({dimension.part})"
    where = "across the rim" if dimension == Dimension("outer_mm") else NAMES[dimension.what]
    return f"{dimension.part}, {where}"


def unit_of(dimension: Dimension) -> str:
    """Give a dimension's unit; empty for a ratio."""
    return "mm" if dimension.what.endswith("_mm") else ""
