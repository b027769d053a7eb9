"""Wheels with known dimensions, seen without a picture: observations as NumPy and OpenCV draw them.

The projection here is OpenCV's, not the project's, so that a mistake in the project's own cannot hide.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from whirlwise.vision.fit.observations import (
    Observation,
    RunSeen,
)
from whirlwise.vision.fit.rectangle_seen import RectangleSeen
from whirlwise.vision.fit.rim_seen import RimSeen
from whirlwise.vision.fit.round_part_seen import RoundPartSeen
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.unknowns import Unknown, known_about

Points = NDArray[np.float64]

#: ISO/IEC 7810, ID-1.
CARD_MM = (85.60, 53.98)

#: A phone's picture of an invented wheel, tilted by 18 degrees, 1.5 m away; mm and rad.
TRUTH: Mapping[str, float] = {
    "log_focal": float(np.log(2500.0)),
    "centre_x_px": 1604.0,
    "centre_y_px": 1195.0,
    "k1": 0.004,
    "hub_u": -0.06,
    "hub_v": 0.03,
    "log_depth": float(np.log(1500.0)),
    "tilt_x": 0.12,
    "tilt_y": -0.29,
    "rim_radius": 281.0,
    "rim_height": 11.0,
    "rim_rounding": 2.4,
    "oval_cos": 0.001,
    "oval_sin": -0.0015,
    "card_size": 1.0002,
    "card_height": 4.0,
    "card_x": 60.0,
    "card_y": -110.0,
    "card_turn": 0.3,
    "card_side0": 0.2,
    "card_side1": -0.1,
    "card_side2": 0.0,
    "card_side3": 0.3,
    "pitch_radius": 273.0,
    "spindle_distance": 452.0,
    "spindle_angle": 0.9,
    "lean_x": 0.004,
    "lean_y": -0.006,
    "loop1_radius": 21.0,
    "loop1_height": 0.0,
    "shift_left": 0.08,
    "shift_right": -0.05,
    "flange_radius": 33.0,
    "flange_height": 6.0,
    "flange_shift_x": 0.1,
    "flange_shift_y": -0.2,
    "flange_oval_cos": 0.15,
    "flange_oval_sin": -0.08,
    "part_edge_width": 1.3,
}

#: What is known before looking, as standard deviations about the truth.
PRIOR_DEVIATIONS: Mapping[str, float] = {
    "log_focal": 0.05,
    "centre_x_px": 10.0,
    "centre_y_px": 10.0,
    "k1": 0.01,
    "rim_height": 4.0,
    "rim_rounding": 1.5,
    "oval_cos": 0.002,
    "oval_sin": 0.002,
    "card_size": 0.001,
    "card_height": 1.0,
    "card_side0": 0.1,
    "card_side1": 0.1,
    "card_side2": 0.1,
    "card_side3": 0.2,
    "lean_x": 0.015,
    "lean_y": 0.015,
    "loop1_height": 1e-3,
    "shift_left": 0.15,
    "shift_right": 0.15,
    "flange_height": 3.0,
    "flange_shift_x": 0.3,
    "flange_shift_y": 0.3,
    "flange_oval_cos": 0.2,
    "flange_oval_sin": 0.2,
    "part_edge_width": 1.0,
}

#: Changes that matter, where no prior says it.
SCALES: Mapping[str, float] = {
    "hub_u": 0.01,
    "hub_v": 0.01,
    "log_depth": 0.02,
    "tilt_x": 0.02,
    "tilt_y": 0.02,
    "rim_radius": 5.0,
    "card_x": 5.0,
    "card_y": 5.0,
    "card_turn": 0.02,
    "pitch_radius": 3.0,
    "spindle_distance": 5.0,
    "spindle_angle": 0.02,
    "loop1_radius": 2.0,
    "flange_radius": 1.0,
}


def unit(angle: float | NDArray[np.float64]) -> Points:
    """Unit vectors (..., 2)."""
    return np.stack([np.cos(angle), np.sin(angle)], axis=-1)


def seen_by_opencv(
    points_mm: Points, height_mm: float | NDArray[np.float64], truth: Mapping[str, float] = TRUTH
) -> Points:
    """Pixels (n, 2) of points (n, 2) of the plane at a height (or of planes at heights (n,)), by OpenCV."""
    focal = np.exp(truth["log_focal"])
    matrix = np.array([[focal, 0, truth["centre_x_px"]], [0, focal, truth["centre_y_px"]], [0, 0, 1.0]])
    tilted, _ = cv2.Rodrigues(np.array([truth["tilt_x"], truth["tilt_y"], 0.0]))
    # The plane's y points up and its z to the camera, the camera's y down and its z away.
    axes, _ = cv2.Rodrigues(tilted @ np.diag([1.0, -1.0, -1.0]))
    origin = np.exp(truth["log_depth"]) * np.array([truth["hub_u"], truth["hub_v"], 1.0])
    space = np.column_stack([points_mm, np.broadcast_to(height_mm, len(points_mm))])
    pixels, _ = cv2.projectPoints(space, axes, origin, matrix, np.array([truth["k1"], 0.0, 0.0, 0.0]))
    return np.asarray(pixels, dtype=float).reshape(-1, 2)


def rim_px(count: int, truth: Mapping[str, float] = TRUTH) -> Points:
    """Points of a slightly oval rim."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    oval = 1 + truth["oval_cos"] * np.cos(2 * turn) + truth["oval_sin"] * np.sin(2 * turn)
    return seen_by_opencv(truth["rim_radius"] * oval[:, None] * unit(turn), truth["rim_height"], truth)


def card_mm(truth: Mapping[str, float] = TRUTH) -> Points:
    """Corners of a card in its plane, clockwise as seen."""
    corners = 0.5 * np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * CARD_MM * truth["card_size"]
    along, across = unit(truth["card_turn"]), unit(truth["card_turn"] + np.pi / 2)
    return np.asarray(corners @ np.array([along, across]) + np.array([truth["card_x"], truth["card_y"]]))


def card_px(truth: Mapping[str, float] = TRUTH) -> Points:
    """Corners of a card in the picture."""
    return seen_by_opencv(card_mm(truth), truth["card_height"], truth)


def card_sides_px(count: int, truth: Mapping[str, float] = TRUTH) -> tuple[Points, ...]:
    """So many points along each of a card's sides, where its edge is seen; the rounded corners left out."""
    corners = card_mm(truth)
    share = np.linspace(0.15, 0.85, count)[:, None]
    sides = []
    for k, (corner, following) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        along = (following - corner) / np.linalg.norm(following - corner)
        outside_mm = truth[f"card_side{k}"] * np.array([-along[1], along[0]])
        sides.append(corner + share * (following - corner) + outside_mm)
    return tuple(seen_by_opencv(side, truth["card_height"], truth) for side in sides)


def run_px(side: int, count: int, truth: Mapping[str, float] = TRUTH) -> Points:
    """Points of one run of an open band, with the shift by which light and shade move a cord.

    Where the truth names a ``loop1_whirl_height``, the run slants to it.
    """
    big, small = truth["pitch_radius"], truth["loop1_radius"]
    distance, along = truth["spindle_distance"], unit(truth["spindle_angle"])
    across = side * unit(truth["spindle_angle"] + np.pi / 2)
    # The common tangent touches both circles where their normals are parallel.
    sine = (big - small) / distance
    normal = sine * along + np.sqrt(1 - sine**2) * across
    shift = truth["shift_left"] if side > 0 else truth["shift_right"]
    start, end = big * normal, distance * along + small * normal
    share = np.linspace(0.1, 0.9, count)[:, None]
    height = truth["loop1_height"]
    heights = height + share[:, 0] * (truth.get("loop1_whirl_height", height) - height)
    return seen_by_opencv(start + share * (end - start) + shift * normal, heights, truth)


def flange_px(count: int, truth: Mapping[str, float] = TRUTH) -> Points:
    """Points of a whirl's flange, a little oval, whose middle lies on the leaning spindle, a little off."""
    height = truth["flange_height"]
    middle = truth["spindle_distance"] * unit(truth["spindle_angle"])
    middle = middle + height * np.array([truth["lean_x"], truth["lean_y"]])
    middle = middle + np.array([truth["flange_shift_x"], truth["flange_shift_y"]])
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    radius = truth["flange_radius"] + truth["flange_oval_cos"] * np.cos(2 * turn)
    radius = radius + truth["flange_oval_sin"] * np.sin(2 * turn)
    return seen_by_opencv(middle + radius[:, None] * unit(turn), height, truth)


@dataclass(frozen=True)
class Noise:
    """Scatter of the points as it is claimed, in pixels, and the share of it that is really drawn."""

    rng: np.random.Generator
    scatter_px: float
    share: float = 1.0

    def on(self, points_px: Points) -> Points:
        """Points with noise."""
        return points_px + self.share * self.scatter_px * self.rng.normal(size=points_px.shape)


def rim_and_card(noise: Noise) -> list[Observation]:
    """A rim and a card."""
    sides_px = tuple(noise.on(side) for side in card_sides_px(8))
    return [
        RimSeen(noise.on(rim_px(36)), noise.scatter_px),
        RectangleSeen(sides_px, noise.scatter_px, *CARD_MM, "card"),
    ]


def whole_wheel(noise: Noise) -> list[Observation]:
    """Rim, card, both runs of the band and a flange of the whirl."""
    scatter_px = noise.scatter_px
    return [
        *rim_and_card(noise),
        RunSeen(noise.on(run_px(1, 16)), scatter_px, 1, "loop1", "shift_left"),
        RunSeen(noise.on(run_px(-1, 16)), scatter_px, -1, "loop1", "shift_right"),
        RoundPartSeen(noise.on(flange_px(24)), scatter_px, "flange"),
    ]


@dataclass(frozen=True)
class SeenTogether:
    """Observations in a fit that has no unknowns for some of what they need."""

    observations: tuple[Observation, ...]

    def residuals(self, scene: Scene) -> NDArray[np.float64]:
        """Misfits of all, with the truth for whatever is no unknown."""
        whole = Scene({**TRUTH, **scene.values})
        return np.concatenate([observation.residuals(whole) for observation in self.observations])


def band_and_flange(noise: Noise) -> SeenTogether:
    """Rim, runs and flange in few points; unknowns that a fit leaves out are known."""
    scatter_px = noise.scatter_px
    seen: list[Observation] = [
        RimSeen(noise.on(rim_px(24)), scatter_px),
        RunSeen(noise.on(run_px(1, 8)), scatter_px, 1, "loop1", "shift_left"),
        RunSeen(noise.on(run_px(-1, 8)), scatter_px, -1, "loop1", "shift_right"),
        RoundPartSeen(noise.on(flange_px(12)), scatter_px, "flange"),
    ]
    return SeenTogether(tuple(seen))


#: What is unknown in the scenes above.
WHOLE_WHEEL = tuple(TRUTH)
RIM_AND_CARD = WHOLE_WHEEL[: WHOLE_WHEEL.index("pitch_radius")]
RIM_ALONE = WHOLE_WHEEL[: WHOLE_WHEEL.index("card_size")]
BAND_AND_FLANGE = (
    *("log_focal", "hub_u", "hub_v", "log_depth", "tilt_x", "tilt_y", "rim_height"),
    *("pitch_radius", "spindle_distance", "spindle_angle", "loop1_radius", "flange_radius", "flange_height"),
)


def unknowns(names: tuple[str, ...], rng: np.random.Generator) -> Iterator[Unknown]:
    """Unknowns that start away from the truth; the means of the priors are drawn about it."""
    for name in names:
        if name in PRIOR_DEVIATIONS:
            deviation = PRIOR_DEVIATIONS[name]
            yield known_about(name, TRUTH[name] + deviation * rng.normal(), deviation)
        else:
            yield Unknown(name, TRUTH[name] + 0.5 * SCALES[name] * rng.normal(), SCALES[name])


def unknowns_about_the_truth() -> Iterator[Unknown]:
    """All unknowns, started a little beside the truth, with the truth as the means of the priors."""
    for name, true in TRUTH.items():
        deviation = PRIOR_DEVIATIONS.get(name)
        if deviation is None:
            yield Unknown(name, true + 0.3 * SCALES[name], SCALES[name])
        else:
            yield Unknown(name, true + 0.2 * deviation, deviation, (true, deviation))
