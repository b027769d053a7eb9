"""A drawn whirl, side-on through a pinhole: the sizes that it was drawn with come out."""

from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.vision.drawn_whirls import DrawnWhirl, write_whirl
from uncertainties import UFloat, ufloat

from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.measured import HALF_WIDTH_95, NotMeasured
from whirlwise.vision.profile import ProfileSettings, measure_profile
from whirlwise.vision.references import ReferenceRequest

CARD = (ReferenceRequest("card"),)
LEVEL = ufloat(0.0, 0.5)


def holds(measured: UFloat | NotMeasured, truth: float, within: float) -> bool:
    """Whether the interval holds the truth, and the value is as near as asked."""
    assert not isinstance(measured, NotMeasured), measured
    return bool(abs(measured.n - truth) < HALF_WIDTH_95 * measured.s and abs(measured.n / truth - 1) < within)


@pytest.fixture(scope="module")
def two_steps(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("whirls") / "two_steps.jpg"
    write_whirl(path, DrawnWhirl())
    return path


def test_every_step_of_a_drawn_whirl_is_measured(two_steps: Path) -> None:
    whirl = DrawnWhirl()
    settings = ProfileSettings(references=CARD, offset_mm=LEVEL, band_mm=ufloat(0.5 * whirl.groove_mm, 0.05))
    reading = measure_profile(two_steps, settings)
    assert [step.label for step in reading.steps] == ["step 1", "step 2"]
    truths = sorted(zip(whirl.steps, whirl.pitch_mm, strict=True), reverse=True)
    for step, ((outer, bottom), pitch) in zip(reading.steps, truths, strict=True):
        assert holds(step.outer_mm, outer, 0.006)
        assert holds(step.groove_mm, bottom, 0.006)
        assert holds(step.pitch_mm, pitch, 0.008)
        assert not step.bottom_hidden


def test_without_the_band_only_the_pitch_stays_open(two_steps: Path) -> None:
    reading = measure_profile(two_steps, ProfileSettings(references=CARD, offset_mm=LEVEL))
    for step in reading.steps:
        assert isinstance(step.pitch_mm, NotMeasured)
        assert "--band" in step.pitch_mm.remedy
        assert not isinstance(step.groove_mm, NotMeasured)


def test_without_a_reference_there_is_no_size(two_steps: Path) -> None:
    reading = measure_profile(two_steps, ProfileSettings(no_reference=True))
    assert reading.steps == ()
    assert isinstance(reading.axis, NotMeasured)
    assert "--reference" in reading.axis.remedy


def test_noise_has_no_grooves(tmp_path: Path) -> None:
    noise = np.random.default_rng(3).integers(0, 256, (300, 400, 3)).astype(np.uint8)
    path = tmp_path / "noise.png"
    Image.fromarray(noise).save(path)
    points = (ReferenceRequest("points", ufloat(100.0, 0.2), ((50.0, 50.0), (350.0, 50.0))),)
    reading = measure_profile(path, ProfileSettings(references=points))
    assert reading.steps == ()
    assert "--whirl" in reading.missing[0].remedy


def test_a_click_outside_the_picture_is_refused(two_steps: Path) -> None:
    with pytest.raises(WrongHintError, match=r"--whirl 9000,10 lies outside the picture"):
        measure_profile(two_steps, ProfileSettings(references=CARD, whirl_px=(9000.0, 10.0)))
