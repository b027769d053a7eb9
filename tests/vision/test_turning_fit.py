"""The joint fit of a turning plane and its angles, on textures that are known in closed form."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.turning.joint_fit import CENTRE_AND_SQUEEZE, SQUEEZE_REACH, coherence, moved, settle
from whirlwise.vision.turning.polar import Cutout, TurningPlane, angular_harmonics

Floats = NDArray[np.float64]

RADII = np.linspace(0.4, 1.0, 16)
WAVES = np.arange(1, 12)
TIMES_S = np.arange(100) / 30
SPEEDS = 9 + 3 * np.sin(TIMES_S)
ANGLES = np.concatenate([[0.0], np.cumsum((SPEEDS[1:] + SPEEDS[:-1]) / 2 * np.diff(TIMES_S))])
SIDE = 128


def texture(radii: Floats, angles: Floats) -> Floats:
    rng = np.random.default_rng(1)
    parts = [rng.normal() * np.cos(k * angles + rng.uniform(0, 6) + 3 * radii) for k in WAVES]
    return np.asarray(np.exp(-4 * (radii - 0.7) ** 2) * sum(parts))


def film(plane: TurningPlane) -> Cutout:
    """What a camera sees of a plane with that texture, each row at its own time.

    The plane's own mapping is inverted by iteration, which needs none of its formulas.
    """
    y, x = np.mgrid[:SIDE, :SIDE].astype(float)
    right = (x - plane.centre_px[0]) / plane.radius_px
    up = -(y - plane.centre_px[1]) / plane.radius_px
    for _ in range(25):
        seen = plane.points_px(np.hypot(right, up), np.arctan2(up, right))
        right = right - (seen[..., 0] - x) / plane.radius_px
        up = up + (seen[..., 1] - y) / plane.radius_px
    radii, angles = np.hypot(right, up), np.arctan2(up, right)
    late_s = right * plane.readout_s[0] + up * plane.readout_s[1]
    pixels = [texture(radii, angles - a - w * late_s) for a, w in zip(ANGLES, SPEEDS, strict=True)]
    rows = np.stack(pixels).reshape(len(ANGLES), -1).T
    return Cutout(np.ascontiguousarray(rows, np.float32), (SIDE, SIDE), (0, 0), 1.0)


TRUE = TurningPlane((64.0, 62.5), 55.0, (0.05, -0.03), (0.05, 0.02), (0.0, -0.004))


@pytest.fixture(scope="module")
def cutout() -> Cutout:
    return film(TRUE)


def test_the_truth_explains_everything(cutout: Cutout) -> None:
    rings = angular_harmonics(cutout, TRUE, RADII, len(WAVES), SPEEDS)
    assert coherence(rings, ANGLES) > 0.999


def test_plane_and_angles_come_back(cutout: Cutout) -> None:
    """From an axle that is off by a thirtieth of the radius and angles that sway with every turn."""
    start = TurningPlane((66.0, 61.0), 55.0)
    swaying = ANGLES + 0.05 * np.sin(ANGLES)
    plane, angles = settle(
        cutout,
        start,
        swaying,
        RADII,
        (6, 8, *[11] * 12),
        free=(*CENTRE_AND_SQUEEZE, 4, 5, 7),
        speeds_rad_s=SPEEDS,
    )
    assert plane.centre_px == pytest.approx(TRUE.centre_px, abs=0.05)
    assert plane.squeeze == pytest.approx(TRUE.squeeze, abs=0.004)
    assert plane.perspective == pytest.approx(TRUE.perspective, abs=0.004)
    assert plane.readout_s == pytest.approx(TRUE.readout_s, abs=2e-4)
    apart = angles - ANGLES
    assert np.std(apart) < 1e-3


def test_squeeze_stays_where_it_is_held(cutout: Cutout) -> None:
    held = (-0.1, 0.0)
    plane, _ = settle(
        cutout, replace(TRUE, squeeze=held), ANGLES, RADII, (6, 8, 11, 11, 11), squeeze_about=held
    )
    assert held[0] < plane.squeeze[0]
    assert np.hypot(plane.squeeze[0] - held[0], plane.squeeze[1]) <= SQUEEZE_REACH * 1.0001


def test_moving_is_the_same_as_its_parts() -> None:
    numbers = np.array([0.1, -0.2, 0.01, 0.02, 0.03, 0.04, 0.001, 0.002])
    by_parts = TRUE
    for i in range(8):
        by_parts = moved(by_parts, numbers * (np.arange(8) == i))
    at_once = moved(TRUE, numbers)
    assert at_once.centre_px == pytest.approx(by_parts.centre_px)
    assert at_once.readout_s == pytest.approx(by_parts.readout_s)
    assert at_once.perspective == pytest.approx(by_parts.perspective)
