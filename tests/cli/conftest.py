"""Readings built by hand, and the command line run inside the test."""

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from uncertainties import ufloat

from whirlwise.cli.app import run
from whirlwise.cli.commands import slip as slip_command
from whirlwise.vision.clip_reading import (
    ClipReading,
    FlyerTurning,
    FrameRate,
    OrderPeak,
    Rhythm,
    SoundTurning,
    WheelTurning,
)
from whirlwise.vision.measured import NotMeasured
from whirlwise.vision.photo_reading import (
    BandPlaneReading,
    BandRunEvidence,
    PhotoReading,
    ReferenceReading,
    RimEvidence,
    WheelReading,
    WhirlReading,
)

# Workers of a parallel run are told a width of their own; answers are wrapped as without a terminal.
os.environ.pop("COLUMNS", None)


@dataclass(frozen=True)
class Outcome:
    """What a command left behind."""

    status: int
    out: str
    err: str


Whirlwise = Callable[..., Outcome]


@pytest.fixture
def whirlwise(capsys: pytest.CaptureFixture[str]) -> Whirlwise:
    """Run the command line as a person would."""

    def call(*arguments: object) -> Outcome:
        status = run([str(argument) for argument in arguments])
        captured = capsys.readouterr()
        return Outcome(status, captured.out, captured.err)

    return call


def circle_px(x: float, y: float, radius: float) -> "np.ndarray[tuple[int, int], np.dtype[np.float64]]":
    turn = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


def whirl(label: str, share: float, x: float) -> WhirlReading:
    return WhirlReading(
        label=label,
        centre_px=(x, 200.0),
        outer_mm=ufloat(56.6, 0.4),
        groove_mm=NotMeasured(
            "The groove's bottom lies under the band.", "Take the band off for one picture."
        ),
        pitch_mm=ufloat(51.44, 0.3),
        pitch_per_wheel_pitch=ufloat(share, share * 0.004),
        outline_px=circle_px(x, 200, 22),
    )


@pytest.fixture
def photo_reading() -> PhotoReading:
    """A picture in which all went well."""
    return PhotoReading(
        file="wheel.jpg",
        references=(
            ReferenceReading("card", ((300, 300), (420, 300), (420, 376), (300, 376)), ufloat(12, 1)),
        ),
        band_plane=BandPlaneReading(ufloat(14.9, 0.3), ufloat(1256, 8)),
        wheel=WheelReading(
            hub_px=(400.0, 300.0),
            outer_mm=ufloat(558.3, 0.9),
            pitch_mm=ufloat(555.2, 0.9),
            out_of_round_percent=ufloat(0.3, 0.1),
            evidence=RimEvidence(circle_px(400, 300, 240), circle_px(400, 300, 240), 352.0, 0.31),
        ),
        whirls=(whirl("whirl", 51.44 / 555.17, 90.0),),
        centre_distance_mm=ufloat(362.8, 1.2),
        band_runs=(BandRunEvidence(((400, 62), (92, 178)), 180, 0.2),),
        drive="single",
        remarks=("The focal length comes from the file.",),
    )


@pytest.fixture
def clip_reading() -> ClipReading:
    """A clip in which all went well."""
    times_s = np.arange(300) / 30
    orders = np.linspace(3, 30, 500)
    return ClipReading(
        file="wheel.mp4",
        seconds=10.0,
        frames=300,
        lost_frames=0,
        frame_rate=FrameRate(30.0, "the file's time stamps"),
        wheel=WheelTurning(
            hub_px=(60.0, 40.0),
            outline_px=circle_px(60, 40, 30),
            turns=ufloat(9.5565, 0.0005),
            cadence_per_min=ufloat(62.29, 0.01),
            direction="clockwise",
            times_s=times_s,
            angles_rad=-times_s,
            cadence_series=np.column_stack([times_s, 62 + np.sin(times_s)]),
            angle_rms_rad=0.002,
        ),
        flyer=FlyerTurning(
            turns=ufloat(121.06, 0.02),
            ratio=ufloat(12.6674, 0.002),
            speed_per_min=ufloat(789.5, 0.2),
            candidates=(OrderPeak(ufloat(12.6674, 0.002), 31.0),),
            flyer_px=(90.0, 20.0),
            outline_px=circle_px(90, 20, 8),
            orders=orders,
            power=np.exp(-((orders - 12.6674) ** 2) * 50),
            phase_rad=12.6674 * times_s,
        ),
        rhythm=rhythm_by_hand(),
        sound=SoundTurning(ufloat(12.6681, 0.004), (ufloat(12.6681, 0.004),), 80.0, np.zeros((2, 2))),
        ratio=ufloat(12.6674, 0.002),
        remarks=(),
    )


def rhythm_by_hand(spread_percent: float = 1.2) -> Rhythm:
    """A steady foot: 41 turns of about a second."""
    turn_s = 1 + spread_percent / 100 * np.sqrt(2) * np.cos(np.arange(41) * 2.4)
    shape = 100 + 8 * np.cos(np.radians(np.arange(360) - 300))
    return Rhythm(
        turn_times_s=tuple(turn_s.tolist()),
        cv_percent=ufloat(spread_percent, spread_percent / np.sqrt(2 * 30)),
        usual_cv_percent=spread_percent,
        freedom=30.0,
        usual_turn_s=ufloat(1.0, 0.002),
        drift_percent_per_min=ufloat(0.5, 0.4),
        within_turn_percent=ufloat(8.0, 0.5),
        slowest_at_deg=ufloat(120, 6),
        pushes=1,
        pushes_unlike_percent=NotMeasured(
            "The wheel is pushed once a turn.", "Two pushes need two treadles."
        ),
        speed_percent=shape,
    )


@pytest.fixture
def nothing_in_photo() -> PhotoReading:
    """A picture without a wheel."""
    no_wheel = NotMeasured("No wheel was found in this picture.", "Click on the axle: --hub X,Y.")
    return PhotoReading("cat.jpg", (), no_wheel, no_wheel, (), no_wheel, (), no_wheel, ())


@pytest.fixture
def nothing_in_clip() -> ClipReading:
    """A clip in which nothing turns."""
    still = NotMeasured("Nothing turns in this clip.", "Film the wheel while it turns.")
    rate = FrameRate(30.0, "the file's time stamps")
    return ClipReading("still.mp4", 2.0, 60, 0, rate, still, still, still, still, still, ())


@pytest.fixture
def clips(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, clip_reading: ClipReading
) -> dict[str, ClipReading]:
    """What is measured in hand.mp4 (or slowly.mp4) and work.mp4; put another reading there to change it."""
    wheel, flyer = clip_reading.wheel, clip_reading.flyer
    assert isinstance(wheel, WheelTurning)
    assert isinstance(flyer, FlyerTurning)
    angles = -2 * np.pi * 9.5565 * wheel.times_s / wheel.times_s[-1]
    wheel = replace(wheel, angles_rad=angles)
    readings = {}
    for name, ratio in (("hand.mp4", 12.8), ("slowly.mp4", 12.8), ("work.mp4", 12.6674)):
        (tmp_path / name).write_bytes(name.encode())
        turned = replace(flyer, phase_rad=-ratio * angles)
        readings[name] = replace(
            clip_reading, file=name, wheel=wheel, flyer=turned, ratio=ufloat(ratio, 0.002)
        )
    monkeypatch.setattr(slip_command, "measure_clip", lambda path, settings, tell: readings[path.name])
    return readings
