"""Where things are put in a random room: the reference by or on the wheel, and the camera before both."""

import numpy as np
from tests.vision.drawn_canvas import Colour
from tests.vision.drawn_drive_wheels import DriveWheel
from tests.vision.drawn_known_sizes import A4_MM, PAPER, KnownSize
from tests.vision.drawn_pictures import Points
from tests.vision.drawn_scenes import CARD_MM, seen_by_opencv, unit
from tests.vision.drawn_solids import Axis, flat

SIZES = ((1600, 1200), (1600, 1200), (1200, 1600), (2000, 1500))
FOCALS_35MM = (24, 26, 27, 28, 35, 50)
CARDS: tuple[Colour, ...] = (
    (150, 88, 44),
    (40, 40, 42),
    (228, 230, 230),
    (60, 60, 190),
    (70, 140, 60),
    (60, 170, 220),
    (150, 150, 150),
)


def reference_drawn(rng: np.random.Generator, wheel: DriveWheel, axis: Axis, down: float) -> KnownSize | None:
    """A thing of known size taped to the spokes, or before, beside or behind the wheel; seldom none."""
    kind = str(rng.choice(["card", "marker", "a4", "none"], p=[0.5, 0.28, 0.16, 0.06]))
    if kind == "none":
        return None
    side = float(rng.choice([50.0, 60.0, 70.0, 80.0]))
    colour = CARDS[rng.integers(len(CARDS))] if kind == "card" else PAPER
    if kind != "a4" and rng.uniform() < 0.7:
        # Neither under the post that stands before the axle, nor over the hub.
        turn = down + np.pi + rng.uniform(-2.0, 2.0)
        reach = 0.5 * (wheel.inner + wheel.hub) + rng.uniform(-8, 8)
        height = wheel.spoke * 1.4 + rng.uniform(0.5, 3.0)
        middle, card_turn = reach * unit(turn), rng.uniform(-0.5, 0.5)
        side = min(side, 1.0 * (wheel.inner - wheel.hub) / 1.35 / np.sqrt(2))
    else:
        # On the side that the spindle is not on, and above the table.
        beside = np.sign(np.sin(np.arctan2(axis.foot[1], axis.foot[0]) - down)) or 1.0
        away = down - beside * rng.uniform(1.35, 2.2)
        gap, card_turn = rng.uniform(10, 60), rng.uniform(-0.25, 0.25)
        half = 0.5 * np.array({"card": CARD_MM, "a4": A4_MM}.get(kind, (1.35 * side, 1.35 * side)))
        reach = wheel.rim + gap + float(np.abs(unit(away - card_turn)) @ half)
        middle = reach * unit(away)
        height = rng.uniform(-90, -20) if kind == "a4" else rng.uniform(-60, 40)
    return KnownSize(
        kind, (float(middle[0]), float(middle[1])), float(card_turn), float(height), colour,
        side if kind == "marker" else 0.0, int(rng.integers(50)),
    )  # fmt: skip


def framed(
    rng: np.random.Generator, wheel: DriveWheel, axis: Axis, reference: KnownSize | None
) -> tuple[dict[str, float], tuple[int, int], int | None]:
    """A camera that has all in view; the picture's size; the focal length that its file tells, if any."""
    size = SIZES[rng.integers(len(SIZES))]
    if abs(axis.foot[0]) > abs(axis.foot[1]):
        size = (max(size), min(size))
    focal_35mm = int(rng.choice(FOCALS_35MM))
    tilt = np.radians(rng.uniform(5, 35)) * unit(rng.uniform(0, 2 * np.pi))
    # Files round the focal length, and mean the diagonal or the width: 3.9 % apart.
    focal_px = focal_35mm / np.hypot(36, 24) * np.hypot(*size) * np.exp(rng.uniform(-0.04, 0.04))
    camera = {
        "log_focal": float(np.log(focal_px)),
        "centre_x_px": 0.5 * (size[0] - 1) + float(rng.normal(0, 0.002)) * size[0],
        "centre_y_px": 0.5 * (size[1] - 1) + float(rng.normal(0, 0.002)) * size[1],
        "k1": float(rng.uniform(-0.02, 0.02)),
        "tilt_x": float(tilt[0]),
        "tilt_y": float(tilt[1]),
        "hub_u": 0.0,
        "hub_v": 0.0,
        "log_depth": float(np.log(5 * wheel.rim)),
    }
    fill = float(rng.uniform(0.84, 0.98))
    _aim(camera, _in_view(wheel, axis, reference), size, fill, rng.uniform(-0.4, 0.4, 2))
    return camera, size, None if rng.uniform() < 0.08 else focal_35mm


def _in_view(wheel: DriveWheel, axis: Axis, reference: KnownSize | None) -> Points:
    """Places (n, 3) that have to be in the picture."""
    around = unit(np.linspace(0, 2 * np.pi, 60, endpoint=False))
    places = [flat(wheel.rim * around, height) for height in (-wheel.back, wheel.front)]
    places.append(flat(np.array(axis.foot) + 55 * around, 0.0))
    if reference is not None:
        places.append(reference.outline())
    return np.concatenate(places)


def _aim(camera: dict[str, float], places: Points, size: tuple[int, int], fill: float, off: Points) -> None:
    """Step back and turn until the places ``fill`` the picture, as far ``off`` its middle as they may."""
    whole = np.array(size, dtype=float)
    for _ in range(40):
        seen = seen_by_opencv(places[:, :2], places[:, 2], {**camera, "k1": 0.0})
        low, high = seen.min(axis=0), seen.max(axis=0)
        camera["log_depth"] += float(np.log(max((high - low) / whole) / fill))
        slack = np.maximum(whole - (high - low), 0.0)
        miss = 0.5 * (low + high) - 0.5 * whole - off * slack
        camera["hub_u"] -= float(miss[0] / np.exp(camera["log_focal"]))
        camera["hub_v"] -= float(miss[1] / np.exp(camera["log_focal"]))
