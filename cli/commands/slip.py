"""``whirlwise slip``: how much the band slips, from a clip turned by hand and one at work."""

from pathlib import Path
from typing import Annotated

import typer

from ...calc.parts import Drive
from ...calc.quantity import Quantity
from ...calc.slip import Stretch, TurnPlace, slip_between, slip_course, slip_through_turn, without_slip
from ...vision.clip import ClipSettings, measure_clip
from ...vision.clip_course import turning_course
from ...vision.clip_reading import ClipReading, FlyerTurning
from ...vision.measured import NotMeasured, Outcome
from ..given.points import point_px
from ..show.causes import Side
from ..show.progress import Progress
from ..show.slip_words import SlipReading, slip_answer, slip_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import JSON, SIDE


def slip(
    hand: Annotated[
        Path,
        typer.Argument(help="A clip of the wheel turned slowly by hand, without yarn.", show_default=False),
    ],
    work: Annotated[
        Path, typer.Argument(help="A clip of the same wheel, band and whirl at work.", show_default=False)
    ],
    drive: Annotated[
        Drive,
        typer.Option(
            help="How the wheel is driven; bobbin-led: the band drives the bobbin, a brake the flyer."
        ),
    ] = "flyer-led",
    side: SIDE = None,
    hand_flyer: Annotated[
        str | None, typer.Option(help="A click where the flyer turns, in the first picture by hand: X,Y.")
    ] = None,
    work_flyer: Annotated[
        str | None, typer.Option(help="A click where the flyer turns, in the first picture at work: X,Y.")
    ] = None,
    as_json: JSON = False,
) -> None:
    """Tell the slip of the band in percent, and its course, from two clips of one wheel."""
    if hand.exists() and work.exists() and hand.samefile(work):
        raise WrongUsageError(
            f"{work.name} was given twice; give a clip turned by hand first, then one at work."
        )
    clicks = [
        None if click is None else point_px(click, option)
        for click, option in ((hand_flyer, "--hand-flyer"), (work_flyer, "--work-flyer"))
    ]
    by_hand, at_work = (
        _measured(file, ClipSettings(flyer_px=click))
        for file, click in zip((hand, work), clicks, strict=True)
    )
    reading = slip_reading(by_hand, at_work, drive, side)
    finish(slip_document(reading), slip_answer(reading), as_json=as_json)


def _measured(file: Path, settings: ClipSettings) -> ClipReading:
    with Progress() as progress:
        return measure_clip(file, settings, progress.tell)


def slip_reading(by_hand: ClipReading, at_work: ClipReading, drive: Drive, side: Side | None) -> SlipReading:
    """Reckon the slip from two readings of one wheel, turned by hand and at work."""
    found: Outcome
    stretches: tuple[Stretch, ...] = ()
    turn: tuple[TurnPlace, ...] = ()
    if isinstance(by_hand.ratio, NotMeasured):
        found = by_hand.ratio
    elif isinstance(at_work.ratio, NotMeasured):
        found = at_work.ratio
    else:
        found = slip_between(at_work.ratio, by_hand.ratio)
        no_slip = without_slip(by_hand.ratio)
        stretches = _course(at_work, no_slip)
        turn = _turn(at_work.flyer, no_slip)
    return SlipReading(by_hand, at_work, found, stretches, drive, side, turn)


def _turn(flyer: FlyerTurning | NotMeasured, no_slip: Quantity) -> tuple[TurnPlace, ...]:
    """Slip through the turn, as far as the pictures tell a ratio."""
    if isinstance(flyer, NotMeasured) or isinstance(flyer.ratio, NotMeasured):
        return ()
    return slip_through_turn(flyer.sway_rad, flyer.ratio, no_slip)


def _course(at_work: ClipReading, no_slip: Quantity) -> tuple[Stretch, ...]:
    course = turning_course(at_work)
    if course is None:
        return ()
    turns = (course.times_s.tolist(), course.wheel_turns.tolist(), course.flyer_turns.tolist())
    return slip_course(*turns, no_slip, course.end_std_turns)
