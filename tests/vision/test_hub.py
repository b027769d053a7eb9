"""The hub of drawn wheels, and places where there is none."""

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.vision.drawn_pictures import Bgr, Points, as_bgr, averaged

from whirlwise.vision.find.edges import Gradient, colour_gradient, lab_pixels
from whirlwise.vision.find.hub import APART, FEWEST_VOTES, find_hubs, hub_ballot

#: As large as the picture that hubs are looked for in.
SIZE = (320, 240)


def wheel(
    hub: tuple[float, float], tilt_deg: float = 0.0, spokes: int = 12, noise: float = 0.0, seed: int = 0
) -> Bgr:
    """A rim of 80 px with spokes, narrowed by its tilt, light on a dark ground with a shelf and a leg."""

    def value_at(places: Points) -> NDArray[np.float64]:
        x, y = (places[:, 0] - hub[0]) / np.cos(np.radians(tilt_deg)), places[:, 1] - hub[1]
        radius, turn = np.hypot(x, y), np.arctan2(y, x)
        within = np.mod(turn * spokes / (2 * np.pi) + 0.3, 1.0) - 0.5
        spoke = (radius < 76) & (np.abs(within) * 2 * np.pi / spokes * radius < 2.0)
        rim = (radius > 72) & (radius < 80)
        nave = radius < 9
        shelf = (places[:, 1] > 205) & (places[:, 1] < 214)
        leg = np.abs(places[:, 0] - 40 - 0.2 * places[:, 1]) < 4
        return np.where(rim | spoke | nave | shelf | leg, 180.0, 80.0)

    return as_bgr(averaged(SIZE, value_at), 0.7, noise, seed)


def gradient_of(bgr: Bgr) -> Gradient:
    return colour_gradient(lab_pixels(bgr), max(SIZE) / 16)


def apart_px(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(np.hypot(one[0] - other[0], one[1] - other[1]))


@pytest.mark.parametrize("hub", [(160.0, 120.0), (121.3, 104.6), (205.8, 110.2)])
@pytest.mark.parametrize("tilt_deg", [0.0, 20.0, 35.0])
def test_hub_of_a_drawn_wheel(hub: tuple[float, float], tilt_deg: float) -> None:
    likeliest = find_hubs(gradient_of(wheel(hub, tilt_deg)))[0]
    # Well inside the nave, which is where a search round the hub must start.
    assert apart_px(likeliest, hub) < 5


@pytest.mark.parametrize("seed", range(3))
def test_noise_does_not_move_the_hub(seed: int) -> None:
    likeliest = find_hubs(gradient_of(wheel((140.0, 112.0), 15.0, noise=25.0, seed=seed)))[0]
    assert apart_px(likeliest, (140.0, 112.0)) < 5


@pytest.mark.parametrize("spokes", [6, 8, 16])
def test_few_and_many_spokes(spokes: int) -> None:
    likeliest = find_hubs(gradient_of(wheel((150.4, 115.1), 10.0, spokes)))[0]
    assert apart_px(likeliest, (150.4, 115.1)) < 5


def test_further_hubs_stand_apart() -> None:
    hubs = find_hubs(gradient_of(wheel((160.0, 120.0))), most=6)
    assert len(hubs) == 6
    nearest = min(apart_px(one, other) for i, one in enumerate(hubs) for other in hubs[:i])
    assert nearest > APART * max(SIZE) - 1


def ballot_of(bgr: Bgr) -> NDArray[np.float32]:
    return hub_ballot(gradient_of(bgr), max(SIZE))


def test_rim_and_spokes_agree_on_a_hub_and_noise_on_nothing() -> None:
    # Each kind of vote peaks at 1; both together reach 2 only where they agree.
    y, x = np.unravel_index(int(ballot_of(wheel((150.0, 118.0))).argmax()), SIZE[::-1])
    assert apart_px((float(x), float(y)), (150.0, 118.0)) < 5
    agreed = ballot_of(wheel((150.0, 118.0))).max()
    noise = [
        ballot_of(np.random.default_rng(seed).integers(0, 256, (240, 320, 3)).astype(np.uint8)).max()
        for seed in range(4)
    ]
    assert agreed > 1.9
    assert max(noise) < 1.7


def test_a_blank_picture_has_no_votes() -> None:
    blank = np.full((240, 320, 3), 128, np.uint8)
    assert ballot_of(blank).max() == 0
    assert find_hubs(gradient_of(blank)) == []


def test_a_place_without_votes_is_no_hub() -> None:
    # As many places are asked for as stand apart in the picture, and far from the wheel nothing votes.
    bgr = wheel((200.0, 130.0))
    hubs, votes = find_hubs(gradient_of(bgr), most=200), ballot_of(bgr)
    assert apart_px(hubs[0], (200.0, 130.0)) < 5
    assert min(votes[int(y), int(x)] for x, y in hubs) >= FEWEST_VOTES
