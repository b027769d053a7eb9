"""``whirlwise clip``: turns, cadence, ratio and slip from one clip."""

from pathlib import Path
from typing import Annotated

import typer

from ...vision.clip import ClipSettings, measure_clip
from ...vision.open.clip import read_clip
from ...vision.open.sound import is_only_heard
from ...vision.sound_only import measure_sound
from ..given.numbers import plain_number
from ..given.points import point_px
from ..given.whirl import whirl_label
from ..keep.adding import wheel_to_add_to
from ..keep.head_numbers import pair_typed
from ..keep.kept import UNNAMED_WHIRL
from ..keep.numbers import clip_numbers
from ..show.as_json import clip_document
from ..show.clip_words import clip_answer
from ..show.progress import Progress
from ..show.proof_file import proof_file
from ..show.sound_words import sound_answer, sound_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import ADD_TO, FORCE, HEAD, INSTEAD_OF, JSON, LABEL, PROOF, SIDE, THROUGH


def clip(
    context: typer.Context,
    file: Annotated[
        Path, typer.Argument(help="The clip as the camera saved it, or a sound.", show_default=False)
    ],
    captured_at: Annotated[
        str | None,
        typer.Option(
            help="Pictures a second at which slow motion was taken, such as 240, where the file is silent."
        ),
    ] = None,
    by_hand: Annotated[
        bool,
        typer.Option(
            "--by-hand", help="The wheel was turned slowly by hand, without yarn: no load, no slip."
        ),
    ] = False,
    ratio: Annotated[
        str | None,
        typer.Option(
            help="The ratio without slip, where it is known, such as 12.5 or 12.5+-0.1: the slip is told."
        ),
    ] = None,
    hub: Annotated[
        str | None, typer.Option(help="A click on the axle in the first picture: X,Y in pixels.")
    ] = None,
    flyer: Annotated[
        str | None, typer.Option(help="A click where the flyer turns, in the first picture: X,Y in pixels.")
    ] = None,
    side: SIDE = None,
    add_to: ADD_TO = None,
    instead_of: INSTEAD_OF = None,
    label: LABEL = None,
    head: HEAD = None,
    through: THROUGH = None,
    as_json: JSON = False,
    proof: PROOF = None,
    force: FORCE = False,
) -> None:
    """Count a wheel's turns, cadence, ratio and slip in one clip; in a sound file, what knocks or creaks."""
    if is_only_heard(file):
        _only_sound(file, proof=proof, add_to=add_to, as_json=as_json)
        return
    pair = pair_typed(head, through, label)
    known_ratio = None if ratio is None else plain_number(ratio, "--ratio", example="12.5")
    settings = ClipSettings(
        hub_px=None if hub is None else point_px(hub, "--hub"),
        flyer_px=None if flyer is None else point_px(flyer, "--flyer"),
        captured_at_per_s=None if captured_at is None else _rate_per_s(captured_at),
    )
    place = proof_file(proof, source=file, force=force)
    kept = wheel_to_add_to(add_to, instead_of)
    name = whirl_label(label) or UNNAMED_WHIRL
    with Progress() as progress:
        reading = measure_clip(file, settings, progress.tell)
    if place:
        # Imported here because the plotting library takes longer to load than all else together.
        from ..show.proof_clip import proof_of_clip

        place.write(proof_of_clip(read_clip(file, settings.captured_at_per_s), reading))
    numbers = pair.of(clip_numbers(reading, name, by_hand=by_hand))
    added = kept.add("clip", file, numbers, context.params) if kept else None
    finish(
        clip_document(reading, known_ratio),
        clip_answer(reading, known_ratio=known_ratio, by_hand=by_hand, side=side),
        as_json=as_json,
        proof=place,
        added=added,
    )


def _only_sound(file: Path, *, proof: Path | None, add_to: Path | None, as_json: bool) -> None:
    """Answer for a file that is heard but not seen."""
    for option, given in (("--proof", proof), ("--add-to", add_to)):
        if given is not None:
            raise WrongUsageError.of_option(option, str(given), f"pictures, but {file.name} holds only sound")
    reading = measure_sound(file)
    finish(sound_document(reading), sound_answer(reading), as_json=as_json)


def _rate_per_s(text: str) -> float:
    return float(plain_number(text, "--captured-at", example="240").n)
