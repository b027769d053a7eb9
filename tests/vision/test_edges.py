"""Sub-pixel edges of drawn discs and bars with a known place."""

from functools import cache

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Grey, Points, as_bgr, averaged

from whirlwise.vision.find.edges import EdgePoints, Pixels, colour_gradient, edges_across, lab_pixels
from whirlwise.vision.geometry.ellipse import Ellipse, fit_ellipse

SIZE = (320, 280)
DISC = Ellipse(158.37, 141.81, 90.0, 90.0, 0.0)


@cache
def drawn_disc(light: float, dark: float) -> Grey:
    def value_at(places: Points) -> NDArray[np.float64]:
        return np.where(np.linalg.norm(places - DISC.centre_px, axis=1) < 90.0, light, dark)

    return averaged(SIZE, value_at, samples=8)


def disc(
    dark: float = 70, light: float = 190, blur_px: float = 1.2, noise: float = 0.0, seed: int = 0
) -> Bgr:
    return as_bgr(drawn_disc(light, dark), blur_px, noise, seed)


def guessed(lab: Pixels, off_px: float = 3.0) -> EdgePoints:
    """Edges across a circle that lies beside the disc's edge."""
    outline, normals = Ellipse(DISC.x_px + off_px, DISC.y_px, 92.0, 92.0, 0.0).outline(240)
    return edges_across(lab, outline, normals, 9.0, most=1)


def radii_px(edges: EdgePoints) -> NDArray[np.float64]:
    return np.asarray(np.linalg.norm(edges.points_px - DISC.centre_px, axis=1))


@pytest.mark.parametrize("blur_px", [0.8, 1.2, 2.0, 3.0])
def test_edge_is_where_the_blurred_disc_is_steepest(blur_px: float) -> None:
    """Without any rounding the edge's place is known by theory."""
    grey = np.asarray(cv2.GaussianBlur(drawn_disc(190, 70), (0, 0), blur_px))
    edges = guessed(np.dstack([grey] * 3).astype(np.float32))
    # Blurring a round edge moves its steepest place inwards by sigma^2 / 2r (computed);
    # the best published for edges in pictures is 0.01 to 0.02 px.
    assert np.mean(radii_px(edges)) == pytest.approx(90.0 - blur_px**2 / 180, abs=0.004)
    assert np.std(radii_px(edges)) < 0.01
    found = fit_ellipse(edges.points_px)
    assert found is not None
    assert found.centre_px == pytest.approx(DISC.centre_px, abs=0.004)


@pytest.mark.parametrize(("dark", "light"), [(70, 190), (190, 70), (100, 130), (130, 100)])
@pytest.mark.parametrize("blur_px", [0.8, 1.2])
def test_edge_of_a_disc_in_a_picture(dark: float, light: float, blur_px: float) -> None:
    edges = guessed(lab_pixels(disc(dark, light, blur_px)))
    assert len(edges.line) == 240
    # Blurred in the stored grey values; CIELAB's lightness bends these a little, towards the dark side.
    assert np.mean(radii_px(edges)) == pytest.approx(90.0, abs=0.1)
    assert np.std(radii_px(edges)) < 0.03


@pytest.mark.parametrize(("dark", "light"), [(100, 130), (130, 100)])
def test_rounding_does_not_shift_a_soft_weak_edge(dark: float, light: float) -> None:
    radii = radii_px(guessed(lab_pixels(disc(dark, light, blur_px=2.0))))
    # 8-bit grey values of this edge scatter it by 0.04 px and leave its mean where it is (computed); over so
    # small a step of grey CIELAB's lightness is straight to 0.06 px.
    assert np.mean(radii) == pytest.approx(90.0 - 0.022, abs=0.06)


@pytest.mark.parametrize("off_px", [0.0, 2.0, 4.0])
def test_where_the_search_starts_does_not_matter(off_px: float) -> None:
    radii = radii_px(guessed(lab_pixels(disc()), off_px))
    assert np.mean(radii) == pytest.approx(90.0, abs=0.1)
    assert np.ptp(radii) < 0.2


def test_noise_scatters_and_does_not_shift() -> None:
    radii = radii_px(guessed(lab_pixels(disc(noise=6.0, seed=5))))
    assert np.median(radii) == pytest.approx(90.0, abs=0.1)
    # Cramer-Rao for an edge with a blur of sigma b, a step h and noise n a pixel: n / h sqrt(2 b sqrt(pi)),
    # 0.1 px on one line of pixels (computed); averaging and a plainer filter change it by less than two.
    bound_px = 6.0 / 120 * np.sqrt(2 * 1.2 * np.sqrt(np.pi))
    assert 0.5 * bound_px < 1.4826 * np.median(np.abs(radii - np.median(radii))) < 2 * bound_px


def test_a_disc_of_the_backgrounds_grey_shows_by_its_colour() -> None:
    bgr = disc(dark=128, light=128)
    inside = (
        np.linalg.norm(np.indices(bgr.shape[:2]) - np.array([DISC.y_px, DISC.x_px])[:, None, None], axis=0)
        < 90
    )
    # Equal CIELAB lightness, far apart in a*: a red and a green.
    bgr[inside], bgr[~inside] = (60, 60, 200), (60, 128, 60)
    edges = guessed(lab_pixels(bgr))
    assert len(edges.line) == 240
    assert np.mean(radii_px(edges)) == pytest.approx(90.0, abs=0.3)


def test_a_bar_has_two_edges_a_line() -> None:
    def value_at(places: Points) -> NDArray[np.float64]:
        return np.where(np.abs(places[:, 0] - 60.3) < 6.0, 200.0, 60.0)

    lab = lab_pixels(as_bgr(averaged((120, 80), value_at), blur_px=1.0))
    middles = np.column_stack([np.full(40, 61.0), np.linspace(20, 60, 40)])
    edges = edges_across(lab, middles, np.tile([1.0, 0.0], (40, 1)), 12.0, most=3)
    assert np.bincount(edges.line, minlength=40).tolist() == [2] * 40
    # CIELAB moves both edges to the dark, more so the greater the contrast.
    assert np.sort(edges.points_px[:, 0])[:40] == pytest.approx(54.3, abs=0.15)
    assert np.sort(edges.points_px[:, 0])[40:] == pytest.approx(66.3, abs=0.15)
    left = edges.chosen(edges.points_px[:, 0] < 60)
    assert len(left.line) == len(left.points_px) == len(left.strength) == 40


def test_strength_is_the_steepness_in_grey_values_a_pixel() -> None:
    # A ramp of 2 CIELAB units a pixel; OpenCV stores L* as 255/100 of itself.
    lightness = np.tile(np.clip(20.0 + 2.0 * np.arange(100), 60, 160), (40, 1))
    lab = np.dstack([lightness, np.full_like(lightness, 128), np.full_like(lightness, 128)]).astype(
        np.float32
    )
    middles, normals = np.full((20, 2), [45.0, 20.0]), np.tile([1.0, 0.0], (20, 1))
    steepness = edges_across(lab, middles, normals, 40.0, most=1).strength
    assert steepness == pytest.approx(2.0, rel=1e-3)


def test_weak_edges_beside_strong_ones_are_dropped() -> None:
    def value_at(places: Points) -> NDArray[np.float64]:
        return np.select([places[:, 0] < 30.0, places[:, 0] < 42.0], [60.0, 160.0], 180.0)

    lab = lab_pixels(as_bgr(averaged((80, 60), value_at), blur_px=1.0))
    middles, normals = (
        np.column_stack([np.full(30, 36.0), np.linspace(15, 45, 30)]),
        np.tile([1.0, 0.0], (30, 1)),
    )
    few = edges_across(lab, middles, normals, 14.0, weakest=0.5)
    all_edges = edges_across(lab, middles, normals, 14.0, weakest=0.05)
    assert few.points_px[:, 0] == pytest.approx(30.0 - 0.5, abs=0.6)
    assert np.bincount(all_edges.line).tolist() == [2] * 30


def test_a_blank_picture_has_no_edges() -> None:
    assert len(guessed(lab_pixels(np.full((280, 320, 3), 128, np.uint8))).line) == 0


def test_outside_the_picture_there_are_no_edges() -> None:
    outline, normals = Ellipse(0.0, 0.0, 90.0, 90.0, 0.0).outline(120)
    noise = np.random.default_rng(1).integers(0, 256, (280, 320, 3)).astype(np.uint8)
    x, y = edges_across(lab_pixels(noise), outline, normals, 9.0).points_px.T
    assert len(x) > 0
    assert x.min() > 0
    assert y.min() > 0


def test_shrinking_averages() -> None:
    noise = np.random.default_rng(2).integers(100, 156, (40, 60, 3)).astype(np.uint8)
    means = noise.reshape(20, 2, 30, 2, 3).mean(axis=(1, 3))
    expected = cv2.cvtColor(np.rint(means).astype(np.uint8), cv2.COLOR_BGR2LAB).astype(float)
    assert np.abs(lab_pixels(noise, 0.5) - expected).max() <= 2
    assert lab_pixels(noise, 3.0).shape == (40, 60, 3)


def test_gradient_points_to_the_light_at_right_angles_to_the_edge() -> None:
    gradient = colour_gradient(lab_pixels(disc()), 20.0)
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    x, y = np.rint(DISC.centre_px[:, None] + 90.0 * np.array([np.cos(turn), np.sin(turn)])).astype(int)
    towards = np.arctan2(-gradient.y[y, x], -gradient.x[y, x])
    off_deg = np.degrees(np.angle(np.exp(1j * (towards - np.arctan2(y - DISC.y_px, x - DISC.x_px)))))
    # Sobel's kernel is true to about a degree on such an edge.
    assert np.abs(off_deg).max() < 2.5
    # In units of the neighbourhood's root mean square: strong on the edge, next to nothing away from it.
    assert gradient.size[y, x].min() > 1.5
    assert gradient.size[141, 158] < 0.05


def test_gradient_does_not_mind_the_contrast() -> None:
    strong, weak = (colour_gradient(lab_pixels(disc(128 - c, 128 + c)), 20.0) for c in (60, 30))
    ring = (
        np.abs(np.hypot(*(np.indices((280, 320)) - np.array([DISC.y_px, DISC.x_px])[:, None, None])) - 90)
        < 0.5
    )
    assert np.median(weak.size[ring] / strong.size[ring]) == pytest.approx(1.0, abs=0.2)


def test_a_blank_picture_has_no_gradient() -> None:
    assert colour_gradient(lab_pixels(np.full((50, 60, 3), 90, np.uint8)), 10.0).size.max() == 0
