"""The joint fit against certified answers: NIST Statistical Reference Datasets, nonlinear regression.

Data, values, standard deviations and residual sums as they stand in several public test suites (GSL's among
them; one public copy has ENSO's b9 with the wrong sign).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from whirlwise.vision.fit.joint import TOLERANCE, fit_jointly
from whirlwise.vision.fit.scene import Scene
from whirlwise.vision.fit.unknowns import Unknown, UnknownTable

Numbers = NDArray[np.float64]

#: Misfits are told in so many deviations that no point is taken for a stray one, as certified fits don't.
NEVER_STRAY = 100.0

# Monthly averages of the difference of atmospheric pressure between Easter Island and Darwin.
ENSO = """
12.9 11.3 10.6 11.2 10.9 7.5 7.7 11.7 12.9 14.3 10.9 13.7 17.1 14.0 15.3 8.5 5.7 5.5 7.6 8.6 7.3
7.6 12.7 11.0 12.7 12.9 13.0 10.9 10.4 10.2 8.0 10.9 13.6 10.5 9.2 12.4 12.7 13.3 10.1 7.8 4.8 3.0
2.5 6.3 9.7 11.6 8.6 12.4 10.5 13.3 10.4 8.1 3.7 10.7 5.1 10.4 10.9 11.7 11.4 13.7 14.1 14.0 12.5
6.3 9.6 11.7 5.0 10.8 12.7 10.8 11.8 12.6 15.7 12.6 14.8 7.8 7.1 11.2 8.1 6.4 5.2 12.0 10.2 12.7
10.2 14.7 12.2 7.1 5.7 6.7 3.9 8.5 8.3 10.8 16.7 12.6 12.5 12.5 9.8 7.2 4.1 10.6 10.1 10.1 11.9
13.6 16.3 17.6 15.5 16.0 15.2 11.2 14.3 14.5 8.5 12.0 12.7 11.3 14.5 15.1 10.4 11.5 13.4 7.5 0.6 0.3
5.5 5.0 4.6 8.2 9.9 9.2 12.5 10.9 9.9 8.9 7.6 9.5 8.4 10.7 13.6 13.7 13.7 16.5 16.8 17.1 15.4
9.5 6.1 10.1 9.3 5.3 11.2 16.6 15.6 12.0 11.5 8.6 13.8 8.7 8.6 8.6 8.7 12.8 13.2 14.0 13.4 14.8
"""

# Circular interference transmittance over wavelength.
WAVELENGTHS = """
400 405 410 415 420 425 430 435 436.5 438 439.5 441 442.5 444 445.5 447 448.5 450 451.5 453 454.5 456 457.5
459 460.5 462 463.5 465 470 475 480 485 490 495 500
"""
ECKERLE4 = """
0.0001575 0.0001699 0.0002350 0.0003102 0.0004917 0.0008710 0.0017418 0.0046400 0.0065895 0.0097302 0.0149002
0.0237310 0.0401683 0.0712559 0.1264458 0.2073413 0.2902366 0.3445623 0.3698049 0.3668534 0.3106727 0.2078154
0.1164354 0.0616764 0.0337200 0.0194023 0.0117831 0.0074357 0.0022732 0.0008800 0.0004579 0.0002345 0.0001586
0.0001143 0.0000710
"""


def numbers(text: str) -> Numbers:
    return np.array(text.split(), dtype=float)


def seasons(b: Numbers, month: Numbers) -> Numbers:
    def wave(period: float, cosine: float, sine: float) -> Numbers:
        turn = 2 * np.pi * month / period
        return np.asarray(cosine * np.cos(turn) + sine * np.sin(turn))

    return np.asarray(b[0] + wave(12, b[1], b[2]) + wave(b[3], b[4], b[5]) + wave(b[6], b[7], b[8]))


def peak(b: Numbers, x: Numbers) -> Numbers:
    return np.asarray(b[0] / b[1] * np.exp(-0.5 * ((x - b[2]) / b[1]) ** 2))


@dataclass(frozen=True)
class Certified:
    """A data set with its model, the two starts that the source names, and the certified answers."""

    x: Numbers
    y: Numbers
    model: Callable[[Numbers, Numbers], Numbers]
    starts: tuple[tuple[float, ...], ...]
    values: tuple[float, ...]
    deviations: tuple[float, ...]
    residual_sum: float


SETS = {
    "ENSO": Certified(
        np.arange(1.0, 169.0),
        numbers(ENSO),
        seasons,
        ((11, 3, 0.5, 40, -0.7, -1.3, 25, -0.3, 1.4), (10, 3, 0.5, 44, -1.5, 0.5, 26, -0.1, 1.5)),
        (
            10.510749193, 3.0762128085, 0.53280138227, 44.311088700, -1.6231428586, 0.52554493756,
            26.887614440, 0.21232288488, 1.4966870418,
        ),
        (
            0.17488832467, 0.24310052139, 0.24354686618, 0.94408025976, 0.28078369611, 0.48073701119,
            0.41612939130, 0.51460022911, 0.25434468893,
        ),
        788.53978668,
    ),
    "Eckerle4": Certified(
        numbers(WAVELENGTHS),
        numbers(ECKERLE4),
        peak,
        ((1.5, 5, 450),),
        (1.5543827178, 4.0888321754, 451.54121844),
        (0.015408051163, 0.046803020753, 0.046800518816),
        1.4635887487e-3,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Seen:
    """The data as observations of a fit."""

    data: Certified
    deviation: float

    def residuals(self, scene: Scene) -> Numbers:
        b = np.array([scene.values[f"b{place}"] for place in range(len(self.data.values))])
        misfit = self.data.y - self.data.model(b, self.data.x)
        return np.asarray(misfit / (NEVER_STRAY * self.deviation))


@pytest.mark.parametrize(
    ("name", "start"), [(name, place) for name, data in SETS.items() for place in range(len(data.starts))]
)
def test_certified_answers(name: str, start: int) -> None:
    data = SETS[name]
    freedom = len(data.y) - len(data.values)
    deviation = float(np.sqrt(data.residual_sum / freedom))
    table = UnknownTable(
        Unknown(f"b{place}", first, scale)
        for place, (first, scale) in enumerate(zip(data.starts[start], data.deviations, strict=True))
    )
    fit = fit_jointly(table, [Seen(data, deviation)])
    found = fit.measured(*fit.values)
    off = [
        abs(each.n - value) / own
        for each, value, own in zip(found, data.values, data.deviations, strict=True)
    ]
    # The search ends when a step lowers the sum of squares by less than its tolerance. A sum that is higher
    # by one residual variance means one deviation, so the tolerance leaves its root times that of the
    # freedom.
    assert max(off) < (TOLERANCE * freedom) ** 0.5
    assert [each.s / NEVER_STRAY for each in found] == pytest.approx(list(data.deviations), rel=3e-3)
    residual_sum = 2 * fit.cost * (NEVER_STRAY * deviation) ** 2
    assert residual_sum == pytest.approx(data.residual_sum, rel=1e-4)
