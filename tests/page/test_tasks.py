"""What workers give the browser: readings as sentences, lines and courses; previews and copies."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
import pytest
from starlette.testclient import TestClient
from tests.cli.conftest import clip_reading as clip_reading
from tests.cli.conftest import nothing_in_clip as nothing_in_clip
from tests.cli.conftest import photo_reading as photo_reading
from tests.page.small_clips import write_clip
from uncertainties import ufloat

from whirlwise.cli.page.screens.photo import COINS, REFERENCES
from whirlwise.cli.page.tasks import TASKS, WARM, clip, photo, slip
from whirlwise.cli.page.tasks.first_picture import first_picture
from whirlwise.cli.page.tasks.playing import make_playable
from whirlwise.cli.page.tasks.preview import write_preview
from whirlwise.cli.page.tasks.told import told
from whirlwise.cli.show.photo_words import photo_answer
from whirlwise.cli.trouble import WrongUsageError
from whirlwise.vision.clip_reading import ClipReading
from whirlwise.vision.errors import UnreadableFileError
from whirlwise.vision.photo_reading import PhotoReading
from whirlwise.vision.references import REFERENCE_KINDS
from whirlwise.vision.references.coins import coin_diameter_mm

Json = dict[str, Any]


def grey_picture(folder: Path) -> Path:
    path = folder / "original.png"
    cv2.imwrite(str(path), np.full((90, 120, 3), 128, np.uint8))
    return path


def order_for(role: str, path: Path, given: Json | None = None) -> Json:
    medium = {"file": str(path), "folder": str(path.parent), "name": "from the attic.png"}
    return {"media": {role: medium}, "given": given or {}}


def quiet(what: str, share: float) -> None: ...


def test_every_job_has_its_function() -> None:
    assert {module for module, _, _ in (name.partition(":") for name in TASKS.values())} >= set(WARM)
    assert TASKS["photo"] == f"{photo.__name__}:{photo.Measuring.__name__}"


def test_a_picture_is_measured_with_what_was_given(
    tmp_path: Path, photo_reading: PhotoReading, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def measure(path: Path, settings: object, remembered: object) -> PhotoReading:
        asked.append((path, settings))
        return photo_reading

    monkeypatch.setattr(photo, "measure_photo", measure)
    path = grey_picture(tmp_path)
    given: Json = {"reference": ["coin=EUR-2,at=30,40"], "offset": "far", "band": "2.4mm", "hub": "50,40"}
    given["rim"] = ["10,40", "90,40"]
    with pytest.raises(WrongUsageError, match=r"^The distance in front of the band got 'far' but expects"):
        photo.run(order_for("picture", path, given), quiet)
    given["offset"] = "0.5in"
    outcome = photo.run(order_for("picture", path, given), quiet)
    settings: Any = asked[0][1]
    assert settings.hub_px == (50.0, 40.0)
    assert settings.rim_px == ((10.0, 40.0), (90.0, 40.0))
    assert settings.offset_mm.nominal_value == pytest.approx(12.7)
    assert settings.references[0].points_px == ((30.0, 40.0),)
    assert outcome["size_px"] == [120, 90]
    assert outcome["ratios"][0]["ratio"]["value"] == pytest.approx(555.17 / 51.44)
    assert (tmp_path / "preview.jpg").exists()
    # What is kept is what is told, and can be read by anybody.
    kept = json.loads((tmp_path / "reading-1.json").read_text(encoding="utf-8"))
    assert {**kept, "number": 1} == json.loads(json.dumps(outcome))


def test_answers_come_in_both_units(photo_reading: PhotoReading) -> None:
    answer = told(photo_answer(photo_reading))
    rim_mm, rim_in = (
        next(row for row in answer[units]["rows"] if row["name"] == "wheel, across the rim")
        for units in ("metric", "imperial")
    )
    assert (rim_mm["unit"], rim_in["unit"]) == ("mm", "in")
    for end in ("value", "low", "high"):
        assert rim_in["interval"][end] == pytest.approx(rim_mm["interval"][end] / 25.4)
    assert any("12 mm in front of" in each for each in answer["metric"]["trust"])
    assert any("0.47 inches in front of" in each for each in answer["imperial"]["trust"])
    assert "--" not in json.dumps(answer)


def test_trouble_names_the_file_as_it_came(tmp_path: Path) -> None:
    path = tmp_path / "original.jpg"
    path.write_bytes(b"\xff\xd8\xff" + bytes(200))
    with pytest.raises(UnreadableFileError, match=r"^from the attic\.png ") as problem:
        photo.run(order_for("picture", path), quiet)
    assert str(tmp_path) not in str(problem.value)
    with pytest.raises(UnreadableFileError, match=r"^from the attic\.png "):
        clip.run(order_for("clip", path), quiet)


def test_a_clip_gives_course_and_spectrum(clip_reading: ClipReading) -> None:
    course = clip.course(clip_reading)
    assert course is not None
    assert len(course["times_s"]) == len(course["wheel_rad"]) == len(course["flyer_rad"]) == 300
    # Slow motion: what took real time of 10 s is stored as 80 s.
    slow = clip.course(replace(clip_reading, seconds=80.0))
    assert slow is not None
    assert slow["stored_per_real"] == pytest.approx(8.0, rel=0.01)
    spectrum = clip.spectrum(clip_reading.flyer)
    assert spectrum is not None
    assert spectrum["orders"][int(np.argmax(spectrum["power"]))] == pytest.approx(12.6674, abs=0.06)
    assert max(spectrum["power"]) == 1.0
    assert spectrum["candidates"][0]["text"] == "12.6674"
    json.dumps([course, spectrum], allow_nan=False)


def test_no_peak_is_lost_where_a_spectrum_is_thinned(clip_reading: ClipReading) -> None:
    orders = np.linspace(3, 40, 50_000)
    power = np.zeros(50_000)
    power[31_234] = 7.0
    thin_orders, thin_power = clip._thinned(orders, power)
    assert len(thin_orders) == clip.MOST_POINTS
    assert thin_orders[int(np.argmax(thin_power))] == orders[31_234]


def test_a_clip_in_which_nothing_turns(nothing_in_clip: ClipReading) -> None:
    assert clip.course(nothing_in_clip) is None
    assert clip.spectrum(nothing_in_clip.flyer) is None
    assert clip.drawn(nothing_in_clip) == {"hub": None, "wheel": None, "flyer": None, "flyer_at": None}


def test_what_is_given_for_a_clip() -> None:
    given = clip.given_from({"captured_at": "240", "hub": "10,20", "side": "behind", "ratio": "12.5"})
    assert (given.settings.captured_at_per_s, given.settings.hub_px, given.side) == (
        240.0,
        (10.0, 20.0),
        "behind",
    )
    assert given.known_ratio is not None
    assert clip.given_from({"side": "above"}).side is None
    with pytest.raises(WrongUsageError):
        clip.given_from({"ratio": "-3"})


def test_slip_of_two_clips(
    tmp_path: Path, clip_reading: ClipReading, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Worked by hand: 12.80 without load and 12.6674 at work is a slip of 1.036 %."""
    by_hand = replace(clip_reading, ratio=ufloat(12.80, 0.001))
    readings = {"hand.mp4": by_hand, "work.mp4": clip_reading}
    monkeypatch.setattr(slip, "measure_clip", lambda path, tell: readings[path.name])
    media = {
        role: {"file": str(tmp_path / f"{role}.mp4"), "folder": str(tmp_path), "name": role}
        for role in ("hand", "work")
    }
    outcome = slip.run({"media": media, "drive": "flyer-led"}, quiet)
    assert outcome["slip_percent"]["value"] == pytest.approx(1.036, abs=0.001)
    assert "falls behind by" in outcome["answer"]["metric"]["says"][0]


def test_references_on_the_page_are_those_of_the_command() -> None:
    assert set(REFERENCES) == set(REFERENCE_KINDS) | {"none"}
    assert all(coin_diameter_mm(coin) is not None for coin in COINS)


def test_a_preview_is_smaller_and_made_once(tmp_path: Path) -> None:
    large = np.zeros((3000, 4000, 3), np.uint8)
    write_preview(large, tmp_path)
    made = cv2.imread(str(tmp_path / "preview.jpg"))
    assert made is not None
    assert made.shape == (1500, 2000, 3)
    write_preview(np.zeros((10, 10, 3), np.uint8), tmp_path)
    again = cv2.imread(str(tmp_path / "preview.jpg"))
    assert again is not None
    assert again.shape == (1500, 2000, 3)


def test_what_browsers_do_not_play_is_copied(tmp_path: Path) -> None:
    make_playable(write_clip(tmp_path / "original.avi", "mpeg4"), tmp_path)
    with av.open(str(tmp_path / "playable.mp4")) as copy:
        stream = copy.streams.video[0]
        assert stream.codec_context is not None
        assert stream.codec_context.name == "h264"
        times_s = [frame.time for frame in copy.decode(stream)]
    assert times_s == pytest.approx([k / 25 for k in range(10)], abs=0.001)


def test_what_browsers_play_is_not_copied(tmp_path: Path) -> None:
    make_playable(write_clip(tmp_path / "original.mp4", "libx264"), tmp_path)
    assert not (tmp_path / "playable.mp4").exists()


def test_the_first_picture_is_in_colour(tmp_path: Path) -> None:
    first = first_picture(write_clip(tmp_path / "original.mp4", "libx264"))
    # Blue, green, red: the first one is 0, 100, 200 as red, green, blue.
    assert first.shape == (48, 64, 3)
    assert first.mean(axis=(0, 1)) == pytest.approx([200, 100, 0], abs=4)


def test_drawings_of_the_guides_tell_nobody_to_type(browser: TestClient) -> None:
    for name in ("photo-offset", "photo-stand", "clip-two"):
        drawing = browser.get(f"/drawings/{name}")
        assert drawing.headers["content-type"] == "image/svg+xml"
        assert "<svg" in drawing.text
        assert " --" not in drawing.text.replace("-->", "")
        assert ">--" not in drawing.text
    assert browser.get("/drawings/..%2Fphoto").status_code == 404
    assert browser.get("/drawings/no-such").status_code == 404
