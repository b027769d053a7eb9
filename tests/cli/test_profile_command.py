"""The command ``profile``: its keys, its words and what it refuses."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from uncertainties import ufloat

from whirlwise.cli.app import run
from whirlwise.cli.show.answer import text_of
from whirlwise.cli.show.as_json import profile_document
from whirlwise.cli.show.profile_words import profile_answer
from whirlwise.cli.show.proof_profile import proof_of_profile
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.picture import open_picture
from whirlwise.vision.photo_reading import ReferenceReading
from whirlwise.vision.profile_reading import AxisReading, ProfileReading, StepReading

OPEN = NotMeasured("The band's thickness is not known.", "Give --band 2.5mm.")
STEP = StepReading(
    "step 1",
    ufloat(44.0, 0.1),
    ufloat(36.0, 0.1),
    OPEN,
    False,
    ((60.0, 20.0), (60.0, 80.0)),
    ((70.0, 10.0), (70.0, 90.0)),
    (
        np.array([[50.0, 10.0], [60.0, 20.0], [70.0, 10.0]]),
        np.array([[50.0, 90.0], [60.0, 80.0], [70.0, 90.0]]),
    ),
)
READING = ProfileReading(
    "whirl.jpg",
    (ReferenceReading("card", ((10.0, 10.0), (30.0, 10.0), (30.0, 25.0), (10.0, 25.0)), ufloat(-12.0, 1.0)),),
    AxisReading(((20.0, 50.0), (100.0, 50.0)), ufloat(260.0, 1.0)),
    (STEP,),
    (),
    ("Steps are numbered from the largest groove to the smallest.",),
)


def test_the_document_has_the_stable_keys() -> None:
    document = profile_document(READING)
    assert list(document) == ["file", "references", "steps", "remarks"]
    assert document["steps"][0] == {
        "label": "step 1",
        # 1.959964 standard uncertainties (JCGM 101:2008, 9.2), the ends rounded outward.
        "outer_mm": {"value": 44.0, "low": 43.804, "high": 44.196},
        "groove_mm": {"value": 36.0, "low": 35.804, "high": 36.196},
        "pitch_mm": None,
    }
    assert str(OPEN) in document["remarks"]


def test_the_words_say_size_scale_and_what_is_open() -> None:
    words = " ".join(text_of(profile_answer(READING)).split())
    assert "Step 1: the groove is 36.00 mm (95 % sure: 35.80 to 36.20) across." in words
    assert "a bank card (85.60 x 53.98 mm), taken to stand 12 mm behind the middle of the spindle" in words
    assert "Give --band 2.5mm." in words
    assert "fingers, hair" in words


def test_the_proof_draws_each_waist_and_leaves_the_picture_alone() -> None:
    picture = np.full((100, 120, 3), 128, np.uint8)
    png = proof_of_profile(picture, READING)
    assert png.startswith(b"\x89PNG\r\n\x1a\n")  # PNG specification, ISO/IEC 15948, 5.2
    drawn = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR)
    assert drawn is not None
    assert (drawn[50, 60] != 128).any()
    assert (picture == 128).all()


def test_a_blank_picture_holds_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "blank.png"
    Image.new("RGB", (320, 240), (120, 120, 120)).save(path)
    assert open_picture(path).width_px == 320
    status = run(["profile", str(path), "--reference", "points=50,50,250,50,100mm", "--json"])
    document = json.loads(capsys.readouterr().out)
    assert status == 3
    assert document["steps"] == []
    assert any("--whirl" in remark for remark in document["remarks"])


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--band", "thick"], "--band got 'thick' but expects a length with its unit"),
        (["--offset", "5"], "--offset got '5' but expects a length with its unit"),
        (["--whirl", "12"], "--whirl got '12' but expects a point X,Y"),
    ],
)
def test_wrong_options_are_named(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["profile", "whirl.jpg", *arguments]) == 2
    assert says in capsys.readouterr().err


def test_a_missing_file_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["profile", "nowhere.jpg"]) == 4
    assert "There is no file nowhere.jpg" in capsys.readouterr().err
