"""Several references at once: those that agree are used together, those that don't are named.

Everything is projected by OpenCV from a wheel with known dimensions.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.vision.drawn_scenes import TRUTH, rim_px, seen_by_opencv, unit
from uncertainties import ufloat

from whirlwise.vision.find.rim import RimEdge
from whirlwise.vision.fit.reference_choice import Choice, chosen_references
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.wheel_fit import WheelPicture, fit_rim, rim_poses
from whirlwise.vision.geometry.ellipse import fit_ellipse
from whirlwise.vision.open.picture import Picture
from whirlwise.vision.references import FoundReference, ReferenceRequest
from whirlwise.vision.references.found import CircleOutline, TicksSeen

#: A real picture's size, so that the lens's middle lies where the truth has it.
PICTURE = Picture("drawn.png", np.zeros((2391, 3209, 3), np.uint8), 2500.0, focal_known=True)
HEIGHT_MM = 4.0


def rule(start_mm: tuple[float, float], angle: float, stretched: float = 1.0) -> FoundReference:
    """A rule of 150 mm whose ticks stand further apart than they say, by a factor."""
    at_mm = np.arange(151.0)
    points = seen_by_opencv(np.array(start_mm) + stretched * at_mm[:, None] * unit(angle), HEIGHT_MM)
    return FoundReference("rule", points[[0, -1]], 150.0, 0.0, 7e-4, 0.3, ticks=TicksSeen(points, at_mm))


def coin(middle_mm: tuple[float, float]) -> FoundReference:
    """A coin of 24.26 mm, 1.75 mm thick, its edge seen all round: half down where its wall shows."""
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    edge_mm = np.array(middle_mm) + 0.5 * 24.26 * unit(turn)
    faces_camera = np.sum(unit(turn) * (Scene(TRUTH).plane.camera_foot_mm - edge_mm), axis=1) > 0
    edge = seen_by_opencv(edge_mm, HEIGHT_MM - np.where(faces_camera, 0.5 * 1.75, 0.0))
    return FoundReference("coin", edge[[0, 90]], 24.26, 0.0, 0.01, 0.4, circle=CircleOutline(edge, edge))


def points(one_mm: tuple[float, float], other_mm: tuple[float, float], length_mm: float) -> FoundReference:
    """Two points that are said to be so far apart."""
    ends = seen_by_opencv(np.array([one_mm, other_mm]), HEIGHT_MM)
    return FoundReference("points", ends, length_mm, 0.0, 0.001, 1.5)


def chosen(*references: FoundReference) -> Choice:
    """What is chosen from the pose that is the true one."""
    rim_points = rim_px(240)
    ellipse = fit_ellipse(rim_points)
    assert ellipse is not None
    seen = WheelPicture(PICTURE, RimEdge(ellipse, rim_points, 1.0, 0.3), (), ufloat(HEIGHT_MM, 1.0), 280.0)
    poses = rim_poses(PICTURE, seen.rim)
    pose = min(poses, key=lambda p: abs(p.tilt_rotation[1] - TRUTH["tilt_y"]))
    requests = [ReferenceRequest(reference.kind) for reference in references]
    return chosen_references(seen, pose, fit_rim(seen, pose), references, requests)


@pytest.mark.parametrize(
    "reference",
    [
        rule((-70.0, -120.0), 0.2),
        coin((120.0, 130.0)),
        points((-150.0, 0.0), (150.0, 20.0), np.hypot(300, 20)),
    ],
    ids=["rule", "coin", "points"],
)
def test_each_kind_alone_gives_the_rim_its_size(reference: FoundReference) -> None:
    choice = chosen(reference)
    (radius,) = choice.fit.measured("rim_radius")
    assert choice.seen.references == (reference,)
    assert radius.nominal_value == pytest.approx(TRUTH["rim_radius"], rel=0.004)
    assert abs(radius.nominal_value - TRUTH["rim_radius"]) < 2 * radius.std_dev


def test_those_that_agree_are_used_together_and_make_it_surer() -> None:
    both = chosen(rule((-70.0, -120.0), 0.2), coin((120.0, 130.0)))
    alone = chosen(coin((120.0, 130.0)))
    assert [reference.kind for reference in both.seen.references] == ["rule", "coin"]
    assert both.disagreement is None
    assert both.fit.measured("rim_radius")[0].std_dev < alone.fit.measured("rim_radius")[0].std_dev


def test_two_rules_that_agree_are_both_used() -> None:
    choice = chosen(rule((-70.0, -120.0), 0.2), rule((-60.0, 140.0), -0.1))
    assert len(choice.seen.references) == 2


def test_one_thing_found_twice_is_used_once() -> None:
    one = rule((-70.0, -120.0), 0.2)
    assert len(chosen(one, one).seen.references) == 1


def test_those_that_disagree_are_named_and_not_used() -> None:
    choice = chosen(rule((-70.0, -120.0), 0.2, stretched=1.06), points((-150.0, 0.0), (150.0, 0.0), 300.0))
    assert choice.seen.references == ()
    assert choice.disagreement is not None
    # 2 x 281 mm; by a rule stretched by 6 % the rim is 6 % smaller.
    assert choice.disagreement.reason == (
        "What you laid down does not agree, so no sizes are given: by the rule the rim is 530 mm across, by "
        "the points 562 mm, 6.0 % more."
    )


def test_two_things_of_two_sizes_are_told_apart_by_agreeing() -> None:
    long, short = (-150.0, 0.0), (150.0, 0.0)
    other = ((-100.0, 80.0), (140.0, 80.0))
    right = [points(long, short, 300.0), points(*other, 240.0)]
    crossed = [replace(right[0], width_mm=240.0), replace(right[1], width_mm=300.0)]
    choice = chosen(*crossed, *right)
    assert sorted(reference.width_mm for reference in choice.seen.references) == [240.0, 300.0]
    (radius,) = choice.fit.measured("rim_radius")
    assert radius.nominal_value == pytest.approx(TRUTH["rim_radius"], rel=0.004)
