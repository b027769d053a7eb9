"""What to say where readings contradict each other: what each says, and what most likely went wrong."""

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from ...calc.culprits import Culprit, Mistake, likely_culprit
from ...calc.fusing import Disagreement
from ...calc.interval import Interval
from ...calc.wheel import Dimension
from ..keep.entries import HAND, KeptReading
from ..keep.telling import ToldWheel
from .answer import between
from .dimensions import amount_of, name_of
from .lengths import Lengths
from .ratio_table import MM

WIDENED: Final = (
    "Because readings contradict each other, the intervals were widened until they cover what comes out with "
    "and without what is named here."
)
FASTER_THAN_ALLOWED: Final = (
    "In {reading} the flyer turned faster than the circles allow, so the readings do not belong together: "
    "was another whirl in use?"
)
NO_JUDGE: Final = "Which of them is wrong cannot be told from these alone; one more reading would tell."
SAME_WHIRL: Final = (
    "Do the pictures from the side show the same whirl? If not, measure each again with a name of its own: "
    "--label small."
)
#: A number without which the rest fits so many times better than without the next one is the likely culprit.
MUCH_LIKELIER: Final = 4.0

MISTAKES: Final[dict[Mistake, str]] = {
    "half": "it is half of what the others say: was a radius taken for a diameter, or only every other turn "
    "counted?",
    "double": "it is twice what the others say: was a diameter taken for a radius, or each arm of the flyer "
    "counted?",
    "round for across": "it is what a string round it would measure: give that as --around.",
    "across for round": "it was reckoned as if it were a string's length: give it as --across.",
    "inch for cm": "as inches for centimetres it would fit.",
    "cm for inch": "as centimetres for inches it would fit.",
    "mm for cm": "as millimetres for centimetres it would fit.",
    "cm for mm": "as centimetres for millimetres it would fit.",
    "one turn": "one turn of the flyer more or less would explain it: count again.",
    "another whirl": "it fits the whirl {whirl}: did that one carry the band?",
    "band off the bottom": "a band that does not reach the bottom of its groove, as in a V, would explain "
    "it: measure over the band.",
}


def quarrels(told: ToldWheel, shown: Lengths = MM) -> tuple[str, ...]:
    """Name what contradicts what, the likeliest culprit first, with lengths in the unit to be shown."""
    kept = {each.id: each for each in told.used}
    found = sorted(told.fused.disagreements, key=lambda each: -each.rest_agreement)
    sentences = [
        _quarrel(each, kept[each.reading], _other_ratios(told, each.dimension), rank, found, shown)
        for rank, each in enumerate(found)
    ]
    if len([each for each in told.used if each.kind == "profile"]) > 1 and any(
        kept[each.reading].kind == "profile" for each in found
    ):
        sentences.append(SAME_WHIRL)
    if len({each.reading for each in found}) > 1 and not _stands_out(found):
        sentences.append(NO_JUDGE)
    if told.fused.leaving_out:
        sentences.append(WIDENED)
    for each in told.used:
        share = told.fused.speed_kept(each.id)
        if share is not None and share.low > 1:
            sentences.append(FASTER_THAN_ALLOWED.format(reading=each.title))
    return tuple(sentences)


def _other_ratios(told: ToldWheel, than: Dimension) -> dict[str, Interval]:
    """Ratios by way of other whirls, one of which may have been in use."""
    others = {
        label: each
        for label, each in told.turning().items()
        if each != than.of_circles and each.head == than.head and not than.in_head
    }
    known = {label: told.interval_95(each) for label, each in others.items()}
    return {label: ratio for label, ratio in known.items() if ratio is not None}


def _stands_out(found: list[Disagreement]) -> bool:
    """Whether the first of several is much the likeliest."""
    return len(found) > 1 and found[0].rest_agreement > MUCH_LIKELIER * found[1].rest_agreement


def _quarrel(
    each: Disagreement,
    kept: KeptReading,
    ratios: Mapping[str, Interval],
    rank: int,
    found: list[Disagreement],
    shown: Lengths,
) -> str:
    said, others_say = (
        between(*amount_of(each.dimension, interval, shown)) for interval in (each.said, each.others_say)
    )
    likeliest = "Most likely this one is wrong. " if rank == 0 and _stands_out(found) else ""
    return (
        f"{kept.title} ({each.reading}) says {said} for: {name_of(each.dimension)}; the others say "
        f"{others_say}. {likeliest}{_reason(each, kept, ratios)}If you find it wrong, leave it out with "
        f"--without {each.reading}, or for good with 'whirlwise withdraw'."
    )


def _reason(each: Disagreement, kept: KeptReading, ratios: Mapping[str, Interval]) -> str:
    culprit = likely_culprit(
        each, ratios=ratios, wheel_turns=_wheel_turns(each, kept), by_hand=kept.kind == HAND
    )
    groove = replace(each.dimension, what="groove_mm")
    if culprit is None or (culprit.mistake == "band off the bottom" and groove not in kept.reading.values):
        return ""
    return _why(culprit)


def _why(culprit: Culprit) -> str:
    return f"Perhaps {MISTAKES[culprit.mistake].format(whirl=culprit.whirl)} "


def _wheel_turns(each: Disagreement, kept: KeptReading) -> float | None:
    """Over how many turns of the wheel the flyer's were counted by hand, as it was typed."""
    for text in kept.how.get("--turns", []) if "ratio" in each.dimension.what else []:
        label, named, turns = str(text).rpartition("=")
        counted = re.match(r"\s*([\d.]+)\s*:", turns)
        of_it = not named or each.dimension.in_head or " ".join(label.split()) == each.dimension.part
        if counted and of_it:
            return float(counted[1])
    return None
