"""The tour: its words on readings built by hand, and the whole of it on the sample media."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from uncertainties import ufloat

from whirlwise.cli.show.tour_words import clip_ratio, compared, photo_ratio, twist_at_work
from whirlwise.vision.clip_reading import ClipReading
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.photo_reading import PhotoReading

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

NO_RATIO = NotMeasured("The whirl was not found.", "Click on its middle: --whirl X,Y.")


def test_ratios_are_taken_from_the_readings(photo_reading: PhotoReading, clip_reading: ClipReading) -> None:
    ratio = photo_ratio(photo_reading)
    assert not isinstance(ratio, NotMeasured)
    assert ratio.n == pytest.approx(555.17 / 51.44)
    found = clip_ratio(clip_reading)
    assert not isinstance(found, NotMeasured)
    assert found.n == 12.6674


def test_what_was_not_measured_stays_so(
    photo_reading: PhotoReading, nothing_in_photo: PhotoReading, nothing_in_clip: ClipReading
) -> None:
    assert photo_ratio(nothing_in_photo) == nothing_in_photo.wheel
    assert photo_ratio(replace(photo_reading, whirls=())) == NO_RATIO
    assert clip_ratio(nothing_in_clip) == nothing_in_clip.flyer
    assert "cannot be compared" in compared(NO_RATIO, ufloat(12, 0.1)).says[0]
    assert "no twist to reckon" in twist_at_work(NO_RATIO, nothing_in_clip, 150.0).says[0]


@pytest.mark.parametrize(
    ("photo", "clip", "words"),
    [(12.0, 11.9, "the two agree"), (12.0, 12.02, "the two agree"), (12.0, 10.5, "one of the two is wrong")],
)
def test_the_two_ratios_are_held_against_each_other(photo: float, clip: float, words: str) -> None:
    assert words in compared(ufloat(photo, 0.03), ufloat(clip, 0.002)).says[0]


def test_twist_at_the_measured_cadence(clip_reading: ClipReading) -> None:
    # 12.6674 x 62.29 / 150 = 5.260 turns per cm.
    says = twist_at_work(ufloat(12.6674, 0.002), clip_reading, ufloat(150, 1)).says[0]
    assert "the yarn gets 5.260 (95 % sure:" in says


def test_the_whole_tour(whirlwise: Whirlwise, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    found = whirlwise("tour")
    assert (found.status, found.err) == (0, "")
    words = " ".join(found.out.split())
    certain = re.findall(r"With 95 % certainty the ratio lies between ([\d.]+) and ([\d.]+)\.", words)
    truth = re.search(r"a ratio of ([\d.]+) by its circles, ([\d.]+) with slip in the clip", words)
    assert truth is not None
    assert len(certain) == 2
    for (low, high), true in zip(certain, truth.groups(), strict=True):
        assert float(low) <= float(true) <= float(high)
    assert "the two agree" in words
    assert "turns per cm" in words
    assert "What this cannot tell" in words
    assert list(tmp_path.iterdir()) == []
