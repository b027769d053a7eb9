"""How well each picture can tell its ratio at best, beside what was claimed and how far off the answer is.

    python -m tests.benchmarks.photo_bounds FOLDER... [--hints] [--only PATTERN]

The bound is that of Cramer and Rao for the program's own model, all its nuisances free: at the true values
rim, runs and turned edges of the spindle are drawn without noise, as dense and as sharp as they are measured
at best, and the covariance of the fit to them is the bound. No way to measure from the same edges is better
on the average. What stands in front of them, or makes them faint, is not in it.
"""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import spearmanr
from tests.benchmarks.photo_questions import answers, words
from tests.benchmarks.score_photos import measured, pictures
from tests.benchmarks.score_table import WIDE, Answer
from tests.vision.drawn_room_truth import NORMAL_95

from whirlwise.vision.find.round_parts import CENTRE_DOUBT_MM
from whirlwise.vision.fit.joint import fit_jointly
from whirlwise.vision.fit.observations import Observation, RunSeen
from whirlwise.vision.fit.rim_seen import RimSeen, seen_outwards
from whirlwise.vision.fit.round_part_seen import RoundPartSeen, edge_slant
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.unknowns import Unknown, UnknownTable
from whirlwise.vision.fit.wheel_scene import (
    CORD_SHIFT_SHARE,
    band_unknowns,
    camera_unknowns,
    cord_unknown,
    edge_unknown,
    loop_unknowns,
    part_unknowns,
    wheel_unknowns,
)
from whirlwise.vision.geometry.circle_pose import CirclePose
from whirlwise.vision.open.picture import Picture, open_picture
from whirlwise.vision.open.reduced import reduced

#: Points and their deviations, correlation included, as clear edges give them.
RIM, RUN, PART = (180, 0.52), (60, 0.52), (90, 0.3)
CORD_DOUBT_PX = 0.15
#: Turned edges that nearly every spindle shows: height, radius in whirls (0: the spindle's end, 5 mm), arc.
EDGES = ((45.0, 0.0, 1.0), (5.0, 1.3, 0.5), (-5.0, 1.3, 0.5))
SPINDLE_END_MM = 5.0


@dataclass(frozen=True)
class Bound:
    """Standard deviations of the ratio as shares of it, at best and as claimed, and the error in such."""

    at_best: float
    answer: Answer

    @property
    def claimed(self) -> float:
        return self.answer.half / NORMAL_95


def true_pose(truth: Any) -> CirclePose:
    """The true pose of the rim's front edge, as if it lay in the plane of the band."""
    normal, radius_mm = np.array(truth["camera"]["R"])[:, 2], rim_mm(truth)
    return CirclePose(normal * -np.sign(normal[2]), np.array(truth["camera"]["t"]) / radius_mm)


def rim_mm(truth: Any) -> float:
    return float(truth["image_truth"]["rim_outer_front_edge"]["radius_mm"])


def true_values(truth: Any, picture: Picture) -> dict[str, float]:
    """The truth as the unknowns of the model name it."""
    camera, geometry = truth["camera"], truth["geometry"]
    share = picture.width_px / truth["image"]["upright_width"]
    turn, place, tilt = np.array(camera["R"]), camera["t"], true_pose(truth).tilt_rotation
    wheel = geometry["drive_wheel"]
    values = {
        "log_focal": np.log(share * camera["K"][0][0]),
        "centre_x_px": share * (camera["K"][0][2] + 0.5) - 0.5,
        "centre_y_px": share * (camera["K"][1][2] + 0.5) - 0.5,
        "k1": camera["dist"]["k1"],
        "tilt_x": tilt[0],
        "tilt_y": tilt[1],
        "hub_u": place[0] / place[2],
        "hub_v": place[1] / place[2],
        "log_depth": np.log(place[2]),
        "rim_radius": rim_mm(truth),
        "rim_height": truth["image_truth"]["rim_outer_front_edge"]["plane_z_mm"],
        "pitch_radius": wheel["pitch_diameter_mm"] / 2,
        "loop1_radius": wheel["pitch_diameter_mm"] / 2 / geometry["ratio_pitch"],
        "spindle_distance": geometry["centre_distance_mm"],
        **dict.fromkeys(("oval_cos", "oval_sin", "lean_x", "lean_y", "loop1_height", "rim_rounding"), 0.0),
    }
    axes = Scene(values).plane.axes
    x, y = (axes.T @ turn @ [*geometry["flyer_axis_xy_mm"], 0.0])[:2]
    return {name: float(value) for name, value in {**values, "spindle_angle": np.arctan2(y, x)}.items()}


def drawn(scene: Scene, cord_mm: float, px_per_mm: float) -> tuple[list[Unknown], list[Observation]]:
    """Rim, runs and turned edges as they are seen, and the unknowns that go with runs and edges."""
    values, plane = scene.values, scene.plane
    turn = np.linspace(0, 2 * np.pi, RIM[0], endpoint=False)
    edge_mm = values["rim_radius"] * np.column_stack([np.cos(turn), np.sin(turn)])
    rim_px = plane.pixels_from_plane(edge_mm, values["rim_height"])
    seen: list[Observation] = [RimSeen(rim_px, RIM[1], seen_outwards(scene, rim_px))]
    unknowns: list[Unknown] = [edge_unknown()]
    whirl_mm = values["loop1_radius"]
    for side in (1, -1):
        normal = scene.run_normal(side, whirl_mm)
        ends = np.stack([values["pitch_radius"] * normal, scene.spindle_mm + whirl_mm * normal])
        along = np.linspace(0.02, 0.95, RUN[0])[:, None]
        points_px = plane.pixels_from_plane(ends[0] + along * (ends[1] - ends[0]))
        seen.append(RunSeen(points_px, RUN[1], side, "loop1", f"shift{side}"))
        unknowns.append(cord_unknown(f"shift{side}", cord_mm, CORD_SHIFT_SHARE, CORD_DOUBT_PX / px_per_mm))
    # The half that is seen of an edge is that on the far side of the axis from the camera's foot.
    beyond = scene.spindle_mm - plane.camera_foot_mm
    for k, (height_mm, whirls, arc) in enumerate(EDGES):
        radius_mm = whirls * whirl_mm or SPINDLE_END_MM
        turn = np.arctan2(beyond[1], beyond[0]) + np.pi * arc * np.linspace(-1, 1, int(arc * PART[0]))
        edge_mm = scene.spindle_mm + radius_mm * np.column_stack([np.cos(turn), np.sin(turn)])
        slant = edge_slant(scene, height_mm) if whirls else (0.0, 0.0)
        unknowns += part_unknowns(f"part{k}", radius_mm, height_mm, np.zeros(2), CENTRE_DOUBT_MM)
        seen.append(RoundPartSeen(plane.pixels_from_plane(edge_mm, height_mm), PART[1], f"part{k}", slant))
    return unknowns, seen


def at_best(truth: Any, path: Path) -> float:
    """The bound: standard deviation of the ratio as a share of it."""
    picture = reduced(open_picture(path))
    values = true_values(truth, picture)
    scene = Scene(values)
    spindle: tuple[float, float] = (float(scene.spindle_mm[0]), float(scene.spindle_mm[1]))
    more, seen = drawn(scene, truth["geometry"]["cord_diameter_mm"], scene.plane.px_per_mm(spindle))
    known = [
        *camera_unknowns(picture),
        *wheel_unknowns(true_pose(truth), rim_mm(truth), scaled=False),
        *band_unknowns(scene.spindle_mm, rim_mm(truth)),
        *loop_unknowns("loop1", values["loop1_radius"], 0),
    ]
    # What is known beforehand counts about the truth: a bound has no bad luck.
    held = [
        Unknown(
            u.name,
            values.get(u.name, u.start),
            u.scale,
            u.prior and (values.get(u.name, u.start), u.prior[1]),
        )
        for u in (*known, *more)
    ]
    wheel, whirl = fit_jointly(UnknownTable(held), seen).measured("pitch_radius", "loop1_radius")
    ratio = wheel / whirl
    return float(ratio.std_dev / ratio.nominal_value)


def bounds(folders: list[Path], pattern: str, *, hints: bool) -> Iterator[Bound]:
    """The bound of each picture of a whole wheel, a line a picture."""
    for truth, path in pictures(folders, pattern):
        if truth["kind"] != "wheel" or "R" not in truth["camera"]:
            continue
        told = measured(words(truth, str(path), hints=hints)).told
        answer = next(each for each in answers(truth, told) if each.quantity == "ratio")
        if not answer.asked:
            continue
        bound = Bound(at_best(truth, path), answer)
        claim = "-" if answer.got is None else f"{100 * bound.claimed:7.2f}  {100 * answer.off:7.2f}"
        print(f"{path.stem:34s} {100 * bound.at_best:7.2f}  {claim}", flush=True)
        yield bound


def median(numbers: NDArray[np.float64]) -> float:
    return float(np.median(numbers))


def main() -> None:
    """Measure, and print a line a picture and how claims and errors go with the bounds."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--hints", action="store_true", help="click on the axle and the whirl")
    parser.add_argument("--only", default="*", help="names to take, such as 'card*'")
    asked = parser.parse_args()
    print(f"{'ratio, in % of it':34s} sd at best  claimed    off")
    found = list(bounds(asked.folders, asked.only, hints=asked.hints))
    told = [bound for bound in found if bound.answer.got is not None]
    best = 100 * np.array([bound.at_best for bound in told])
    claimed = 100 * np.array([bound.claimed for bound in told])
    off = 100 * np.array([bound.answer.off for bound in told])
    print(
        f"\nmedian: at best {median(best):.2f}, claimed {median(claimed):.2f}, off {median(off):.2f}\n"
        f"claimed over best, median {median(claimed / best):.1f}; "
        f"error over best, median {median(off / best):.1f}\n"
        f"claims rank pictures as the bounds do: {spearmanr(best, claimed).statistic:.2f} (Spearman)\n"
        f"wide at best: {sum(NORMAL_95 * b.at_best > WIDE for b in found)} of {len(found)}"
    )


if __name__ == "__main__":
    main()
