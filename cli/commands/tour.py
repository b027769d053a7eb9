"""``whirlwise tour``: the sample picture and the sample clip, measured and explained."""

import json
from importlib import resources
from pathlib import Path
from typing import Any, Final

import typer

from ... import sample_media
from ...calc.interval import from_half_width_95
from ...vision.clip import measure_clip
from ...vision.photo import PhotoSettings, measure_photo
from ...vision.references import ReferenceRequest
from ..given.numbers import BAND_HALF_WIDTH_MM, OFFSET_HALF_WIDTH_MM, length_mm
from ..show.answer import Answer, text_of
from ..show.clip_words import clip_answer
from ..show.photo_words import photo_answer
from ..show.tour_words import (
    BEFORE_CLIP,
    BEFORE_PHOTO,
    INTRO,
    NOT_TOLD,
    clip_ratio,
    compared,
    photo_ratio,
    truth_told,
    twist_at_work,
)

PHOTO: Final = "old_wheel.jpg"
CLIP: Final = "old_wheel_at_work.mp4"
#: What the spinner of the story measured with a rule and a caliper.
CARD_OFFSET: Final = "11mm"
BAND: Final = "3.1mm"
#: How fast the spinner of the story drafts, by a guess: 150 cm a minute, give or take 30.
DRAFTING_CM_PER_MIN: Final = (150.0, 30.0)


def tour() -> None:
    """Measure the sample picture and clip, and explain the answers."""
    with resources.as_file(resources.files(sample_media)) as folder:
        _show(
            INTRO,
            _before(
                BEFORE_PHOTO,
                f"whirlwise photo {PHOTO} --reference card --offset {CARD_OFFSET} --band {BAND}",
            ),
        )
        picture = measure_photo(folder / PHOTO, _photo_settings())
        _show(photo_answer(picture), _before(BEFORE_CLIP, f"whirlwise clip {CLIP}"))
        clip = measure_clip(folder / CLIP)
        _show(
            clip_answer(clip),
            compared(photo_ratio(picture), clip_ratio(clip)),
            twist_at_work(clip_ratio(clip), clip, from_half_width_95(*DRAFTING_CM_PER_MIN)),
            NOT_TOLD,
            _truth(folder),
        )


def _photo_settings() -> PhotoSettings:
    return PhotoSettings(
        references=(ReferenceRequest("card"),),
        offset_mm=length_mm(CARD_OFFSET, "--offset", half_width_mm=OFFSET_HALF_WIDTH_MM),
        band_mm=length_mm(BAND, "--band", half_width_mm=BAND_HALF_WIDTH_MM),
    )


def _before(story: str, command: str) -> Answer:
    return Answer(says=(story, f"> {command}"))


def _show(*answers: Answer) -> None:
    for answer in answers:
        typer.echo(text_of(answer) + "\n")


def _truth(folder: Path) -> Answer:
    photo, clip = (_facts(folder, name) for name in (PHOTO, CLIP))
    return truth_told(
        photo["geometry"]["ratio_pitch"],
        clip["counts"]["effective_ratio"],
        clip["counts"]["mean_abs_cadence_per_min"],
    )


def _facts(folder: Path, name: str) -> Any:
    return json.loads((folder / name).with_suffix(".truth.json").read_text(encoding="utf-8"))
