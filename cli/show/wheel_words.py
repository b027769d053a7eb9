"""What all readings of a wheel tell together, in plain words and as JSON."""

from collections.abc import Sequence
from typing import Final

from ...calc.fusing import Disagreement, FusedWheel
from ...calc.interval import Interval
from ...calc.seating import Seat
from ...calc.wheel import WHEEL, Dimension
from ..keep.kept import KeptReading
from .answer import Answer, Row, between
from .as_json import Json
from .photo_words import BEFORE_TREADLING, PHOTO_AND_SLIP, SECOND_VIEW, ratio_sentence
from .rounding import DIGITS_IN_JSON, rounded

NO_READING: Final = "There is no reading to go by; add one with: whirlwise photo PICTURE --add-to FILE"
NO_RATIO: Final = "No reading tells the drive ratio. Take a picture of the whole wheel with its band on."
NO_SIZES: Final = (
    "No reading tells the wheel's sizes. Tape a bank card to the spokes for one picture, and give "
    "--reference card."
)
NO_SLIP: Final = (
    "The slip comes from two clips, one turned slowly by hand without yarn (--by-hand) and one at work."
)
FASTER_THAN_ALLOWED: Final = (
    "In {reading} the flyer turned faster than the circles allow, so the readings do not belong together: "
    "was another whirl in use?"
)
WIDENED: Final = (
    "Because readings contradict each other, the intervals were widened until they cover what comes out with "
    "and without what is named here."
)
AGREED: Final = "The {count} readings agree within their doubts (chi-square test, {percent} % chance)."

NAMES: Final = {
    "outer_mm": "across the edge",
    "groove_mm": "groove",
    "pitch_mm": "where the band runs",
}


def wheel_document(
    file: str, used: Sequence[KeptReading], fused: FusedWheel, seats: Sequence[Seat] = ()
) -> Json:
    """Give the fused wheel under the keys of the command ``wheel``; pixels, of no picture here, are null."""
    whirls = _whirls(used)
    return {
        "file": file,
        "wheel": {
            "hub_px": None,
            "outer_mm": _number(fused.interval_95(Dimension("outer_mm"))),
            "pitch_mm": _number(fused.interval_95(Dimension("pitch_mm"))),
            "out_of_round_percent": None,
        },
        "whirls": [
            {
                "label": label,
                "centre_px": None,
                "outer_mm": _number(fused.interval_95(Dimension("outer_mm", label))),
                "groove_mm": _number(fused.interval_95(Dimension("groove_mm", label))),
                "pitch_mm": _number(fused.interval_95(Dimension("pitch_mm", label))),
            }
            for label in whirls
        ],
        "ratios": [
            {"whirl": label, "ratio": _number(fused.interval_95(Dimension("ratio", label)))}
            for label in whirls
        ],
        "centre_distance_mm": _number(fused.interval_95(Dimension("centre_distance_mm"))),
        "slip_percent": _number(_slip_percent(used, fused)),
        "readings": [
            {"id": kept.id, "kind": kept.kind, "file": kept.file, "taken": kept.taken} for kept in used
        ],
        "remarks": [*_seat_sentences(used, seats), *_quarrels(used, fused), *_gaps(used, fused)],
    }


def wheel_answer(used: Sequence[KeptReading], fused: FusedWheel, seats: Sequence[Seat] = ()) -> Answer:
    """Put the fused wheel into words."""
    ratios = [
        (label, ratio)
        for label in _whirls(used)
        if (ratio := fused.interval_95(Dimension("ratio", label))) is not None
    ]
    several = len(ratios) > 1
    slips = _slip_percent(used, fused) is not None
    return Answer(
        says=tuple(ratio_sentence(label, ratio, named=several) for label, ratio in ratios)
        or ("The drive ratio is not known yet.",),
        rows=_rows(used, fused),
        trust=(
            *map(_reading_sentence, used),
            *_seat_sentences(used, seats),
            *_agreement(used, fused),
            *_quarrels(used, fused),
        ),
        better=(*_gaps(used, fused), *((PHOTO_AND_SLIP,) if ratios and not slips else ())),
        mind=BEFORE_TREADLING,
    )


def _number(interval: Interval | None) -> Json | None:
    if interval is None:
        return None
    shown = rounded(interval, DIGITS_IN_JSON)
    return {"value": shown.value, "low": shown.low, "high": shown.high}


def _whirls(used: Sequence[KeptReading]) -> list[str]:
    """Labels of all whirls, those first that carry a band."""
    dimensions = [dimension for kept in used for dimension in kept.reading.values if dimension.part != WHEEL]
    dimensions.sort(key=lambda dimension: not dimension.what.startswith("ratio"))
    return list(dict.fromkeys(dimension.part for dimension in dimensions))


def _rows(used: Sequence[KeptReading], fused: FusedWheel) -> tuple[Row, ...]:
    dimensions = [Dimension("outer_mm"), Dimension("pitch_mm")]
    for label in _whirls(used):
        dimensions += [Dimension(what, label) for what in ("outer_mm", "groove_mm", "pitch_mm")]
    dimensions.append(Dimension("centre_distance_mm"))
    rows = [Row(_name(each), fused.interval_95(each), "mm") for each in dimensions]
    rows.append(Row("slip of the band", _slip_percent(used, fused), "%"))
    return tuple(row for row in rows if row.interval is not None)


def _name(dimension: Dimension) -> str:
    if dimension.what == "centre_distance_mm":
        return "axle to spindle"
    if dimension.what == "ratio":
        return f"ratio ({dimension.part})"
    if dimension.what == "ratio_at_work":
        return f"ratio at work ({dimension.part})"
    where = "across the rim" if dimension == Dimension("outer_mm") else NAMES[dimension.what]
    return f"{dimension.part}, {where}"


def _slip_percent(used: Sequence[KeptReading], fused: FusedWheel) -> Interval | None:
    """Slip in the clip at work that was taken last."""
    at_work = sorted(
        (kept for kept in used if any(d.what == "ratio_at_work" for d in kept.reading.values)),
        key=lambda kept: kept.taken,
    )
    slips = [kept for each in reversed(at_work) if (kept := fused.speed_kept(each.id)) is not None]
    if not slips:
        return None
    return Interval(*(100 * (1 - share) for share in (slips[0].value, slips[0].high, slips[0].low)))


def _reading_sentence(kept: KeptReading) -> str:
    told = [
        f"{_name(dimension)} {between(kept.reading.interval_95(dimension), _unit(dimension))}"
        for dimension in kept.reading.values
    ]
    return f"{kept.id}: {kept.file}, {kept.taken[:10]} ({kept.taken_from}): {'; '.join(told)}."


def _seat_sentences(used: Sequence[KeptReading], seats: Sequence[Seat]) -> tuple[str, ...]:
    files = {kept.id: kept.file for kept in used}
    return tuple(
        f"{seat.groove} in {files[seat.reading]} ({seat.reading}) is taken for the {seat.whirl} that carries "
        "the band, because it is the only groove there whose size fits the other readings."
        for seat in seats
    )


def _unit(dimension: Dimension) -> str:
    return "mm" if dimension.what.endswith("_mm") else ""


def _agreement(used: Sequence[KeptReading], fused: FusedWheel) -> tuple[str, ...]:
    if len(used) < 2 or not fused.solution.freedom or fused.leaving_out:
        return ()
    return (AGREED.format(count=len(used), percent=f"{100 * fused.solution.agreement:.0f}"),)


def _quarrels(used: Sequence[KeptReading], fused: FusedWheel) -> tuple[str, ...]:
    files = {kept.id: kept.file for kept in used}
    found = [_quarrel(each, files[each.reading]) for each in fused.disagreements]
    if fused.leaving_out:
        found.append(WIDENED)
    for kept in used:
        share = fused.speed_kept(kept.id)
        if share is not None and share.low > 1:
            found.append(FASTER_THAN_ALLOWED.format(reading=kept.file))
    return tuple(found)


def _quarrel(each: Disagreement, file: str) -> str:
    unit = _unit(each.dimension)
    return (
        f"{file} ({each.reading}) says {between(each.said, unit)} for: {_name(each.dimension)}; the others "
        f"say {between(each.others_say, unit)}. If you find it wrong, leave it out with "
        f"--without {each.reading}."
    )


def _gaps(used: Sequence[KeptReading], fused: FusedWheel) -> tuple[str, ...]:
    if not used:
        return (NO_READING,)
    ratio_known = any(fused.interval_95(Dimension("ratio", label)) for label in _whirls(used))
    sizes_known = any(fused.interval_95(Dimension(what)) for what in ("outer_mm", "pitch_mm"))
    return (
        *(() if ratio_known else (NO_RATIO,)),
        *(() if sizes_known else (NO_SIZES,)),
        *(() if len(used) > 1 else (SECOND_VIEW,)),
        *(() if _slip_percent(used, fused) is not None else (NO_SLIP,)),
    )
