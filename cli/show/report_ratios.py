"""A report's sections on ratios and sizes, and on the whirl to make next."""

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from uncertainties import nominal_value

from ...calc.addition import addition
from ...calc.comparing import Stretch
from ...calc.groove import GrooveShape, groove_to_turn
from ...calc.interval import Interval, interval_95
from ...calc.ladder import Ladder, ladder_of
from ...calc.next_whirl import ratios_to_add
from ...calc.quantity import Quantity
from ...calc.ratio_table import RatioRow
from ...calc.speed_class import speed_class
from ...calc.wheel import SPINDLE, WHEEL, Dimension, What
from ..keep.known_wheel import KnownWheel
from ..keep.telling import ToldWheel
from .answer import between
from .at_work_words import at_work_sentences
from .groove_words import MIND, TURN_LARGE_FIRST
from .ladder_words import CUSTOM, LOW_ENDS, added_sentence, class_sentence
from .lengths import Lengths
from .ratio_table import NOT_MEASURED, ratio_cells
from .report_contents import Drawing, ReportTable, Section
from .rounding import texts

NO_RATIO: Final = "The drive ratio is not known yet."
#: Across what, in the order of the table.
DIAMETERS: Final[dict[What, str]] = {
    "outer_mm": "across the edge",
    "groove_mm": "in the groove",
    "pitch_mm": "where the band runs",
}
FROM_TO: Final = "The ratios go from {} to {}."
#: So small that its letters are still read where it takes a third of the page.
LADDER_IN: Final = (3.8, 4.8)
U: Final = GrooveShape("u")


def ladder_of_wheel(known: KnownWheel) -> Ladder | None:
    """Set the ratios by which yarn is twisted in a row; None where none is known."""
    return ladder_of(known.ratios) if known.ratios else None


def lead_sentences(told: ToldWheel) -> tuple[str, ...]:
    """Say what matters most: from where to where the ratios go, and what such a wheel is called."""
    twisting = [row for row in told.table if row.turned != "bobbin"]
    ratios = {row.dimension: row.ratio for row in twisting or told.table if row.ratio}
    if not ratios:
        return at_work_sentences(told) or (NO_RATIO,)
    lowest, highest = _outermost(list(ratios.values()), min), _outermost(list(ratios.values()), max)
    one = len(ratios) == 1
    reach = (
        f"The one ratio is {between(highest)}." if one else FROM_TO.format(between(lowest), between(highest))
    )
    found = speed_class(highest, None if one else lowest)
    low_end = (LOW_ENDS[found.low_end],) if found.low_end else ()
    return reach, " ".join((class_sentence(highest, found), *low_end))


def _outermost(ratios: Sequence[Interval], outer: Callable[[Iterable[float]], float]) -> Interval:
    """The lowest or highest ratio, whichever whirl makes it."""
    return Interval(*(outer(getattr(each, end) for each in ratios) for end in ("value", "low", "high")))


def ratio_section(
    told: ToldWheel, ladder: Ladder | None, cadence_per_min: Quantity | None, shown: Lengths
) -> Section:
    """Tell the ratio of every flyer and bobbin with every whirl, and all sizes, with the ladder."""
    headings = ["whirl", "turns the", "ratio", "95 % sure"]
    if cadence_per_min is not None:
        headings.append(f"turns a minute at {nominal_value(cadence_per_min):.0f}")
    rows = tuple(_ratio_row(row, cadence_per_min) for row in told.table)
    turned = "flyer, bobbin or spindle" if told.heads() else "flyer or bobbin"
    caption = f"Turns of {turned} for one turn of the wheel"
    ratios = (ReportTable(caption, tuple(headings), rows, words=(1,)),) if rows else ()
    return Section(
        "Ratios and sizes",
        tables=(*ratios, *_head_table(told), *size_table(told, shown)),
        drawing=ladder_drawing(ladder) if ladder else None,
        points=(CUSTOM,) if ladder else (),
    )


def _head_table(told: ToldWheel) -> tuple[ReportTable, ...]:
    """Of which two pairs a ratio behind an accelerating head is the product."""
    rows = tuple(
        (f"{row.groove}, {row.on}", *(between(each) if each else NOT_MEASURED for each in row.pairs))
        for row in told.table
        if row.pairs
    )
    headings = ("whirl, head", "great wheel's pair", "head's own pair")
    return (ReportTable("The two pairs behind each ratio", headings, rows),) if rows else ()


def _ratio_row(row: RatioRow, cadence_per_min: Quantity | None) -> tuple[str, ...]:
    turned, whirl, _, ratio, ends = ratio_cells(row)
    speed = "" if row.ratio is None else _speed(row.ratio, nominal_value(cadence_per_min or 0))
    cells = (whirl, turned, ratio, ends.replace("-", " to ") if row.ratio else NOT_MEASURED)
    return cells if cadence_per_min is None else (*cells, speed)


def _speed(ratio: Interval, cadence_per_min: float) -> str:
    """Turns a minute at a cadence, between which ends the ratio leaves them."""
    value, low, high = (cadence_per_min * end for end in (ratio.value, ratio.low, ratio.high))
    return f"{value:.0f} ({low:.0f} to {high:.0f})"


def ladder_drawing(ladder: Ladder) -> Drawing:
    """Draw the ladder; what it shows stands in the table beside it."""
    # Imported here because the plotting library takes longer to load than all else together.
    from .ladder_plot import LadderShown, ladder_figure
    from .plot import drawing
    from .svg import inline_svg

    told = ", ".join(f"{rung.label} {texts(interval_95(rung.ratio))[0]}" for rung in ladder.rungs)
    with drawing():
        figure = ladder_figure([LadderShown("", ladder)], size_in=LADDER_IN)
        return Drawing(
            inline_svg(
                figure,
                name="ladder",
                title="The ratios as the rungs of a ladder",
                description=f"From slow to fast: {told}. Behind them what is called slow, medium and fast.",
            )
        )


def size_table(told: ToldWheel, shown: Lengths) -> tuple[ReportTable, ...]:
    """List the diameters that are known, a row for the wheel and for each groove."""
    grooves = dict.fromkeys([*(row.groove for row in told.table), *told.whirls()])
    parts = {part: ("", part) for part in (WHEEL, *grooves)}
    parts |= {f"head {head}, {part}": (head, part) for head in told.heads() for part in (WHEEL, SPINDLE)}
    rows = [
        (name, *(_size(told.interval_95(Dimension(what, part, head)), shown) for what in DIAMETERS))
        for name, (head, part) in parts.items()
    ]
    known = tuple(row for row in rows if any(row[1:]))
    headings = ("part", *DIAMETERS.values())
    return (ReportTable(f"Diameters in {shown.unit}, with 95 % certainty", headings, known),) if known else ()


def _size(size_mm: Interval | None, shown: Lengths) -> str:
    """A size and its interval."""
    if size_mm is None:
        return ""
    value, low, high = texts(shown.told(size_mm))
    return f"{value} ({low} to {high})"


def next_section(known: KnownWheel, ladder: Ladder | None, wish: Stretch | None, shown: Lengths) -> Section:
    """Tell which whirl to make next, what it would add, and which groove to turn for it."""
    heading = "The next whirl"
    if ladder is None:
        return Section(heading, (NO_RATIO,))
    ratios = ratios_to_add(ladder, wish)
    if not ratios:
        return Section(heading, (_nothing_missing(ladder, wish),))
    says: list[str] = []
    for ratio in (round(each, 2) for each in ratios):
        says += [added_sentence(addition(ladder, ratio)), *_groove_sentences(known, ratio, shown)]
    return Section(heading, tuple(says), points=(TURN_LARGE_FIRST, *MIND))


def _nothing_missing(ladder: Ladder, wish: Stretch | None) -> str:
    if wish is not None:
        return f"From {wish[0]:g} to {wish[1]:g} no whirl is missing."
    if len(ladder.rungs) == 1:
        return "With one ratio alone it hangs on the yarns that are wished for which whirl comes next."
    return "Its ratios lie so close to each other that no whirl is missing between them."


def _groove_sentences(known: KnownWheel, ratio: float, shown: Lengths) -> tuple[str, ...]:
    if known.wheel_mm is None or known.band_mm is None:
        return ("Which groove to turn for it can be told once the wheel's size and the band's are known.",)
    if len(known.heads) > 1:
        return ("Which groove to turn for it hangs on the head behind it.",)
    (behind,) = known.heads.values() or (1.0,)
    try:
        groove = groove_to_turn(ratio, wheel_pitch_mm=known.wheel_mm * behind, band_mm=known.band_mm, shape=U)
    except ValueError as problem:
        return (f"Which groove to turn for it cannot be told: {problem}.",)
    return (
        f"For a ratio of {ratio:.2f} turn a groove of {shown.say(groove.bottom_mm)}, if the band rests on "
        "its bottom.",
    )
