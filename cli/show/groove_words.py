"""Which groove to turn, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.groove import GrooveShape, GrooveToTurn, sure_enough
from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ..given.wheel_size import WheelSize
from .answer import Answer
from .as_json import Json, number
from .lengths import Lengths
from .table import table

RULE: Final = (
    "The band's centre line decides: ratio = wheel / whirl, both measured across the middle of the band, "
    "less the slip."
)
ON_BOTTOM: Final = "The band rests on the groove's bottom, its middle half a band above it."
ON_FLANKS: Final = (
    "In this V the band rests on the flanks and does not reach the bottom, so its middle stands {above} "
    "above the bottom, not half a band."
)
TURN_LARGE_FIRST: Final = (
    "Turn the groove a millimetre too large, put the band on, count the flyer's turns for ten turns of the "
    "wheel, and take off the rest: wood comes off, but not on again."
)
POINTED: Final = (
    "No calliper and no gauge reaches the point of a V: turn it with a flat bottom, such as --shape "
    "v60,1mm, and the sizes are those of the flat."
)
#: A flat narrower than this is out of reach for a calliper's jaws (common practice, no source).
CALLIPER_MM: Final = 1.0
ROUGH: Final = (
    "Wheel and band are known too roughly for that: turned exactly so, the ratio may come out anywhere "
    "from {low} to {high}. Measure them better, best with --from-whirl, or turn too large and count."
)
PRINT_IT: Final = "Print it at 100 % (actual size), then hold a bank card against its line."
MIND: Final = (
    "Turning on a lathe: goggles or a face shield, sleeves, hair and strings tied back, no gloves, the blank "
    "turned by hand once before the motor runs. Sand with the dust drawn off and a mask on.",
    "If you have never turned wood, let somebody who is trained do it or stand beside you, and keep to the "
    "rules of the workshop; they come before anything said here.",
    "Try a new whirl by hand first, then slowly. Fingers, hair and sleeves stay away from a flyer that "
    "turns.",
)


@dataclass(frozen=True, slots=True)
class GroovesTold:
    """Grooves to turn, the fastest first, and what they were reckoned from."""

    grooves: tuple[GrooveToTurn, ...]
    size: WheelSize
    shape: GrooveShape
    tolerance_percent: float
    slip_percent: Quantity


def groove_document(told: GroovesTold) -> Json:
    """Give the grooves under stable keys; lengths in mm."""
    return {
        "wheel_pitch_mm": number(told.size.pitch_mm),
        "band_mm": number(told.size.band_mm),
        "shape": {
            "kind": told.shape.kind,
            "angle_deg": told.shape.angle_deg if told.shape.kind == "v" else None,
            "flat_mm": told.shape.flat_mm if told.shape.kind == "v" else None,
        },
        "tolerance_percent": told.tolerance_percent,
        "slip_percent": number(told.slip_percent),
        "grooves": [
            {
                "wished_ratio": groove.ratio,
                "pitch_mm": number(groove.pitch_mm),
                "bottom_mm": number(groove.bottom_mm),
                "smallest_mm": round(groove.smallest_mm, 3),
                "largest_mm": round(groove.largest_mm, 3),
                "edge_mm": round(groove.edge_mm, 3),
                "ratio_as_turned": number(groove.ratio_as_turned),
                "band_on_flanks": groove.band_on_flanks,
            }
            for groove in told.grooves
        ],
        "remarks": [*_rough(told), *_pointed(told), *MIND],
    }


def groove_answer(told: GroovesTold, shown: Lengths) -> Answer:
    """Put the grooves into words."""
    above = told.shape.middle_above_bottom(told.size.band_mm)
    resting = ON_FLANKS if told.shape.on_flanks(told.size.band_mm) else ON_BOTTOM
    return Answer(
        says=tuple(_sentence(groove, told.tolerance_percent, shown) for groove in told.grooves),
        tables=(_table(told, shown),),
        trust=(RULE, resting.format(above=shown.say(above)), told.size.told_by, *_rough(told)),
        better=(TURN_LARGE_FIRST, *_pointed(told)),
        mind=MIND,
    )


def _sentence(groove: GrooveToTurn, tolerance_percent: float, shown: Lengths) -> str:
    return (
        f"For a ratio of {groove.ratio:g} turn a groove of {shown.say(groove.bottom_mm)} across its "
        f"bottom; from {shown.exact(groove.smallest_mm)} to {shown.exact(groove.largest_mm)} {shown.unit} "
        f"the ratio is within {tolerance_percent:g} %, if wheel and band are as given."
    )


def _pointed(told: GroovesTold) -> tuple[str, ...]:
    return (POINTED,) if told.shape.kind == "v" and told.shape.flat_mm < CALLIPER_MM else ()


def _rough(told: GroovesTold) -> tuple[str, ...]:
    rough = [groove for groove in told.grooves if not sure_enough(groove)]
    if not rough:
        return ()
    ratio = interval_95(rough[0].ratio_as_turned)
    return (ROUGH.format(low=f"{ratio.low:.2f}", high=f"{ratio.high:.2f}"),)


def _table(told: GroovesTold, shown: Lengths) -> str:
    unit = shown.unit
    headings = [
        "ratio", f"bottom\n{unit}", f"turn from\n{unit}", f"to\n{unit}", f"band's middle\n{unit}",
        f"edge, at least\n{unit}",
    ]  # fmt: skip
    rows = [
        [
            f"{groove.ratio:g}",
            shown.exact(float(nominal_value(groove.bottom_mm))),
            shown.exact(groove.smallest_mm),
            shown.exact(groove.largest_mm),
            shown.exact(float(nominal_value(groove.pitch_mm))),
            shown.exact(groove.edge_mm),
        ]
        for groove in told.grooves
    ]
    return table(headings, rows)
