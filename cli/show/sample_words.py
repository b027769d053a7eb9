"""Twist counted on the yarn, in plain words and as JSON."""

from dataclasses import dataclass
from typing import Final

from uncertainties import nominal_value

from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.sample import (
    CountedTwist,
    Verdict,
    plied_direction,
    specimens_wanted,
    tension_weight_g,
    verdict,
)
from ...calc.twist import TwistDirection, per_inch
from .answer import Answer, Row
from .as_json import Json, number
from .units import Units, amount, said

HOW: Final = (
    "As ISO 2061 has it: clamp a specimen of known length under a light weight, turn one end until the "
    "fibres (or plies) lie side by side, and count the turns. Twist is turns over the length before that."
)
PLY_BACK: Final = (
    "A freshly spun yarn that is let fold back on itself takes the twist that balances it, 60 to 70 % of its "
    "own: a spinners' rule without firm source. Yarn that has rested shows less."
)
WITHIN_PERCENT: Final = 10.0
WHY: Final[dict[Verdict, str]] = {
    "agrees": "The yarn has the twist that was reckoned, as far as these counts tell.",
    "less on the yarn": (
        "The yarn has less twist than was reckoned: the band slips, the hands draft faster than you think, "
        "or the yarn was pulled off over the end of the bobbin."
    ),
    "more on the yarn": (
        "The yarn has more twist than was reckoned: the hands draft more slowly than you think, or turns go "
        "in while the yarn runs on to the bobbin."
    ),
}


@dataclass(frozen=True, slots=True)
class Sample:
    """What is known of a yarn's twist; None where it was not asked."""

    counted: CountedTwist | None
    ply_back_per_cm: Quantity | None
    from_ply_back_per_cm: Quantity | None
    reckoned_per_cm: Quantity | None
    tex: Quantity | None
    direction: TwistDirection | None

    @property
    def twist_per_cm(self) -> Quantity:
        """The counted twist, or else what the ply-back sample tells."""
        found = self.from_ply_back_per_cm if self.counted is None else self.counted.twist_per_cm
        assert found is not None
        return found


def sample_document(sample: Sample) -> Json:
    """Give the sample under stable keys."""
    counted = sample.counted
    return {
        "counted": None
        if counted is None
        else {
            "twist_per_cm": number(counted.twist_per_cm),
            "twist_per_inch": number(per_inch(counted.twist_per_cm)),
            "spread_percent": None if counted.spread_percent is None else round(counted.spread_percent, 2),
            "specimens": counted.specimens,
            "specimens_for_10_percent": specimens_wanted(counted, WITHIN_PERCENT),
        },
        "ply_back": None
        if sample.from_ply_back_per_cm is None
        else {
            "twist_per_cm": number(sample.from_ply_back_per_cm),
            "twist_per_inch": number(per_inch(sample.from_ply_back_per_cm)),
        },
        "reckoned_twist_per_cm": _optional(sample.reckoned_per_cm),
        "verdict": None
        if sample.reckoned_per_cm is None
        else verdict(sample.twist_per_cm, sample.reckoned_per_cm),
        "weight_g": None if sample.tex is None else number(tension_weight_g(sample.tex)),
        "direction": sample.direction,
        "ply_direction": None if sample.direction is None else plied_direction(sample.direction),
        "remarks": list(_how(sample)),
    }


def _optional(quantity: Quantity | None) -> Json | None:
    return None if quantity is None else number(quantity)


def sample_answer(sample: Sample, units: Units) -> Answer:
    """Put the sample into words."""
    says = [f"The yarn has {said(sample.twist_per_cm, 'twist', units)}."]
    if sample.reckoned_per_cm is not None:
        says.append(WHY[verdict(sample.twist_per_cm, sample.reckoned_per_cm)])
    if sample.direction is not None:
        says.append(f"It lies in {sample.direction}: ply it in {plied_direction(sample.direction)}.")
    return Answer(
        says=tuple(says), rows=tuple(_rows(sample, units)), trust=_how(sample), better=_better(sample, units)
    )


def _rows(sample: Sample, units: Units) -> list[Row]:
    rows = []
    for name, twist in (
        ("counted", None if sample.counted is None else sample.counted.twist_per_cm),
        ("from the ply-back sample", sample.from_ply_back_per_cm),
        ("reckoned", sample.reckoned_per_cm),
    ):
        if twist is not None:
            rows.append(Row(name, *amount(twist, "twist", units)))
    if sample.counted is not None and sample.counted.spread_percent is not None:
        spread = float(f"{sample.counted.spread_percent:.2g}")
        rows.append(Row("spread between specimens", interval_95(spread), "%"))
    if sample.tex is not None:
        rows.append(Row("weight to hang on", *amount(tension_weight_g(sample.tex), "weight", units)))
    return rows


def _how(sample: Sample) -> tuple[str, ...]:
    return (
        *((HOW,) if sample.counted is not None or sample.tex is not None else ()),
        *((PLY_BACK,) if sample.from_ply_back_per_cm is not None else ()),
    )


def _better(sample: Sample, units: Units) -> tuple[str, ...]:
    advice = []
    counted = sample.counted
    if counted is not None:
        wanted = specimens_wanted(counted, WITHIN_PERCENT)
        if wanted is None:
            advice.append("Untwist five specimens at least: one tells nothing of how uneven the yarn is.")
        elif wanted > counted.specimens:
            advice.append(
                f"Uneven as this yarn is, {wanted} specimens would tell its twist to {WITHIN_PERCENT:.0f} %."
            )
    if counted is not None and sample.tex is None:
        advice.append("Give the yarn's count (--count 1400yd/lb) to be told what weight to hang on.")
    both = counted is not None and sample.from_ply_back_per_cm is not None
    if both and counted is not None and sample.from_ply_back_per_cm is not None:
        differs = verdict(sample.from_ply_back_per_cm, counted.twist_per_cm) != "agrees"
        share = float(nominal_value(sample.from_ply_back_per_cm / counted.twist_per_cm))
        if differs:
            advice.append(
                f"The ply-back sample tells {100 * share:.0f} % of what was counted; take it afresh."
            )
    return tuple(advice)
