"""How a wheel's dimensions are called before people."""

from typing import Final

from ...calc.interval import Interval
from ...calc.wheel import Dimension
from .lengths import Lengths

NAMES: Final = {
    "outer_mm": "across the edge",
    "groove_mm": "groove",
    "pitch_mm": "where the band runs",
}
RATIOS: Final = {
    "ratio": "ratio",
    "ratio_at_work": "ratio at work",
    "whole_ratio": "whole ratio",
    "whole_ratio_at_work": "whole ratio at work",
}


def name_of(dimension: Dimension) -> str:
    """Give a dimension's name, such as ``small, groove``."""
    if dimension.in_head:
        return _name_in_head(dimension)
    if dimension.what == "centre_distance_mm":
        return "axle to spindle"
    if dimension.what in RATIOS:
        behind = f" with head {dimension.head}" if dimension.head else ""
        return f"{RATIOS[dimension.what]} ({dimension.part}{behind})"
    where = "across the rim" if dimension == Dimension("outer_mm") else NAMES[dimension.what]
    return f"{dimension.part}, {where}"


def _name_in_head(dimension: Dimension) -> str:
    """Such as ``head quick, wheel, groove``."""
    if dimension.what in RATIOS:
        return f"head {dimension.head}, {RATIOS[dimension.what]}"
    return f"head {dimension.head}, {name_of(Dimension(dimension.what, dimension.part))}"


def amount_of(dimension: Dimension, interval: Interval, shown: Lengths) -> tuple[Interval, str]:
    """Give a dimension's interval and its unit as they are to be shown."""
    if unit_of(dimension) != "mm":
        return interval, unit_of(dimension)
    return shown.told(interval), shown.unit


def unit_of(dimension: Dimension) -> str:
    """Give a dimension's unit; empty for a ratio."""
    return "mm" if dimension.what.endswith("_mm") else ""
