"""Proof pictures: they show what was found, hide nothing, and overwrite nothing."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np
import pytest
from uncertainties import ufloat

from whirlwise.cli.show import palette
from whirlwise.cli.show.proof_clip import proof_of_clip
from whirlwise.cli.show.proof_file import proof_file
from whirlwise.cli.show.proof_photo import proof_of_photo
from whirlwise.cli.trouble import WrongUsageError
from whirlwise.vision.clip_reading import ClipReading, FlyerTurning, FrameRate, OrderPeak
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.open.clip import ClipFrames
from whirlwise.vision.photo_reading import PhotoReading

PICTURE = np.full((600, 800, 3), 128, np.uint8)


def pixels(png: bytes) -> "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]":
    decoded = cv2.imdecode(np.frombuffer(png, np.uint8), cv2.IMREAD_COLOR)
    assert decoded is not None
    return decoded.astype(np.uint8)


def has_colour(picture: "np.ndarray[tuple[int, ...], np.dtype[np.uint8]]", colour: str) -> bool:
    return bool((np.abs(picture.astype(int) - palette.bgr(colour)).max(axis=-1) < 8).any())


def test_lines_lie_where_things_were_found(photo_reading: PhotoReading) -> None:
    before = PICTURE.copy()
    shown = pixels(proof_of_photo(PICTURE, photo_reading))[:600]
    assert np.array_equal(PICTURE, before)
    ys, xs = np.nonzero(np.abs(shown.astype(int) - palette.bgr(palette.SKY)).max(axis=-1) < 8)
    distances = np.hypot(xs - 400, ys - 300)
    assert distances == pytest.approx(240, abs=2)
    for colour in (palette.YELLOW, palette.ROSE, palette.GREEN, palette.RUST):
        assert has_colour(shown, colour)


def test_words_below_the_picture_can_be_read_on_a_phone(photo_reading: PhotoReading) -> None:
    """On a phone 65 mm wide the letters are higher than 1 mm (common practice, no source)."""
    shown = pixels(proof_of_photo(np.full((2000, 2600, 3), 128, np.uint8), photo_reading))
    strip = np.abs(shown[2000:].astype(int) - palette.bgr(palette.INK)).max(axis=-1) < 40
    rows = strip[:, 200:].any(axis=1)  # beside the first sample of a line
    borders = np.flatnonzero(np.diff(np.concatenate([[False], rows, [False]]).astype(int)))
    assert np.diff(borders)[::2].max() * 65 / shown.shape[1] > 1


def test_the_picture_stays_visible(photo_reading: PhotoReading) -> None:
    shown = pixels(proof_of_photo(PICTURE, photo_reading))
    assert (shown[:600, :800] != PICTURE).any(axis=-1).mean() < 0.05


@pytest.mark.parametrize("size", [(120, 160), (600, 800), (2000, 600), (1500, 2000)])
def test_the_strip_below_names_the_lines_at_any_size(
    photo_reading: PhotoReading, size: tuple[int, int]
) -> None:
    strip = pixels(proof_of_photo(np.full((*size, 3), 128, np.uint8), photo_reading))[size[0] :]
    for colour in (palette.SKY, palette.YELLOW, palette.GREEN, palette.INK):
        assert has_colour(strip, colour)
    edges = np.concatenate([strip[:, -1], strip[-1]])
    assert (edges == palette.bgr(palette.PAPER)).all()  # no word is cut off


def test_without_a_wheel_the_picture_is_left_alone(nothing_in_photo: PhotoReading) -> None:
    shown = pixels(proof_of_photo(PICTURE, nothing_in_photo))
    assert np.array_equal(shown[:600, :800], PICTURE)


def frames() -> ClipFrames:
    times = tuple(Fraction(i, 30) for i in range(300))
    return ClipFrames("wheel.mp4", np.full((300, 80, 120), 90, np.uint8), times, 1, 10.0, 0, frame_rate())


def frame_rate() -> FrameRate:
    return FrameRate(30.0, "the file's time stamps")


def test_clip_shows_picture_cadence_and_spectrum(clip_reading: ClipReading) -> None:
    shown = pixels(proof_of_clip(frames(), clip_reading))
    for colour in (palette.RUST, palette.BLUE, palette.INK, palette.PAPER):
        assert has_colour(shown, colour)


def test_clip_shows_where_wheel_and_flyer_were_followed(clip_reading: ClipReading) -> None:
    shown = pixels(proof_of_clip(frames(), clip_reading)).astype(int)
    # The picture is one grey, so its place and scale can be read off the drawing.
    grey = np.abs(shown - 90).max(axis=-1) <= 1
    ys, xs = np.flatnonzero(grey.mean(axis=1) > 0.2), np.flatnonzero(grey.mean(axis=0) > 0.2)
    scale = len(xs) / 120
    inside = shown[ys[0] : ys[-1] + 1, xs[0] : xs[-1] + 1]
    assert isinstance(clip_reading.flyer, FlyerTurning)
    for colour, (centre_x, centre_y), radius_px in [
        (palette.RUST, (60.0, 40.0), 30.0),
        (palette.BLUE, clip_reading.flyer.flyer_px, 8.0),
    ]:
        ys_drawn, xs_drawn = np.nonzero(np.abs(inside - palette.bgr(colour)).max(axis=-1) < 8)
        away = np.hypot((xs_drawn + 0.5) / scale - 0.5 - centre_x, (ys_drawn + 0.5) / scale - 0.5 - centre_y)
        ring = away[away > radius_px / 2]  # the axle's cross is nearer
        assert len(ring) > 100
        assert ring == pytest.approx(radius_px, abs=1)


def test_clip_that_leaves_two_ratios_open_points_at_both(clip_reading: ClipReading) -> None:
    assert isinstance(clip_reading.flyer, FlyerTurning)
    unsure = NotMeasured("Two ratios explain the clip.", "Film again.")
    both = (OrderPeak(ufloat(6.1, 0.01), 9.0), OrderPeak(ufloat(12.667, 0.01), 9.0))
    either = replace(clip_reading.flyer, ratio=unsure, turns=unsure, speed_per_min=unsure, candidates=both)
    one, two = (
        pixels(proof_of_clip(frames(), replace(clip_reading, flyer=flyer))).astype(int)
        for flyer in (replace(either, candidates=both[:1]), either)
    )
    rust_one, rust_two = (
        (np.abs(shown - palette.bgr(palette.RUST)).max(axis=-1) < 8).sum() for shown in (one, two)
    )
    assert rust_two > rust_one


def test_clip_without_turning_still_shows_its_picture(nothing_in_clip: ClipReading) -> None:
    shown = pixels(proof_of_clip(frames(), nothing_in_clip))
    assert not has_colour(shown, palette.RUST)
    assert not has_colour(shown, palette.BLUE)
    grey = np.abs(shown.astype(int) - 90).max(axis=-1) <= 1
    assert grey.mean() > 0.2


def test_a_free_place_is_written_to(tmp_path: Path) -> None:
    place = proof_file(tmp_path / "proof.png", source=tmp_path / "wheel.jpg", force=False)
    assert place is not None
    place.write(b"first")
    assert (tmp_path / "proof.png").read_bytes() == b"first"


def test_a_file_that_appeared_meanwhile_is_kept(tmp_path: Path) -> None:
    place = proof_file(tmp_path / "proof.png", source=tmp_path / "wheel.jpg", force=False)
    assert place is not None
    (tmp_path / "proof.png").write_bytes(b"somebody else's")
    with pytest.raises(WrongUsageError, match=r"could not be written \(File exists\)"):
        place.write(b"ours")
    assert (tmp_path / "proof.png").read_bytes() == b"somebody else's"


def test_what_is_written_may_be_read_as_before(tmp_path: Path) -> None:
    target = tmp_path / "proof.png"
    target.write_bytes(b"old")
    target.chmod(0o640)
    for _ in range(2):
        place = proof_file(target, source=tmp_path / "wheel.jpg", force=True)
        assert place is not None
        place.write(b"new")
        assert target.stat().st_mode & 0o777 == 0o640
    fresh = proof_file(tmp_path / "fresh.png", source=tmp_path / "wheel.jpg", force=True)
    plain = tmp_path / "plain.png"
    plain.write_bytes(b"")
    assert fresh is not None
    fresh.write(b"new")
    assert (tmp_path / "fresh.png").stat().st_mode == plain.stat().st_mode


def test_force_writes_over_and_leaves_nothing_behind(tmp_path: Path) -> None:
    target = tmp_path / "proof.png"
    target.write_bytes(b"old")
    place = proof_file(target, source=tmp_path / "wheel.jpg", force=True)
    assert place is not None
    place.write(b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


def test_a_place_that_cannot_be_is_refused(tmp_path: Path) -> None:
    path = tmp_path / f"{'proof' * 60}.png"
    with pytest.raises(WrongUsageError) as problem:
        proof_file(path, source=tmp_path / "wheel.jpg", force=False)
    assert str(problem.value) == (
        f"--proof got '{path}', where nothing can be written (File name too long); name another place."
    )


def test_a_folder_that_may_not_be_written_to_is_told_before_measuring(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Root may write everywhere, so the refusal is played.
    monkeypatch.setattr("whirlwise.cli.show.new_file.os.access", lambda *_: False)
    path = tmp_path / "proof.png"
    with pytest.raises(WrongUsageError) as problem:
        proof_file(path, source=tmp_path / "wheel.jpg", force=False)
    assert str(problem.value) == (
        f"--proof got '{path}', where nothing can be written (Permission denied); name another place."
    )


def test_places_that_are_refused(tmp_path: Path) -> None:
    source = tmp_path / "wheel.png"
    source.write_bytes(b"picture")
    (tmp_path / "there.png").write_bytes(b"old")
    (tmp_path / "folder.png").mkdir()
    (tmp_path / "alias.png").symlink_to(source)
    no_folder = tmp_path / "nowhere"
    there, alias = tmp_path / "there.png", tmp_path / "alias.png"
    for path, force, sentence in [
        (
            Path("proof.jpg"),
            False,
            "--proof got 'proof.jpg' but writes PNG pictures; let the name end in .png.",
        ),
        (
            no_folder / "a.png",
            False,
            f"--proof got '{no_folder / 'a.png'}' but there is no folder {no_folder}; make it first.",
        ),
        (
            there,
            False,
            f"--proof got '{there}', which is there already; give another name, or --force to write over it.",
        ),
        (
            source,
            True,
            f"--proof got '{source}', which is the file to be measured; give the proof another name.",
        ),
        (
            alias,
            True,
            f"--proof got '{alias}', which is the file to be measured; give the proof another name.",
        ),
        (
            tmp_path / "folder.png",
            True,
            f"--proof got '{tmp_path / 'folder.png'}', which is a folder; name a file in it.",
        ),
    ]:
        with pytest.raises(WrongUsageError) as problem:
            proof_file(path, source=source, force=force)
        assert str(problem.value) == sentence
    assert source.read_bytes() == b"picture"
