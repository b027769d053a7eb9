"""Photos measured end to end: a drawn wheel of known ratio and sizes, and pictures that have none to give.

The wheels are projected by ``cv2.projectPoints``; the card on them is ID-1 of ISO/IEC 7810.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.vision.drawn_pictures import Bgr, exif_segment, write_jpeg
from tests.vision.drawn_scenes import card_px, seen_by_opencv, unit
from tests.vision.drawn_wheels import (
    CORD_MM,
    FOCAL_35MM,
    GROOVE_MM,
    INK,
    PAPER,
    WHEEL,
    Painter,
    circle,
    paint_card,
    paint_wheel,
    run_ends_mm,
    spindle_mm,
    wheel_with_card,
)
from uncertainties import UFloat, ufloat

import whirlwise.vision.photo as photo_module
from whirlwise.vision.errors import WrongHintError
from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.fit import part_looks
from whirlwise.vision.fit.hypothesis import Hypothesis, standing
from whirlwise.vision.fit.rim_sides import front_of
from whirlwise.vision.measured import HALF_WIDTH_95, NotMeasured, Outcome
from whirlwise.vision.open.picture import Picture
from whirlwise.vision.photo import PhotoSettings, measure_photo
from whirlwise.vision.photo_answer import NO_BAND, PITCH_FROM_GROOVE
from whirlwise.vision.photo_reading import PhotoReading, Point, WheelReading

TRUE_RATIO = WHEEL["pitch_radius"] / WHEEL["loop1_radius"]

HUB_PX, WHIRL_PX = seen_by_opencv(np.array([np.zeros(2), spindle_mm()]), 0.0, WHEEL)
#: Where a person taps: within half the whirl's radius (10 px) of its middle.
WHIRL_CLICK: Point = (round(float(WHIRL_PX[0])) + 6, round(float(WHIRL_PX[1])) - 5)


def photo(folder: Path, bgr: Bgr) -> Path:
    """A file as a phone writes it."""
    return write_jpeg(folder / "drawn.jpg", bgr, exif_segment(1, FOCAL_35MM))


def measured(outcome: Outcome) -> UFloat:
    assert not isinstance(outcome, NotMeasured), outcome
    return outcome


def holds(outcome: Outcome, truth: float) -> bool:
    """Whether the 95 % interval holds the truth."""
    number = measured(outcome)
    return bool(abs(number.nominal_value - truth) <= HALF_WIDTH_95 * number.std_dev)


def wheel_of(reading: PhotoReading) -> WheelReading:
    assert not isinstance(reading.wheel, NotMeasured), reading.wheel
    return reading.wheel


def ratio_of(reading: PhotoReading) -> UFloat:
    (whirl,) = reading.whirls
    return 1 / whirl.pitch_per_wheel_pitch


@pytest.fixture(scope="module")
def with_card(tmp_path_factory: pytest.TempPathFactory) -> PhotoReading:
    path = photo(tmp_path_factory.mktemp("card"), wheel_with_card())
    return measure_photo(path, PhotoSettings(whirls_px=(WHIRL_CLICK,)))


@pytest.fixture(scope="module")
def without_reference(tmp_path_factory: pytest.TempPathFactory) -> PhotoReading:
    painter = Painter()
    paint_wheel(painter)
    paint_card(painter)
    path = photo(tmp_path_factory.mktemp("none"), painter.as_seen(seed=1))
    return measure_photo(path, PhotoSettings(no_reference=True, whirls_px=(WHIRL_CLICK,)))


def test_the_true_ratio_lies_in_the_interval(with_card: PhotoReading) -> None:
    ratio = ratio_of(with_card)
    assert holds(ratio, TRUE_RATIO)
    assert ratio.nominal_value == pytest.approx(TRUE_RATIO, rel=0.05)


def test_the_interval_is_of_use(with_card: PhotoReading) -> None:
    # A 95 % interval of half the ratio to either side would hold anything.
    assert HALF_WIDTH_95 * ratio_of(with_card).std_dev < 0.15 * TRUE_RATIO
    pitch_mm = measured(wheel_of(with_card).pitch_mm)
    assert HALF_WIDTH_95 * pitch_mm.std_dev < 0.05 * 2 * WHEEL["pitch_radius"]


def test_the_true_sizes_lie_in_their_intervals(with_card: PhotoReading) -> None:
    wheel, (whirl,) = wheel_of(with_card), with_card.whirls
    assert holds(wheel.outer_mm, 2 * WHEEL["rim_radius"])
    assert holds(wheel.pitch_mm, 2 * WHEEL["pitch_radius"])
    assert holds(whirl.pitch_mm, 2 * WHEEL["loop1_radius"])
    assert holds(with_card.centre_distance_mm, WHEEL["spindle_distance"])


def test_sizes_and_ratio_are_of_one_mould(with_card: PhotoReading) -> None:
    """The two diameters share the scale, so their ratio is better known than either would let it be."""
    wheel, (whirl,) = wheel_of(with_card), with_card.whirls
    ratio = measured(wheel.pitch_mm) / measured(whirl.pitch_mm)
    assert ratio.nominal_value == pytest.approx(ratio_of(with_card).nominal_value, rel=1e-6)
    assert ratio.std_dev == pytest.approx(ratio_of(with_card).std_dev, rel=0.05)


def test_the_plane_stands_where_the_camera_saw_it(with_card: PhotoReading) -> None:
    plane = with_card.band_plane
    assert not isinstance(plane, NotMeasured), plane
    assert holds(plane.tilt_deg, math.degrees(math.hypot(WHEEL["tilt_x"], WHEEL["tilt_y"])))
    hub_mm = math.exp(WHEEL["log_depth"]) * np.array([WHEEL["hub_u"], WHEEL["hub_v"], 1.0])
    assert holds(plane.distance_mm, float(np.linalg.norm(hub_mm)))


def test_what_was_found_lies_where_it_was_drawn(with_card: PhotoReading) -> None:
    wheel, (whirl,), (card,) = wheel_of(with_card), with_card.whirls, with_card.references
    assert wheel.hub_px == pytest.approx(HUB_PX.tolist(), abs=3.0)
    # Half the whirl's radius, as near as a click is.
    assert math.dist(whirl.centre_px, WHIRL_PX) < 10.0
    assert card.kind == "card"
    # Corners may start anywhere; edges of this contrast move by up to half a pixel to the dark in CIELAB.
    true_corners, corners = card_px(WHEEL), np.array(card.corners_px)
    nearest = np.linalg.norm(true_corners[:, None] - corners, axis=2).min(axis=1)
    assert nearest.max() < 1.0


def test_the_runs_are_the_drawn_ones(with_card: PhotoReading) -> None:
    assert len(with_card.band_runs) == 2
    true_lines = [seen_by_opencv(run_ends_mm(side), 0.0, WHEEL) for side in (1, -1)]
    for run in with_card.band_runs:
        off_px = []
        for start, end in true_lines:
            along = (end - start) / np.linalg.norm(end - start)
            off_px.append(np.abs((np.array(run.ends_px) - start) @ [-along[1], along[0]]).max())
        # The aim for a cord's centre line.
        assert min(off_px) < 0.3


def test_without_a_reference_there_is_a_ratio_and_no_length(without_reference: PhotoReading) -> None:
    reading = without_reference
    assert holds(ratio_of(reading), TRUE_RATIO)
    assert ratio_of(reading).nominal_value == pytest.approx(TRUE_RATIO, rel=0.05)
    assert reading.references == ()
    plane, (whirl,) = reading.band_plane, reading.whirls
    assert not isinstance(plane, NotMeasured), plane
    lengths = [wheel_of(reading).outer_mm, wheel_of(reading).pitch_mm, whirl.pitch_mm]
    lengths += [reading.centre_distance_mm, plane.distance_mm]
    declined = NotMeasured(
        "You asked to use no reference.", "Lay a bank card in the plane of the wheel to get lengths."
    )
    assert lengths == [declined] * 5


NO_RIM = (
    "No wheel rim was found: nothing large and round stands out all the way round. "
    "Take the picture square to the wheel with the whole rim in view, or point at the axle with --hub X,Y."
)


def assert_nothing_found(reading: PhotoReading) -> None:
    assert reading.whirls == ()
    assert reading.references == ()
    assert isinstance(reading.wheel, NotMeasured)
    assert isinstance(reading.band_plane, NotMeasured)
    assert isinstance(reading.centre_distance_mm, NotMeasured)
    assert reading.remarks == (NO_RIM,)


def test_a_plain_wall_has_nothing(tmp_path: Path) -> None:
    assert_nothing_found(measure_photo(photo(tmp_path, Painter().as_seen())))


def test_pure_noise_has_nothing_wherever_one_clicks(tmp_path: Path) -> None:
    noise = np.random.default_rng(3).integers(0, 256, (180, 240, 3), dtype=np.uint8)
    settings = PhotoSettings(hub_px=(100.0, 90.0), whirls_px=((180.0, 40.0),))
    assert_nothing_found(measure_photo(photo(tmp_path, noise), settings))


def test_a_clock_is_round_and_has_no_band(tmp_path: Path) -> None:
    painter, middle = Painter(), np.zeros(2)
    painter.disc(PAPER, middle, 281.0, 0.0)
    painter.fill(INK, 0.0, circle(middle, 281.0), circle(middle, 270.0))
    for turn in np.arange(12) * np.pi / 6:
        paint_bar(painter, turn, (230.0, 260.0), 8.0)
    paint_bar(painter, 0.3, (-20.0, 150.0), 14.0)
    paint_bar(painter, 2.0, (-30.0, 220.0), 8.0)
    reading = measure_photo(photo(tmp_path, painter.as_seen()), PhotoSettings(no_reference=True))
    assert reading.whirls == ()
    assert isinstance(reading.centre_distance_mm, NotMeasured)
    assert reading.remarks[0] == (
        "The two straight runs of a drive band were not found. "
        "Tie any string tightly round wheel and whirl, and point at the whirl with --whirl X,Y. "
        "Or give the depth of the wheel's groove, such as --groove 5mm, and measure the whirl in a picture "
        "from the side with 'whirlwise profile': both in one file, by --add-to, tell the ratio."
    )


def test_without_a_band_the_groove_tells_where_one_would_run(tmp_path: Path) -> None:
    """No ratio, but what is seen and what a rule tells; the groove's bottom and the cord are drawn ones."""
    painter = Painter()
    paint_wheel(painter, band=False)
    paint_card(painter)
    depth_mm = WHEEL["rim_radius"] - GROOVE_MM
    settings = PhotoSettings(
        offset_mm=ufloat(WHEEL["card_height"], 1.0),
        band_mm=ufloat(CORD_MM, 0.1),
        groove_depth_mm=ufloat(depth_mm, 0.25),
        whirls_px=(WHIRL_CLICK,),
    )
    path = photo(tmp_path, painter.as_seen())
    reading = measure_photo(path, settings)
    assert reading.whirls == ()
    assert holds(wheel_of(reading).outer_mm, 2 * WHEEL["rim_radius"])
    assert holds(wheel_of(reading).pitch_mm, 2 * GROOVE_MM + CORD_MM)
    assert PITCH_FROM_GROOVE in reading.remarks
    unknown = measure_photo(path, replace(settings, groove_depth_mm=None))
    assert wheel_of(unknown).pitch_mm is NO_BAND


@pytest.mark.parametrize("band", [True, False])
def test_a_faint_ring_is_a_rim_only_if_a_band_touches_it(
    band: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rim's edge and the grain of a board beside it may make an ellipse together."""

    def faint(picture: Picture, likeliest: RimEdge, outermost: RimEdge) -> RimEdge:
        return replace(front_of(picture, likeliest, outermost), cover=0.62)

    monkeypatch.setattr(photo_module, "front_of", faint)
    painter = Painter()
    paint_wheel(painter, band=band)
    paint_card(painter)
    reading = measure_photo(photo(tmp_path, painter.as_seen()), PhotoSettings(whirls_px=(WHIRL_CLICK,)))
    assert isinstance(reading.wheel, WheelReading) is band
    if not band:
        assert reading.remarks == (NO_RIM,)


def test_a_whirl_half_as_large_as_the_wheel_is_something_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A clock and the things beside it may look like rim and whirl; no spinning wheel has a ratio below 3."""

    def with_large_whirl(hypotheses: Sequence[Hypothesis]) -> list[Hypothesis]:
        return [replace(each, share=ufloat(0.5, 0.01)) for each in standing(hypotheses)]

    monkeypatch.setattr(photo_module, "standing", with_large_whirl)
    path = photo(tmp_path, wheel_with_card())
    reading = measure_photo(path)
    assert reading.whirls == ()
    assert isinstance(reading.centre_distance_mm, NotMeasured)
    assert isinstance(wheel_of(reading).outer_mm, NotMeasured)
    assert "no spinning wheel" in reading.remarks[0]
    assert isinstance(reading.band_plane, NotMeasured)
    # Who points at the axle has said that the rim is one, but what goes for the band is none.
    pointed = measure_photo(path, PhotoSettings(hub_px=(float(HUB_PX[0]), float(HUB_PX[1]))))
    assert holds(wheel_of(pointed).outer_mm, 2 * WHEEL["rim_radius"])
    assert wheel_of(pointed).pitch_mm is NO_BAND
    # Who points at the whirl has said that it is one.
    clicked = measure_photo(path, PhotoSettings(whirls_px=(WHIRL_CLICK,)))
    assert ratio_of(clicked).nominal_value == pytest.approx(2.0)


def test_a_spindle_without_round_parts_is_told_by_what_is_mirrored_about_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(part_looks, "find_round_parts", lambda *_: [])
    path = photo(tmp_path, wheel_with_card())
    ratio = ratio_of(measure_photo(path, PhotoSettings(whirls_px=(WHIRL_CLICK,))))
    assert holds(ratio, TRUE_RATIO)
    assert HALF_WIDTH_95 * ratio.std_dev < 0.15 * TRUE_RATIO
    # Boards and chairs are mirrored about lines of their own, so a click must be near.
    assert measure_photo(path).whirls == ()


def paint_bar(painter: Painter, turn: float, reach_mm: tuple[float, float], width_mm: float) -> None:
    along, half = unit(turn), 0.5 * width_mm * unit(turn + np.pi / 2)
    near, far = (reach * along for reach in reach_mm)
    painter.fill(INK, 0.0, np.array([near + half, far + half, far - half, near - half]))


@pytest.mark.parametrize(
    ("settings", "named"),
    [
        (PhotoSettings(hub_px=(1200.0, 20.0)), "--hub 1200,20"),
        (PhotoSettings(hub_px=(-3.0, 20.0)), "--hub -3,20"),
        (PhotoSettings(whirls_px=((10.0, 20.0), (10.0, 899.5))), "--whirl 10,899.5"),
        (PhotoSettings(rim_px=((10.0, 20.0), (1200.0, 20.0))), "--rim 1200,20"),
    ],
    ids=["right of it", "left of it", "below it", "on the rim"],
)
def test_clicks_outside_the_picture_are_refused(tmp_path: Path, settings: PhotoSettings, named: str) -> None:
    path = photo(tmp_path, np.full((900, 1200, 3), 128, np.uint8))
    with pytest.raises(WrongHintError) as error:
        measure_photo(path, settings)
    assert str(error.value) == (
        f"{named} lies outside the picture, which is 1200 x 900 pixels. Point at a place inside it."
    )
