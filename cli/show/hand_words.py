"""What figures taken by hand tell, in plain words and as JSON."""

from typing import Final

from ...calc.interval import interval_95
from ..keep.hand_numbers import HandFigures
from ..keep.numbers import Numbers
from .answer import Answer, Row
from .as_json import Json, number
from .dimensions import amount_of, name_of
from .lengths import Lengths

ON_BOTTOM: Final = (
    "The band is taken to rest on the groove's bottom. In a V groove it does not: measure over the band "
    "instead (small/band=33mm), or say --v-groove."
)
NO_BAND: Final = "How thick is the band? With --band 2.4mm a groove also tells where the band runs."
TURNS_RULE: Final = (
    "Of turns counted whole, what was left over may be anything up to a turn. Judge it by eye (10:109.5), or "
    "count more turns of the wheel: twice as many halve the doubt."
)
MIND: Final = (
    "Turn the wheel slowly by hand to count, and keep fingers, hair and sleeves off the flyer.",
    "Take the string off before the wheel turns.",
)


def hand_document(file: str, numbers: Numbers, figures: HandFigures) -> Json:
    """Give the figures under stable keys."""
    return {
        "file": file,
        "numbers": [
            {
                "of": dimension.part,
                "what": dimension.what,
                **({"head": dimension.head} if dimension.head else {}),
                **(number(value) or {}),
            }
            for dimension, value in numbers.items()
        ],
        "remarks": list(_remarks(numbers, figures)),
    }


def hand_answer(numbers: Numbers, figures: HandFigures, shown: Lengths) -> Answer:
    """Put the figures into words, with lengths in the unit that is to be shown."""
    rows = tuple(
        Row(name_of(dimension), *amount_of(dimension, interval_95(value), shown))
        for dimension, value in numbers.items()
    )
    return Answer(says=("Your figures tell:",), rows=rows, better=_remarks(numbers, figures), mind=MIND)


def _remarks(numbers: Numbers, figures: HandFigures) -> tuple[str, ...]:
    grooves = any(dimension.what == "groove_mm" for dimension in numbers)
    rests = grooves and figures.band_mm is not None and not figures.v_groove
    return (
        *((ON_BOTTOM,) if rests else ()),
        *((NO_BAND,) if grooves and figures.band_mm is None else ()),
        *((TURNS_RULE,) if any(each.flyer_turns.s > 0.2 for each in figures.counted) else ()),
    )
