"""What people read: the answer first, its certainty, and what to do where there is none."""

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from uncertainties import ufloat

from whirlwise.calc.remedies import remedies, wanted_ratio
from whirlwise.calc.whirls import choose_whirl
from whirlwise.cli.keep.kept import UNNAMED_WHIRL
from whirlwise.cli.show.answer import WIDEST, text_of
from whirlwise.cli.show.causes import CAUSES, Side
from whirlwise.cli.show.clip_words import TWO_WITNESSES, clip_answer
from whirlwise.cli.show.photo_words import photo_answer
from whirlwise.cli.show.whirls_words import Wish, whirls_answer
from whirlwise.vision.clip_reading import ClipReading, FlyerTurning, OrderPeak, WheelTurning
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.photo import measure_photo
from whirlwise.vision.photo_reading import PhotoReading


def test_photo_says_the_ratio_first(photo_reading: PhotoReading) -> None:
    text = text_of(photo_answer(photo_reading))
    assert text.startswith(
        "One turn of the wheel turns the flyer 10.793 times. With 95 % certainty the ratio lies\n"
        "between 10.708 and 10.878."
    )
    for title in ("Why you can trust it", "What would do better", "Mind"):
        assert f"\n\n{title}\n  - " in text
    assert "a bank card (85.60 x 53.98 mm), taken to stand 12 mm in front of the plane" in " ".join(
        text.split()
    )
    assert "before you treadle" in text


def test_lines_stay_short(photo_reading: PhotoReading, clip_reading: ClipReading) -> None:
    for answer in (photo_answer(photo_reading), clip_answer(clip_reading)):
        assert max(map(len, text_of(answer).splitlines())) <= WIDEST


def test_photo_in_double_drive_names_both(photo_reading: PhotoReading) -> None:
    flyer = replace(photo_reading.whirls[0], label="flyer whirl")
    bobbin = replace(flyer, label="bobbin whirl", pitch_per_wheel_pitch=ufloat(0.07, 0.0003))
    says = photo_answer(replace(photo_reading, whirls=(flyer, bobbin), drive="double")).says
    assert says[0].startswith("One turn of the wheel turns the flyer 10.793 times.")
    assert says[1].startswith("One turn of the wheel turns the bobbin 14.29 times.")


def test_a_rough_ratio_comes_with_advice(photo_reading: PhotoReading) -> None:
    rough = replace(photo_reading.whirls[0], pitch_per_wheel_pitch=ufloat(0.09, 0.003))
    assert "A second picture" in text_of(photo_answer(replace(photo_reading, whirls=(rough,))))
    assert "A second picture" not in text_of(photo_answer(photo_reading))


def test_photo_without_a_wheel(nothing_in_photo: PhotoReading) -> None:
    text = text_of(photo_answer(nothing_in_photo))
    assert text.startswith("The drive ratio could not be measured from this picture.")
    assert text.count("No wheel was found in this picture. Click on the axle: --hub X,Y.") == 1


def test_clip_says_ratio_then_cadence(clip_reading: ClipReading) -> None:
    answer = clip_answer(clip_reading)
    assert answer.says == (
        "One turn of the wheel turns the flyer 12.6674 times. With 95 % certainty the ratio lies between "
        "12.6634 and 12.6714.",
        "The wheel turned clockwise, at a mean of 62.290 (95 % sure: 62.270 to 62.310) turns a minute.",
    )
    assert any("this puts in Z twist" in sentence for sentence in answer.trust)


@pytest.mark.parametrize(
    ("known", "u", "meaning"),
    [
        (12.6674, 0.01, "too little to be told from none"),
        (12.8, 0.005, "usual for a single band"),
        (13.4, 0.005, "more than usual for a single band; look at its tension"),
        (16.0, 0.01, "usual in double drive while yarn is held back"),
        (12.0, 0.005, "less than nothing, so the ratio given belongs to another whirl"),
    ],
)
def test_slip_is_judged(clip_reading: ClipReading, known: float, u: float, meaning: str) -> None:
    assert meaning in clip_answer(clip_reading, known_ratio=ufloat(known, u)).says[-1]


def test_much_slip_names_what_usually_causes_it(clip_reading: ClipReading) -> None:
    assert CAUSES in clip_answer(clip_reading, known_ratio=ufloat(13.4, 0.005)).better
    assert CAUSES not in clip_answer(clip_reading, known_ratio=ufloat(12.8, 0.005)).better


@pytest.mark.parametrize(("side", "twist"), [("orifice", "Z"), ("behind", "S")])
def test_side_filmed_settles_the_twist(clip_reading: ClipReading, side: Side, twist: str) -> None:
    """Clockwise looking into the orifice is Z (ISO 2)."""
    told = clip_answer(clip_reading, side=side).trust
    assert f"Turned like this the wheel puts in {twist} twist, if the band is not crossed." in told


def test_two_candidates_are_both_named(clip_reading: ClipReading) -> None:
    assert isinstance(clip_reading.flyer, FlyerTurning)
    torn = NotMeasured("Two ratios remain.", "Put a strip of tape on one arm.")
    flyer = replace(
        clip_reading.flyer,
        ratio=torn,
        candidates=(OrderPeak(ufloat(12.6, 0.01), 9.0), OrderPeak(ufloat(6.3, 0.01), 8.0)),
    )
    answer = clip_answer(replace(clip_reading, flyer=flyer, ratio=torn))
    assert answer.says[0] == (
        "The clip leaves open which of these ratios is the true one: 12.600 (95 % sure: 12.580 to 12.620) or "
        "6.300 (95 % sure: 6.280 to 6.320)."
    )
    assert "Two ratios remain. Put a strip of tape on one arm." in answer.better


def test_two_witnesses_are_shown_and_named(clip_reading: ClipReading) -> None:
    answer = clip_answer(clip_reading)
    names = [row.name for row in answer.rows]
    assert names[4:6] == ["ratio, from the pictures", "ratio, from the sound"]
    assert TWO_WITNESSES in answer.trust
    unheard = replace(clip_reading, sound=NotMeasured("Silence.", "Sing."))
    assert "Silence. Sing." in clip_answer(unheard).better
    assert TWO_WITNESSES not in clip_answer(unheard).trust


def test_back_and_forth_tells_no_twist(clip_reading: ClipReading) -> None:
    assert isinstance(clip_reading.wheel, WheelTurning)
    swinging = replace(clip_reading, wheel=replace(clip_reading.wheel, direction="both"))
    answer = clip_answer(swinging)
    assert any("back and forth" in sentence for sentence in answer.says)
    assert not any("twist" in sentence for sentence in answer.trust)


def test_clip_in_which_nothing_turns(nothing_in_clip: ClipReading) -> None:
    answer = clip_answer(nothing_in_clip, known_ratio=12.5)
    assert answer.says == ("The drive ratio could not be measured from this clip.",)
    assert answer.better == ("Nothing turns in this clip. Film the wheel while it turns.",)


def test_whirls_tell_what_the_others_cost() -> None:
    kept = {
        "twist_per_cm_wished": 3.0,
        "cadence_per_min": ufloat(50, 0.2),
        "drafting_cm_per_min": 240.0,
    }
    choice = choose_whirl({"small": 12.0, "large": 6.0}, **kept)
    answer = whirls_answer(choice, Wish(3.0), remedies(choice.ranked, **kept), wanted_ratio(**kept), "metric")
    # By hand: 12 x 50 over 240 are 2.5 turns/cm; 3 want 60 treadles, or 200 cm a minute, 24 m an hour less.
    assert answer.says == (
        "Take the whirl small: at your cadence and drafting speed it gives 2.500 turns/cm (95 % sure: 2.480 "
        "to 2.520). The twist you wish for would take 60 turns of the wheel a minute, 20 % faster than now; "
        "or draft 200.0 cm/min, which costs 24 m/h.",
        "A whirl of ratio 14.40 (14.28 to 14.52) would need neither.",
    )
    assert answer.tables[0].splitlines()[-2:] == [
        "  small     12    2.500 +-0.020        60    +20 %       200   -24",
        "  large      6  1.2500 +-0.0098       120   +140 %       100   -84",
    ]


def test_a_whirl_without_a_name_is_not_called_whirl_twice() -> None:
    kept = {"twist_per_cm_wished": 3.0, "cadence_per_min": 50.0, "drafting_cm_per_min": 240.0}
    choice = choose_whirl({UNNAMED_WHIRL: 12.0}, **kept)
    answer = whirls_answer(choice, Wish(3.0), remedies(choice.ranked, **kept), wanted_ratio(**kept), "metric")
    assert answer.says[0].startswith("Take the whirl: at your cadence")


def test_a_picture_without_a_wheel_gives_no_reason_to_trust_and_says_once_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "wall.png"
    assert cv2.imwrite(str(path), np.full((60, 80, 3), 128, np.uint8))
    answer = photo_answer(measure_photo(path))
    assert answer.trust == ()
    assert len(answer.better) == 1
    assert answer.better[0].startswith("No wheel rim was found")
