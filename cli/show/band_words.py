"""A new band and its grip, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.cord import BandChange, BandPath, CordToCut, Lay
from ...calc.grip import WHEEL, Grip, SlipsFirst, slips_first
from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.ratios import drive_ratio
from ..given.wheel_size import WheelSize
from .answer import Answer, between
from .as_json import Json, number
from .lengths import Lengths
from .rounding import texts
from .table import table

EXACT: Final = (
    "Lengths are those of the band's middle line, by exact geometry; the usual short formula is a quarter "
    "of a percent short for a large wheel with a small whirl."
)
GRIP: Final = (
    "Grip by the law of Euler and Eytelwein, which takes the same dry friction all along and a band that "
    "bends freely. Friction of a cord is known roughly, so trust what is compared more than what stands "
    "alone."
)
DOUBLE_SLIPS: Final = (
    "In double drive one whirl must slip while yarn is held back: that is how it works, not a fault."
)
STRETCH: Final = (
    "How much a cord stretches: mark 1 m on it, pull as hard as the band is pulled, and measure again; 103 "
    "cm is --stretch 3."
)
KNOT: Final = (
    "A knot and its ends take cord as well: --knot 60mm. A spliced, sewn or fused band needs its overlap."
)
TRAVEL: Final = "How far off the length may be hangs on the spindle's travel: --travel 20mm."
MIND: Final = (
    "Stop the wheel before you put a band on or take it off, and keep fingers out from between band and "
    "wheel.",
)


@dataclass(frozen=True, slots=True)
class BandOnPath:
    """A band on its way round wheel and whirl: the cord for it, and how it grips the wheel and the whirls."""

    path: BandPath
    cord: CordToCut
    grips: tuple[Grip, ...]

    @property
    def name(self) -> str:
        """The whirl's name, or both in double drive."""
        return " and ".join(self.path.whirls_mm)

    @property
    def on_whirls(self) -> tuple[Grip, ...]:
        """The grips on whirls alone."""
        return tuple(grip for grip in self.grips if grip.label != WHEEL)


@dataclass(frozen=True, slots=True)
class BandTold:
    """All that is told of a band.

    Attributes
    ----------
    lay : str
    size : WheelSize
        With the new band.
    laid : tuple of BandOnPath
        One for each whirl; in double drive the one round both.
    changes : tuple of BandChange
        What the new band does to the ratios; empty where it is as thick as the old one.
    travel_mm : float
    knotted : bool
        Whether the cord to cut was asked for.
    """

    lay: Lay
    size: WheelSize
    laid: tuple[BandOnPath, ...]
    changes: tuple[BandChange, ...]
    travel_mm: float
    knotted: bool

    @property
    def slips_first(self) -> SlipsFirst:
        """Where the band slips first: of whirls under one load, else of wheel and whirl."""
        whirls = [grip for each in self.laid for grip in each.on_whirls]
        if len(whirls) > 1:
            return slips_first(whirls, by="torque")
        return slips_first(self.laid[0].grips, by="pull")


def band_document(told: BandTold) -> Json:
    """Give the band under stable keys; lengths in mm."""
    first = told.slips_first
    return {
        "lay": told.lay,
        "wheel_pitch_mm": number(told.size.pitch_mm),
        "band_mm": number(told.size.band_mm),
        "bands": [
            {
                "whirls": list(each.path.whirls_mm),
                "in_use_mm": number(each.cord.in_use_mm),
                "slack_mm": number(each.cord.slack_mm),
                "cut_mm": number(each.cord.cut_mm) if told.knotted else None,
                "travel_mm": number(each.cord.travel_mm) if told.travel_mm else None,
                "grips": [_grip_document(grip) for grip in each.grips],
            }
            for each in told.laid
        ],
        "slips_first": first.label,
        "slips_first_rivals": list(first.rivals),
        "ratios_with_new_band": [
            {
                "whirl": change.label,
                "ratio": number(change.ratio),
                "new_ratio": number(change.new_ratio),
                "change_percent": number(change.change_percent),
            }
            for change in told.changes
        ],
        "remarks": [GRIP, *((DOUBLE_SLIPS,) if told.lay == "double" else ())],
    }


def _grip_document(grip: Grip) -> Json:
    return {
        "on": grip.label,
        "contact_deg": number(grip.contact_deg),
        "tension_ratio": number(grip.tension_ratio),
        "pull_share": number(grip.pull_share),
    }


def band_answer(told: BandTold, shown: Lengths) -> Answer:
    """Put the band into words."""
    return Answer(
        says=(
            *(sentence for each in told.laid for sentence in _length_sentences(told, each, shown)),
            *_one_for_all(told, shown),
            _slip_sentence(told),
            *(_change_sentence(change) for change in told.changes),
        ),
        tables=(_table(told, shown),),
        trust=(EXACT, GRIP, *((DOUBLE_SLIPS,) if told.lay == "double" else ()), told.size.told_by),
        better=(STRETCH, *(() if told.knotted else (KNOT,)), *(() if told.travel_mm else (TRAVEL,))),
        mind=MIND,
    )


def _length_sentences(told: BandTold, each: BandOnPath, shown: Lengths) -> tuple[str, ...]:
    order = "Order a band of" if len(told.laid) == 1 else f"For {each.name} order a band of"
    says = f"{order} {shown.say(each.cord.slack_mm)}, measured slack"
    if told.knotted:
        says += f"; as cord, cut {shown.say(each.cord.cut_mm)}"
    if not told.travel_mm:
        return (f"{says}.",)
    off = shown.exact(float(nominal_value(each.cord.travel_mm)))
    return (
        f"{says}. With the spindle in the middle of its travel, it may be up to {off} {shown.unit} longer or "
        "shorter.",
    )


def _one_for_all(told: BandTold, shown: Lengths) -> tuple[str, ...]:
    """Whether one band serves all whirls, which differ in length less than the spindle can take up."""
    if len(told.laid) < 2:
        return ()
    ordered = sorted(told.laid, key=lambda each: float(nominal_value(each.cord.in_use_mm)))
    apart_mm = ordered[-1].cord.in_use_mm - ordered[0].cord.in_use_mm
    needed = shown.say(apart_mm / ordered[0].path.take_up)
    return (f"One band for all of them needs the spindle to be moved by {needed} from one whirl to another.",)


def _slip_sentence(told: BandTold) -> str:
    first = told.slips_first
    held = {grip.label: grip for each in told.laid for grip in each.grips}[first.label]
    wraps = f"it wraps {texts(interval_95(held.contact_deg))[0]} degrees of it"
    if not first.rivals:
        return f"The band slips on {_the(first.label)} first: {wraps}."
    names = " or ".join(_the(name) for name in (first.label, *first.rivals))
    return f"Where the band slips first these numbers do not tell: on {names}."


def _the(label: str) -> str:
    return "the wheel" if label == WHEEL else label


def _change_sentence(change: BandChange) -> str:
    return (
        f"With the new band {change.label} has a ratio of {between(interval_95(change.new_ratio))}, "
        f"{between(interval_95(change.change_percent), '%')} against now."
    )


def _table(told: BandTold, shown: Lengths) -> str:
    headings = ["whirl", "ratio", f"in use\n{shown.unit}", f"slack\n{shown.unit}"]
    headings += [f"to cut\n{shown.unit}"] if told.knotted else []
    headings += ["wraps\ndegrees", "tight over\nslack run", "holds\n% of most"]
    most = max(float(nominal_value(grip.holds_mm)) for each in told.laid for grip in each.on_whirls)
    rows = []
    for each in told.laid:
        lengths = [each.cord.in_use_mm, each.cord.slack_mm, *([each.cord.cut_mm] if told.knotted else [])]
        for place, grip in enumerate(each.on_whirls):
            cells = [shown.cell(length) if place == 0 else "" for length in lengths]
            ratio = drive_ratio(told.size.pitch_mm, each.path.whirls_mm[grip.label])
            rows.append([grip.label[:20], _cell(ratio), *cells, *_grip_cells(grip, most)])
    return table(headings, rows)


def _grip_cells(grip: Grip, most: float) -> list[str]:
    held = float(nominal_value(grip.holds_mm)) / most
    return [_cell(grip.contact_deg), _cell(grip.tension_ratio), f"{100 * held:.0f}"]


def _cell(quantity: Quantity) -> str:
    return texts(interval_95(quantity))[0]
