"""Which whirl suits, in plain words and as JSON."""

from ...calc.interval import interval_95
from ...calc.whirls import WhirlChoice, WhirlInUse
from .answer import Answer, between
from .as_json import Json, number
from .rounding import texts
from .twist_words import SLIP, STATED


def whirls_document(choice: WhirlChoice) -> Json:
    """Give the choice under stable keys, the best whirl first."""
    return {
        "best": choice.best.label,
        "rivals": list(choice.rivals),
        "whirls": [
            {
                "whirl": whirl.label,
                "ratio": number(whirl.ratio),
                "twist_per_cm": number(whirl.twist_per_cm),
                "cadence_per_min": number(whirl.cadence_per_min),
                "cadence_change_percent": number(whirl.cadence_change_percent),
            }
            for whirl in choice.ranked
        ],
        "remarks": [STATED, SLIP],
    }


def whirls_answer(choice: WhirlChoice) -> Answer:
    """Put the choice into words."""
    return Answer(
        says=(
            _best_sentence(choice.best),
            *_rival_sentences(choice),
            *(_cost_sentence(whirl) for whirl in choice.ranked[1:]),
        ),
        trust=("One turn of the flyer puts in one turn: twist = ratio x cadence / drafting speed.", STATED),
        better=(SLIP,),
    )


def _best_sentence(whirl: WhirlInUse) -> str:
    twist = between(interval_95(whirl.twist_per_cm))
    return (
        f"Take the whirl {whirl.label}: at your cadence and drafting speed it gives {twist} turns per cm. "
        f"{_cost(whirl)}"
    )


def _rival_sentences(choice: WhirlChoice) -> tuple[str, ...]:
    if not choice.rivals:
        return ()
    names = " and ".join(choice.rivals)
    return (f"As far as these numbers tell, {names} may suit as well.",)


def _cost_sentence(whirl: WhirlInUse) -> str:
    twist = texts(interval_95(whirl.twist_per_cm))[0]
    return f"With the whirl {whirl.label}: {twist} turns per cm. {_cost(whirl)}"


def _cost(whirl: WhirlInUse) -> str:
    change = interval_95(whirl.cadence_change_percent)
    cadence = texts(interval_95(whirl.cadence_per_min))[0]
    if change.low <= 0 <= change.high:
        return "That is the twist you wish for, as far as these numbers tell."
    return (
        f"The twist you wish for would take {cadence} turns of the wheel a minute, "
        f"{abs(change.value):.0f} % {'faster' if change.value > 0 else 'slower'} than now."
    )
