"""A report's section on bands: those that are noted, how long one must be, and where it slips."""

from collections.abc import Mapping
from typing import Final

from uncertainties import nominal_value

from ...calc.cord import BandPath
from ...calc.grip import USUAL_FRICTION, WHEEL, Grip, grips, slips_first
from ...calc.interval import from_half_width_95, interval_95
from ...calc.parts import Parts
from ...calc.quantity import Quantity
from ...calc.wheel import Dimension
from ..keep.known_wheel import KnownWheel
from ..keep.telling import ToldWheel
from .answer import between
from .band_words import DOUBLE_SLIPS, GRIP
from .lengths import Lengths
from .parts_words import DRIVES, band_words
from .report_contents import ReportTable, Section
from .rounding import texts

NO_LENGTH: Final = (
    "How long a band must be can be told once the wheel, a whirl and the distance between them are known."
)
STRETCHES: Final = (
    "Lengths are those of the band's middle line in use; a cord that stretches by 3 % is cut that much "
    "shorter, and longer by its knot."
)


def band_section(told: ToldWheel, known: KnownWheel, shown: Lengths) -> Section:
    """Tell how the wheel is driven, its bands, their length for every whirl, and the slip."""
    paths = _paths(told.parts, known)
    says = [DRIVES[told.parts.drive]] if told.parts.drive else []
    says += [f"{band_words(band)}." for band in told.parts.bands]
    apart_mm = told.interval_95(Dimension("centre_distance_mm"))
    if apart_mm is not None:
        says.append(f"From axle to spindle it is {between(shown.told(apart_mm), shown.unit)}.")
    slip = told.slip_percent()
    if slip is not None:
        says.append(f"At work the band slipped by {between(slip, '%')}.")
    if not paths:
        return Section("Bands", (" ".join((*says, NO_LENGTH)),))
    held = [grip for path in paths for grip in grips(path, from_half_width_95(*USUAL_FRICTION))]
    double = paths[0].lay == "double"
    return Section(
        "Bands",
        (" ".join((*says, _slip_sentence(held))),),
        tables=(_table(paths, held, shown),),
        points=(STRETCHES, GRIP, *((DOUBLE_SLIPS,) if double else ())),
    )


def _paths(parts: Parts, known: KnownWheel) -> tuple[BandPath, ...]:
    """The ways of a band; none where a size is missing, or sizes cannot be true together."""
    wheel_mm, apart_mm = known.wheel_mm, known.centre_distance_mm
    if wheel_mm is None or apart_mm is None:
        return ()
    whirls = _slowest_first(known.whirls_mm or known.bobbins_mm)
    both = bool(known.whirls_mm and known.bobbins_mm)
    if parts.drive == "double" or (parts.drive is None and both):
        pairs = [
            {flyer: known.whirls_mm[flyer], bobbin: known.bobbins_mm[bobbin]}
            for flyer in known.whirls_mm
            for bobbin in known.bobbins_mm
        ]
        paths = tuple(BandPath("double", wheel_mm, apart_mm, pair) for pair in pairs)
    else:
        paths = tuple(BandPath("open", wheel_mm, apart_mm, {name: mm}) for name, mm in whirls.items())
    return tuple(path for path in paths if _can_be(path))


def _slowest_first(whirls_mm: Mapping[str, Quantity]) -> dict[str, Quantity]:
    return dict(sorted(whirls_mm.items(), key=lambda each: -float(nominal_value(each[1]))))


def _can_be(path: BandPath) -> bool:
    try:
        _ = path.length_mm
    except ValueError:
        return False
    return True


def _table(paths: tuple[BandPath, ...], held: list[Grip], shown: Lengths) -> ReportTable:
    wraps = {grip.label: "{} ({} to {})".format(*texts(interval_95(grip.contact_deg))) for grip in held}
    rows = []
    for path in paths:
        value, low, high = texts(shown.interval(path.length_mm))
        degrees = " and ".join(wraps[label] for label in path.whirls_mm)
        rows.append((" and ".join(path.whirls_mm), value, f"{low} to {high}", degrees))
    twice = ", twice round" if paths[0].lay == "double" else ""
    headings = ("round wheel and", f"length, {shown.unit}", "95 % sure", "wraps, degrees")
    return ReportTable(
        f"The band's length in use{twice}, and how far it wraps the whirl", headings, tuple(rows)
    )


def _slip_sentence(held: list[Grip]) -> str:
    """Where the band slips first: of several whirls under one load, else of wheel and whirl."""
    whirls = list({grip.label: grip for grip in held if grip.label != WHEEL}.values())
    first = slips_first(whirls, by="torque") if len(whirls) > 1 else slips_first(held, by="pull")
    names = ["the wheel" if name == WHEEL else name for name in (first.label, *first.rivals)]
    if len(names) == 1:
        return f"The band slips on {names[0]} first."
    return f"Where the band slips first the numbers do not tell: on {' or '.join(names)}."
