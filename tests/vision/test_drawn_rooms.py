"""The truth of drawn rooms: paint against OpenCV's projection, and the band against closed forms."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import map_coordinates
from tests.vision.drawn_canvas import FINENESS, Canvas, Face, inside
from tests.vision.drawn_pictures import Points
from tests.vision.drawn_room_truth import truth_of
from tests.vision.drawn_rooms import Room, room
from tests.vision.drawn_scenes import seen_by_opencv, unit

#: A wheel below its whirl, and one beside it, in double drive.
SEEDS = (3, 15)
WHITE = (255.0, 255.0, 255.0)


@pytest.fixture(scope="module", params=SEEDS)
def drawn(request: pytest.FixtureRequest) -> Room:
    return room(request.param)


def painted(drawn: Room, faces: Iterable[Face]) -> Points:
    """Share (h, w) of each pixel that faces cover."""
    width, height = drawn.size
    canvas = Canvas.of(np.zeros((height, width, 3), np.float32))
    canvas.lay(drawn.seen(faces))
    return np.asarray(canvas.covered(), dtype=float)


def across(covered: Points, place_px: Points, normal: Points, reach_px: float) -> tuple[Points, Points]:
    """Steps from a place along a normal, and how much is covered there."""
    steps = np.linspace(-reach_px, reach_px, 401)
    x, y = (place_px + steps[:, None] * normal).T
    return steps, map_coordinates(covered, [y, x], order=1)


def normals_of(line_px: Points) -> Points:
    along = np.gradient(line_px, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    return np.column_stack([-along[:, 1], along[:, 0]])


def test_as_many_places_lie_inside_as_the_area_says() -> None:
    turn = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    ellipse = np.array([301.3, 203.8]) + unit(turn) * [150.0, 90.0]
    hole = np.array([301.3, 203.8]) + unit(turn) * [40.0, 40.0]
    covered = inside([ellipse, hole], (0, 0, 600, 400))
    assert covered.sum() == pytest.approx(np.pi * (150 * 90 - 40 * 40), rel=1e-3)
    y, x = np.nonzero(covered)
    assert [x.mean(), y.mean()] == pytest.approx([301.3, 203.8], abs=0.02)


def test_what_lies_in_the_picture_only_in_part_is_cut_off() -> None:
    square = np.array([[-5.5, -5.5], [10.2, -5.5], [10.2, 20.2], [-5.5, 20.2]])
    assert inside([square], (0, 0, 8, 30)).sum() == 8 * 21


def test_the_reference_covers_what_its_corners_enclose(drawn: Room) -> None:
    thing = drawn.reference
    assert thing is not None
    square = Face(0, (thing.corners(),), WHITE)
    covered = painted(drawn, [square])
    corners = np.array(truth_of(drawn, "drawn.jpg")["references"][0]["corners_px"])
    x, y = corners.T
    # Shoelace formula. A bent lens bends the sides of a card by less than that.
    area = 0.5 * abs(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    assert covered.sum() == pytest.approx(area, rel=2e-3)


def test_both_runs_are_painted_where_the_truth_has_them(drawn: Room) -> None:
    loop = drawn.loops[0]
    covered = painted(drawn, loop.faces(drawn.lamp, drawn.cord))
    for side in (1, -1):
        begin, end = loop.run(side)
        # Away from the whirl, where the runs come so near each other that one would be taken for the other.
        line = drawn.pixels(begin + np.linspace(0.1, 0.75, 30)[:, None] * (end - begin))
        off_px = []
        for place, normal in zip(line, normals_of(line), strict=True):
            steps, share = across(covered, place, normal, 12.0)
            off_px.append(float(steps @ share / share.sum()))
        assert np.abs(off_px).max() < 0.1
        assert np.mean(off_px) == pytest.approx(0.0, abs=0.02)


def test_the_rim_ends_where_its_slices_do(drawn: Room) -> None:
    wheel = drawn.wheel
    covered = painted(drawn, wheel.faces(drawn.lamp))
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    ring = wheel.oval_at(turn)[:, None] * unit(turn)
    slices = [seen_by_opencv(wheel.rim_at(h) * ring, h, drawn.camera) for h in wheel.heights()]
    middle = np.mean(slices, axis=(0, 1))
    # Half of a pixel is covered where an edge goes through its middle.
    outside = np.concatenate(slices)
    edges_px = []
    for way in unit(np.linspace(0, 2 * np.pi, 24, endpoint=False)):
        last = outside[np.argmax((outside - middle) @ way)]
        steps, share = across(covered, last, way, 6.0)
        edges_px.append(float(np.interp(0.5, share[::-1], steps[::-1])))
    # Where an edge runs along a row of fine pixels, it lies anywhere within one of them.
    assert np.abs(edges_px).max() < 1 / FINENESS
    assert np.mean(edges_px) == pytest.approx(0.0, abs=0.05)


def test_a_run_touches_the_oval_and_the_whirl(drawn: Room) -> None:
    wheel, loop = drawn.wheel, drawn.loops[0]
    turn = np.linspace(0, 2 * np.pi, 20000)
    oval = wheel.pitch * wheel.oval_at(turn)[:, None] * unit(turn)
    for side in (1, -1):
        begin, end = (place[:2] for place in loop.run(side))
        along = (end - begin) / np.linalg.norm(end - begin)
        normal = side * np.array([-along[1], along[0]])
        assert ((oval - begin) @ normal).max() == pytest.approx(0.0, abs=0.01)
        # A spindle that leans by a degree and a half tilts the whirl's circle; that moves the place by less.
        assert (end - np.array(loop.spindle.foot)) @ normal == pytest.approx(loop.pitch, rel=5e-4)


def test_the_runs_of_a_round_wheel_close_as_the_closed_form_says(drawn: Room) -> None:
    """Open belt: the sine of half the angle between its runs is (R - r) / C."""
    loop = replace(drawn.loops[0], wheel=replace(drawn.wheel, oval=0.0))
    ways = [np.diff(np.array(loop.run(side))[:, :2], axis=0)[0] for side in (1, -1)]
    cosine = ways[0] @ ways[1] / np.prod(np.linalg.norm(ways, axis=1))
    sine = (drawn.wheel.pitch - loop.pitch) / np.hypot(*drawn.head.axis.foot)
    assert np.sqrt((1 - cosine) / 2) == pytest.approx(sine, rel=1e-3)


def test_a_seed_is_one_room_and_another_seed_another() -> None:
    assert room(5) == room(5)
    assert room(5).wheel != room(6).wheel
