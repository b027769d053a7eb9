"""What a filling bobbin does to twist and pull, in plain words and as JSON."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.bobbin import AsItPulls, Bobbin, BobbinPoint, ByTheDraw, Continuous, Manner
from ...calc.drive_sizes import MORE_SLIP_PERCENT, THICKER_MM, Cause, Effect
from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.twist import per_inch
from ...calc.winding import BobbinLed, DoubleDrive, Drive, FlyerLed
from .answer import Answer
from .as_json import Json, number
from .table import table
from .twist_words import STATED
from .units import Units, amount, plus_minus, said

#: Less of a change than this nobody feels or sees in the yarn. Common practice, no source.
HARDLY_PERCENT: Final = 3.0

WOUND: Final = (
    "Yarn is wound on by the difference of bobbin and flyer turns: length = pi x bobbin diameter x that "
    "difference. Every turn of the flyer puts in one turn of twist, whatever the bobbin does."
)
WHY_DOUBLE: Final = (
    "Bobbin and flyer differ by the same number of turns throughout, and each of those lays a longer wrap on "
    "a fuller bobbin. So more yarn goes in for the same twist: it falls as the bobbin's diameter grows. This "
    "is the wheel left to itself; hands that hold back (--draw, --drafted) make most of the twist."
)
WHY_DOUBLE_HELD: Final = (
    "While you hold the yarn back, one groove slips and the twist is set by your hands alone. It falls only "
    "if you give in to the bobbin, which draws in more with each of its turns as it fills."
)
WHY_DRAW: Final = (
    "The turns that you count put in the same twist all along. What changes is the twist that goes in while "
    "the draw runs on to the bobbin: a fuller one takes it in fewer turns. Who lets it in more slowly than "
    "the wheel takes it adds more."
)
WHY_FLYER_LED: Final = (
    "The band sets the flyer's turns, so the bobbin's size does not touch the twist. If yours falls all the "
    "same, you draft faster, or the band slips more as the bobbin grows heavy."
)
WHY_BOBBIN_LED: Final = (
    "The flyer lags the bobbin by one turn for each wrap, and a full bobbin takes fewer wraps: the twist "
    "rises a little."
)
PULL: Final = (
    "With brake or band left alone the pull on the yarn weakens as the bobbin fills, because the same torque "
    "acts on a longer arm. Tighten a little at a time to keep it; in double drive that is the band."
)
REMEDIES: Final = (
    "Count a treadle or two more for each draw as the bobbin fills, change to a smaller whirl half-way, or "
    "wind off sooner."
)
OTHER_GROOVE: Final = (
    "While yarn is held back it is taken that the bobbin's groove slips. If the flyer's slips instead (a "
    "slick whirl), that twist is higher by the bobbin's ratio over the flyer's."
)
FINGERS: Final = "Change hooks and touch band or brake only while the wheel stands still."
CAUSES: Final[dict[Cause, str]] = {
    "thicker band": f"band {THICKER_MM:g} mm thicker",
    "flyer slips more": f"flyer's groove slips {MORE_SLIP_PERCENT:g} % more",
    "bobbin slips more": f"bobbin's groove slips {MORE_SLIP_PERCENT:g} % more",
}


@dataclass(frozen=True, slots=True)
class Filled:
    """A bobbin followed from empty to full."""

    drive: Drive
    manner: Manner
    bobbin: Bobbin
    points: Sequence[BobbinPoint]
    effects: Sequence[Effect]

    @property
    def change_percent(self) -> Quantity:
        """By how much the twist changes from the empty to the full bobbin."""
        return 100 * (self.points[-1].twist_per_cm / self.points[0].twist_per_cm - 1)


def bobbin_document(found: Filled) -> Json:
    """Give the course under stable keys."""
    drive = found.drive
    double = isinstance(drive, DoubleDrive)
    return {
        "drive": drive_name(drive),
        "flyer_ratio": number(drive.flyer_ratio)
        if isinstance(drive, DoubleDrive)
        else number(drive.ratio)
        if isinstance(drive, FlyerLed)
        else None,
        "bobbin_ratio": number(drive.bobbin_ratio)
        if isinstance(drive, DoubleDrive)
        else number(drive.ratio)
        if isinstance(drive, BobbinLed)
        else None,
        "twist_change_percent": number(found.change_percent),
        "course": [
            {
                "filled": point.filled,
                "diameter_mm": number(point.diameter_mm),
                "twist_per_cm": number(point.twist_per_cm),
                "twist_per_inch": number(per_inch(point.twist_per_cm)),
                "draw_in_cm_per_treadle": number(point.draw_in_cm),
                "pull_percent": number(point.pull_percent),
            }
            for point in found.points
        ],
        "effects": [
            {
                "cause": CAUSES[effect.cause],
                "twist_percent": number(effect.twist_percent),
                "draw_in_percent": number(effect.draw_in_percent),
            }
            for effect in found.effects
        ],
        "remarks": [*why(found), PULL, *((OTHER_GROOVE,) if double else ())],
    }


def drive_name(drive: Drive) -> str:
    """Name the kind of drive."""
    match drive:
        case FlyerLed():
            return "flyer-led"
        case BobbinLed():
            return "bobbin-led"
        case DoubleDrive():
            return "double"


def bobbin_answer(found: Filled, units: Units) -> Answer:
    """Put the course into words."""
    falls = float(nominal_value(found.change_percent)) < -HARDLY_PERCENT
    held = isinstance(found.drive, DoubleDrive) and not isinstance(found.manner, AsItPulls)
    return Answer(
        says=(_change_sentence(found, units), *why(found)),
        tables=(_course_table(found.points, units), *_effect_tables(found.effects)),
        trust=(WOUND, *((OTHER_GROOVE,) if held else ()), STATED),
        better=(*((REMEDIES,) if falls else ()), PULL),
        mind=(FINGERS,),
    )


def _change_sentence(found: Filled, units: Units) -> str:
    change = float(nominal_value(found.change_percent))
    first, last = (said(point.twist_per_cm, "twist", units) for point in (found.points[0], found.points[-1]))
    if abs(change) < 0.05:
        return f"The twist stays {first} from the empty bobbin to the full one."
    how = "falls" if change < 0 else "rises"
    hardly = " That is hardly to be noticed." if abs(change) < HARDLY_PERCENT else ""
    return (
        f"From the empty bobbin to the full one the twist {how} by {abs(change):.1f} %: from {first} to "
        f"{last}.{hardly}"
    )


def why(found: Filled) -> tuple[str, ...]:
    """Tell why the twist changes as it does."""
    match found.drive, found.manner:
        case _, ByTheDraw():
            return (WHY_DRAW,)
        case DoubleDrive(), AsItPulls():
            return (WHY_DOUBLE,)
        case DoubleDrive(), Continuous():
            return (WHY_DOUBLE_HELD,)
        case BobbinLed(), _:
            return (WHY_BOBBIN_LED,)
        case _:
            return (WHY_FLYER_LED,)


def _course_table(points: Sequence[BobbinPoint], units: Units) -> str:
    headings = [
        "yarn on\nthe bobbin",
        f"diameter\n{amount(1.0, 'small', units)[1]}",
        f"twist\nturns{amount(1.0, 'twist', units)[1]}",
        f"draws in up to\n{amount(1.0, 'hand', units)[1]}/treadle",
        "pull\non the yarn",
    ]
    rows = [
        [
            f"{100 * point.filled:.0f} %",
            plus_minus(amount(point.diameter_mm, "small", units)[0]),
            plus_minus(amount(point.twist_per_cm, "twist", units)[0]),
            plus_minus(amount(point.draw_in_cm, "hand", units)[0]),
            f"{float(nominal_value(point.pull_percent)):.0f} %",
        ]
        for point in points
    ]
    return table(headings, rows)


def _effect_tables(effects: Sequence[Effect]) -> tuple[str, ...]:
    if not effects:
        return ()
    rows = [
        [
            CAUSES[effect.cause],
            f"{plus_minus(interval_95(effect.twist_percent))} %",
            f"{plus_minus(interval_95(effect.draw_in_percent))} %",
        ]
        for effect in effects
    ]
    return (table(["on the empty bobbin", "changes twist by", "and draw-in by"], rows),)
