"""What all readings of a wheel tell together, in plain words and as JSON."""

from typing import Final

from ...calc.interval import Interval
from ...calc.naming import FLYER_WHIRL
from ...calc.ratio_table import RatioRow
from ...calc.rhythm import spread_interval_95
from ...calc.wheel import SPINDLE, WHEEL, Dimension, What
from ..keep.entries import KeptReading, KeptSession
from ..keep.parts_text import parts_document
from ..keep.telling import ToldWheel
from ..keep.told_session import session_of_kept
from .answer import Answer, Row, between
from .as_json import Json, interval_document
from .at_work_words import at_work_sentences
from .dimensions import amount_of, name_of
from .lengths import Lengths
from .photo_words import BEFORE_TREADLING, PHOTO_AND_SLIP, SECOND_VIEW, ratio_sentence
from .quarrels import quarrels
from .ratio_table import MM, ratio_table_text, table_document

NO_READING: Final = "There is no reading to go by; add one with: whirlwise photo PICTURE --add-to FILE"
NO_RATIO: Final = "No reading tells the drive ratio. Take a picture of the whole wheel with its band on."
NO_SIZES: Final = (
    "No reading tells the wheel's sizes. Tape a bank card to the spokes for one picture, and give "
    "--reference card."
)
NO_SLIP: Final = (
    "The slip comes from two clips, one turned slowly by hand without yarn (--by-hand) and one at work."
)
FLYER_COUNTED: Final = (
    "A clip counts the flyer, so where no whirl was named it is taken for the flyer's, the wheel being in "
    "double drive."
)
AGREED: Final = "The {count} readings agree within their doubts (chi-square test, {percent} % chance)."


def wheel_document(told: ToldWheel) -> Json:
    """Give the fused wheel under the keys of the command ``wheel``; pixels, of no picture here, are null."""

    def number(what: Dimension) -> Json | None:
        return interval_document(told.interval_95(what))

    return {
        "file": told.file,
        "wheel": {
            "hub_px": None,
            "outer_mm": number(Dimension("outer_mm")),
            "pitch_mm": number(Dimension("pitch_mm")),
            "out_of_round_percent": None,
        },
        "whirls": [
            {
                "label": label,
                "centre_px": None,
                "outer_mm": number(Dimension("outer_mm", label)),
                "groove_mm": number(Dimension("groove_mm", label)),
                "pitch_mm": number(Dimension("pitch_mm", label)),
            }
            for label in told.whirls()
        ],
        "ratios": [{"whirl": label, "ratio": number(each)} for label, each in told.turning().items()],
        **({"heads": [_head(told, name) for name in told.heads()]} if told.heads() else {}),
        "table": table_document(told.table),
        "parts": parts_document(told.parts),
        "centre_distance_mm": number(Dimension("centre_distance_mm")),
        "slip_percent": interval_document(told.slip_percent()),
        "readings": [_source(kept) for kept in told.used],
        "sessions": [{**_source(kept), **kept.told} for kept in told.sessions],
        "remarks": [*name_sentences(told), *quarrels(told), *gaps(told)],
    }


def _head(told: ToldWheel, name: str) -> Json:
    """A head's own pair: its wheel, the spindle's whirl, and their ratio."""

    def number(what: What, part: str) -> Json | None:
        return interval_document(told.interval_95(Dimension(what, part, name)))

    return {
        "name": name,
        "wheel_pitch_mm": number("pitch_mm", WHEEL),
        "whirl_pitch_mm": number("pitch_mm", SPINDLE),
        "ratio": number("ratio", SPINDLE),
    }


def _source(kept: KeptReading | KeptSession) -> Json:
    return {"id": kept.id, "kind": kept.kind, "file": kept.file or None, "taken": kept.taken}


def wheel_answer(told: ToldWheel, shown: Lengths = MM) -> Answer:
    """Put the fused wheel into words, with its lengths in the unit that is to be shown."""
    carrying = {d.of_circles for kept in told.used for d in kept.reading.values if "ratio" in d.what}
    turning = told.turning()
    ratios = [(label, r) for label, each in turning.items() if (r := told.interval_95(each)) is not None]
    said = [(label, ratio) for label, ratio in ratios if turning[label] in carrying] or ratios
    direct = [(label, ratio) for label, ratio in said if not turning[label].head]
    behind = [(row, row.ratio) for row in told.table if row.turned == "spindle" and row.ratio is not None]
    slips = told.slip_percent() is not None
    return Answer(
        says=(
            *(ratio_sentence(label, ratio, named=len(ratios) > 1) for label, ratio in direct),
            *(head_sentence(row, ratio) for row, ratio in behind),
        )
        or at_work_sentences(told)
        or ("The drive ratio is not known yet.",),
        rows=_rows(told, shown),
        tables=(text,) if (text := ratio_table_text(told.table, shown)) else (),
        trust=(
            *(_reading_sentence(kept, shown) for kept in told.used),
            *map(_session_sentence, told.sessions),
            *name_sentences(told),
            *agreement(told),
            *quarrels(told, shown),
        ),
        better=(*gaps(told), *((PHOTO_AND_SLIP,) if ratios and not slips else ())),
        mind=BEFORE_TREADLING,
    )


def head_sentence(row: RatioRow, ratio: Interval) -> str:
    """Say what one turn of a great wheel does by way of a head, and of which pairs it is the product."""
    product = [between(each) for each in row.pairs if each is not None]
    pairs = f", of two pairs: {product[0]} times {product[1]}" if len(product) == 2 else ""
    return (
        f"By way of {row.groove} and head {row.on}, one turn of the great wheel turns the spindle "
        f"{between(ratio)} times{pairs}."
    )


def _rows(told: ToldWheel, shown: Lengths) -> tuple[Row, ...]:
    dimensions = [Dimension("outer_mm"), Dimension("pitch_mm")]
    for label in told.whirls():
        dimensions += [Dimension(what, label) for what in ("outer_mm", "groove_mm", "pitch_mm")]
    dimensions.append(Dimension("centre_distance_mm"))
    for head in told.heads():
        dimensions += [
            Dimension(what, part, head)
            for part in (WHEEL, SPINDLE)
            for what in ("outer_mm", "groove_mm", "pitch_mm")
        ]
        dimensions.append(Dimension("ratio", SPINDLE, head))
    known = [(each, found) for each in dimensions if (found := told.interval_95(each)) is not None]
    rows = [Row(name_of(each), *amount_of(each, interval, shown)) for each, interval in known]
    slip = told.slip_percent()
    return (*rows, *((Row("slip of the band", slip, "%"),) if slip else ()))


def _reading_sentence(kept: KeptReading, shown: Lengths) -> str:
    numbers = [
        f"{name_of(each)} {between(*amount_of(each, kept.reading.interval_95(each), shown))}"
        for each in kept.reading.values
    ]
    return f"{kept.id}: {kept.title}, {kept.taken[:10]} ({kept.taken_from}): {'; '.join(numbers)}."


def _session_sentence(kept: KeptSession) -> str:
    session = session_of_kept(kept)
    if session is None:
        how = "how it was treadled"
    else:
        spread = between(spread_interval_95(session), "%")
        how = f"{60 / session.usual_turn_s.n:.1f} turns a minute, differing from turn to turn by {spread}"
    return f"{kept.id}: {kept.file}, {kept.taken[:10]} ({kept.taken_from}): {how}."


def name_sentences(told: ToldWheel) -> tuple[str, ...]:
    """Say which whirls of several readings were taken for one and the same, and why."""
    titles = {kept.id: kept.title for kept in told.used}
    seats = tuple(
        f"{seat.groove} in {titles[seat.reading]} ({seat.reading}) is taken for the {seat.whirl} that "
        "carries the band, because it is the only groove there whose size fits the other readings."
        for seat in told.named.seats
    )
    flyer = (FLYER_COUNTED,) if told.named.nameless_is == FLYER_WHIRL else ()
    return (*flyer, *seats)


def agreement(told: ToldWheel) -> tuple[str, ...]:
    """Say how well several readings agree; nothing where there is nothing to compare, or they quarrel."""
    solution = told.fused.solution
    if len(told.used) < 2 or not solution.freedom or told.fused.leaving_out:
        return ()
    return (AGREED.format(count=len(told.used), percent=f"{100 * solution.agreement:.0f}"),)


def gaps(told: ToldWheel) -> tuple[str, ...]:
    """Say what no reading tells yet, and what would."""
    if not told.used:
        return (NO_READING,)
    ratio_known = any(told.interval_95(each) for each in told.turning().values())
    sizes_known = any(told.interval_95(Dimension(what)) for what in ("outer_mm", "pitch_mm"))
    return (
        *(() if ratio_known else (NO_RATIO,)),
        *(() if sizes_known else (NO_SIZES,)),
        *(() if len(told.used) > 1 else (SECOND_VIEW,)),
        *(() if told.slip_percent() is not None else (NO_SLIP,)),
    )
