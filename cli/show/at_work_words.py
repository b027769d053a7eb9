"""What a wheel is known by that was only ever filmed at work: its ratio with the band's slip in it."""

from ..keep.known_ratios import ratios_at_work
from ..keep.telling import ToldWheel
from .answer import between


def at_work_sentences(told: ToldWheel) -> tuple[str, ...]:
    """Say what turned at work, of each whirl of which no ratio without slip is known."""
    ratios = ratios_at_work(told)
    return tuple(
        f"At work one turn of the wheel turned the flyer {between(ratio)} times"
        f"{f', with the {label}' if len(ratios) > 1 else ''}. A band slips by up to about 2 %, so the ratio "
        "of its circles is as great or a little greater."
        for label, ratio in ratios.items()
    )
