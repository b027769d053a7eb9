"""Fusing readings of a wheel against worked examples, closed forms, SciPy and Monte Carlo."""

from collections.abc import Mapping
from math import exp, log, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import curve_fit
from scipy.stats import chi2
from uncertainties import correlated_values_norm, ufloat

from whirlwise.calc.fusing import LEAST_AGREEMENT, FusedWheel, fuse
from whirlwise.calc.interval import COVERAGE_FACTOR_95, Interval, interval_95
from whirlwise.calc.solving import row_of, solve
from whirlwise.calc.wheel import Dimension, Reading, reading_of

OUTER, PITCH, WHIRL = Dimension("outer_mm"), Dimension("pitch_mm"), Dimension("pitch_mm", "whirl")
APART, RATIO, AT_WORK = (
    Dimension("centre_distance_mm"),
    Dimension("ratio", "whirl"),
    Dimension("ratio_at_work", "whirl"),
)
PHOTO = (OUTER, PITCH, RATIO, APART)


def reading(
    name: str,
    values: Mapping[Dimension, float],
    covariance: NDArray[np.float64] | list[list[float]],
    shared: Mapping[str, NDArray[np.float64]] | None = None,
) -> Reading:
    return Reading(name, values, np.asarray(covariance, dtype=float), shared or {})


def known(found: Interval | None) -> Interval:
    assert found is not None
    return found


def deviation(fused: FusedWheel, dimension: Dimension) -> float:
    """Standard uncertainty of the logarithm behind an interval."""
    interval = known(fused.interval_95(dimension))
    return log(interval.high / interval.low) / 2 / COVERAGE_FACTOR_95


def random_covariance(rng: np.random.Generator, size: int, scale: float = 0.01) -> NDArray[np.float64]:
    root = rng.normal(size=(size, size)) * scale
    return np.asarray(root @ root.T + (0.1 * scale) ** 2 * np.eye(size))


def test_a_ratio_of_two_correlated_lengths() -> None:
    # JCGM 100:2008, H.2 (from memory): V = 4.9990(32), I = 19.6610(95) mA, r(V, I) = -0.36 make
    # Z = V/I = 254.260 with u = 0.236 ohm. Here V stands for the wheel and I for the whirl.
    numbers = correlated_values_norm([(4.9990, 0.0032), (19.6610e-3, 0.0095e-3)], [[1, -0.36], [-0.36, 1]])
    fused = fuse([reading_of("one", dict(zip((PITCH, WHIRL), numbers, strict=True)))])
    ratio = known(fused.interval_95(RATIO))
    assert ratio.value == pytest.approx(254.260, abs=0.005)
    assert ratio.half_width / COVERAGE_FACTOR_95 == pytest.approx(0.236, abs=0.002)


def test_the_mass_of_the_charged_kaon() -> None:
    # Particle Data Group, charged kaon mass in MeV: six values whose weighted average is 493.677 and which
    # disagree (from memory). Every published value must lie in an interval that admits the quarrel.
    # Counted in tens of MeV above 483, because nothing is known to one part in 100,000 here.
    values = [1.0696, 1.0636, 1.0640, 1.0670, 1.0657, 1.0691]
    doubts = [0.0007, 0.0011, 0.0054, 0.0029, 0.0020, 0.0040]
    readings = [
        reading(f"{k}", {PITCH: value}, [[(doubt / value) ** 2]])
        for k, (value, doubt) in enumerate(zip(values, doubts, strict=True))
    ]
    fused = fuse(readings)
    mean = known(fused.interval_95(PITCH))
    assert mean.value == pytest.approx(1.0677, abs=0.0001)
    assert fused.solution.agreement < 0.001
    weights = 1 / np.square(doubts)
    centre = float(np.average(values, weights=weights))
    birge = sqrt(float(np.sum(weights * np.square(np.array(values) - centre))) / 5)
    # Without either of the two sharpest values, the others agree.
    assert [each.reading for each in fused.disagreements] == ["0", "1"]
    assert mean.half_width >= 0.99 * COVERAGE_FACTOR_95 * birge / sqrt(weights.sum())
    assert mean.low < 1.0636 < 1.0696 < mean.high


def test_two_correlated_values_in_closed_form() -> None:
    # L. Lyons, D. Gibaut, P. Clifford, Nucl. Instrum. Methods A 270 (1988) 110 (from memory): the weight of
    # the first is (s2^2 - r s1 s2) / (s1^2 + s2^2 - 2 r s1 s2).
    one, other, shared = 0.010, 0.020, 0.008
    s1, s2 = np.hypot(one, shared), np.hypot(other, shared)
    r = shared**2 / (s1 * s2)
    weight = (s2**2 - r * s1 * s2) / (s1**2 + s2**2 - 2 * r * s1 * s2)
    variance = s1**2 * s2**2 * (1 - r**2) / (s1**2 + s2**2 - 2 * r * s1 * s2)
    fused = fuse(
        [
            reading("one", {PITCH: 500.0}, [[one**2]], {"lens": np.array([shared])}),
            reading("other", {PITCH: 510.0}, [[other**2]], {"lens": np.array([shared])}),
        ]
    )
    assert known(fused.interval_95(PITCH)).value == pytest.approx(
        exp(weight * log(500) + (1 - weight) * log(510))
    )
    assert deviation(fused, PITCH) == pytest.approx(sqrt(variance), rel=1e-5)


def test_a_shared_cause_does_not_average_out() -> None:
    alike = [reading(f"{k}", {PITCH: 500.0}, [[1e-6]], {"rim": np.array([0.01])}) for k in range(50)]
    assert deviation(fuse(alike), PITCH) > 0.01


def test_against_scipy() -> None:
    # scipy.optimize.curve_fit with a full covariance matrix minimises the same sum its own way.
    rng = np.random.default_rng(5)
    truth = np.log([560.0, 550.0, 50.0, 400.0])
    design = np.array([[1, 0, 0, 0], [0, 1, 0, 0], [0, 1, -1, 0], [0, 0, 0, 1]], float)
    full = np.vstack([design, design[[2]], design[1:3]])
    blocks = [random_covariance(rng, 4), random_covariance(rng, 1), random_covariance(rng, 2)]
    joint = np.zeros((7, 7))
    joint[:4, :4], joint[4:5, 4:5], joint[5:, 5:] = blocks
    logs = full @ truth + np.linalg.cholesky(joint) @ rng.normal(size=7)
    found, covariance = curve_fit(
        lambda _, *x: full @ np.array(x), np.arange(7), logs, p0=truth, sigma=joint, absolute_sigma=True
    )
    values = np.exp(logs)
    solution = solve(
        [
            reading("photo", dict(zip(PHOTO, values[:4], strict=True)), blocks[0]),
            reading("clip", {RATIO: values[4]}, blocks[1]),
            reading("other", {PITCH: values[5], RATIO: values[6]}, blocks[2]),
        ]
    )
    order = [solution.unknowns.index(each) for each in (OUTER, PITCH, WHIRL, APART)]
    assert solution.logs[order] == pytest.approx(found, abs=1e-6)
    assert solution.covariance[np.ix_(order, order)] == pytest.approx(covariance, rel=1e-2, abs=1e-8)
    assert solution.freedom == 3


def test_against_monte_carlo() -> None:
    # JCGM 101:2008, 7: the spread of the fused ratio over drawn readings is what the fusion claims, its
    # misfit is a chi-square, and 95 % of the intervals hold the truth.
    rng = np.random.default_rng(11)
    truth = {OUTER: 560.0, PITCH: 550.0, RATIO: 11.0, APART: 400.0}
    own = [random_covariance(rng, 4) for _ in range(2)]
    cause = np.array([0.01, 0.01, 0.0, 0.01])
    roots = [np.linalg.cholesky(each) for each in own]
    drawn: list[FusedWheel] = []
    for _ in range(1500):
        common = rng.normal()
        drawn.append(
            fuse(
                [
                    reading(
                        f"{k}",
                        dict(
                            zip(
                                PHOTO,
                                np.exp(
                                    np.log(list(truth.values()))
                                    + roots[k] @ rng.normal(size=4)
                                    + common * cause
                                ),
                                strict=True,
                            )
                        ),
                        own[k],
                        {"rim": cause},
                    )
                    for k in (0, 1)
                ]
            )
        )
    agreeing = [fused for fused in drawn if not fused.leaving_out]
    for dimension in (PITCH, RATIO, APART):
        values = [known(fused.interval_95(dimension)).value for fused in drawn]
        assert np.std(np.log(values)) == pytest.approx(deviation(agreeing[0], dimension), rel=0.06)
        held = [
            known(f.interval_95(dimension)).low < truth[dimension] < known(f.interval_95(dimension)).high
            for f in drawn
        ]
        assert np.mean(held) > 0.935
    misfits = [fused.solution.chi_square for fused in drawn]
    assert np.mean(misfits) == pytest.approx(chi2.mean(4), rel=0.06)
    assert np.mean([m > chi2.isf(LEAST_AGREEMENT, 4) for m in misfits]) == pytest.approx(0.05, abs=0.02)


def test_a_reading_alone_says_what_it_said() -> None:
    # Its interval covers that of the number itself, on both sides and for the ratio as for its reciprocal.
    share = ufloat(0.09, 0.01)
    alone = known(fuse([reading_of("photo", {RATIO: 1 / share})]).interval_95(RATIO))
    told = interval_95(share)
    assert alone.value == pytest.approx(1 / 0.09)
    assert alone.low <= 1 / told.high
    assert alone.high == pytest.approx(1 / told.low)
    assert alone.low > 0.9 / told.high


def test_what_no_reading_tells_is_not_told() -> None:
    fused = fuse([reading("clip", {RATIO: 11.0}, [[1e-8]])])
    assert known(fused.interval_95(RATIO)).value == pytest.approx(11.0)
    for dimension in (PITCH, WHIRL, OUTER, APART, Dimension("ratio", "small")):
        assert fused.interval_95(dimension) is None
    assert fuse([]).interval_95(RATIO) is None


def test_a_ratio_and_a_wheel_tell_the_whirl() -> None:
    fused = fuse([reading("clip", {RATIO: 11.0}, [[1e-8]]), reading("photo", {PITCH: 550.0}, [[1e-4]])])
    assert known(fused.interval_95(WHIRL)).value == pytest.approx(50.0)
    assert deviation(fused, WHIRL) == pytest.approx(sqrt(1e-4 + 1e-8), rel=1e-4)


def test_a_second_view_that_knows_the_distance_pins_the_whirl() -> None:
    # r = R (1 - C/M) for runs that meet at M: one picture knows R and M, but neither C nor r well. The
    # closed form: d log ratio = C/(M - C) d log C, so a known C leaves nothing of that doubt.
    wheel, meeting, apart = 275.0, 440.0, 400.0
    distance = ufloat(apart, 4.0)
    numbers = {PITCH: ufloat(2 * wheel, 0.5), RATIO: 1 / (1 - distance / meeting), APART: distance}
    photo = reading_of("photo-1", numbers)
    assert deviation(fuse([photo]), RATIO) == pytest.approx(0.1, rel=0.15)
    pinned = fuse([photo, reading_of("photo-2", {APART: ufloat(apart, 0.04)})])
    assert deviation(pinned, RATIO) == pytest.approx(0.001, rel=0.15)


def test_slip_is_what_two_clips_tell_apart() -> None:
    fused = fuse(
        [
            reading("by-hand", {RATIO: 12.0}, [[1e-8]]),
            reading("work-1", {AT_WORK: 11.76}, [[1e-8]]),
            reading("work-2", {AT_WORK: 11.88}, [[1e-8]]),
        ]
    )
    assert known(fused.speed_kept("work-1")).value == pytest.approx(0.98)
    assert known(fused.speed_kept("work-2")).value == pytest.approx(0.99)
    assert fused.speed_kept("by-hand") is None
    # A band that slips tells nothing of the circles.
    assert known(fused.interval_95(RATIO)).value == pytest.approx(12.0)
    assert deviation(fused, RATIO) == pytest.approx(1e-4, rel=0.01)


def test_two_readings_that_contradict_are_both_named_and_both_covered() -> None:
    fused = fuse([reading("a", {PITCH: 500.0}, [[1e-6]]), reading("b", {PITCH: 550.0}, [[1e-4]])])
    assert [each.reading for each in fused.disagreements] == ["a", "b"]
    assert fused.disagreements[0].said.value == pytest.approx(500)
    assert fused.disagreements[0].others_say.value == pytest.approx(550)
    told = known(fused.interval_95(PITCH))
    assert told.low < 500 * exp(-COVERAGE_FACTOR_95 * 1e-3)
    assert told.high > 550 * exp(COVERAGE_FACTOR_95 * 0.99e-2)


def test_of_three_readings_the_one_that_is_off_is_named() -> None:
    fused = fuse(
        [
            reading("a", {OUTER: 560.0, PITCH: 550.0}, 1e-5 * np.eye(2)),
            reading("b", {OUTER: 561.0, PITCH: 551.0}, 1e-5 * np.eye(2)),
            reading("c", {OUTER: 560.5, PITCH: 600.0}, 1e-5 * np.eye(2)),
        ]
    )
    (named,) = fused.disagreements
    assert (named.reading, named.dimension) == ("c", PITCH)
    assert named.others_say.value == pytest.approx(550.5, abs=0.1)
    told = known(fused.interval_95(PITCH))
    assert told.low < 550.5 < told.high


def test_a_quarrel_about_the_rim_leaves_the_ratio_alone() -> None:
    one = reading("a", {OUTER: 560.0, PITCH: 550.0, RATIO: 11.0}, np.diag([1e-6, 1e-6, 1e-4]))
    other = reading("b", {OUTER: 580.0, PITCH: 550.0, RATIO: 11.1}, np.diag([1e-6, 1e-6, 1e-4]))
    fused = fuse([one, other])
    assert {(each.reading, each.dimension) for each in fused.disagreements} == {("a", OUTER), ("b", OUTER)}
    rim = known(fused.interval_95(OUTER))
    assert rim.low < 560 < 580 < rim.high
    agreeing = fuse([one, reading("b", {PITCH: 550.0, RATIO: 11.1}, np.diag([1e-6, 1e-4]))])
    assert deviation(fused, RATIO) == pytest.approx(deviation(agreeing, RATIO), rel=1e-6)


def test_readings_at_odds_everywhere_are_widened_by_the_birge_ratio() -> None:
    # R. T. Birge, Physical Review 40 (1932) 207 (from memory): sqrt(chi-square / freedom).
    quarrel = [500.0, 520.0, 540.0, 560.0]
    fused = fuse([reading(f"{k}", {PITCH: value}, [[1e-6]]) for k, value in enumerate(quarrel)])
    chi_square = float(np.sum((np.log(quarrel) - np.mean(np.log(quarrel))) ** 2) / 1e-6)
    # Nothing is taken to be known better than one part in 100,000, which adds 1e-10 to each variance.
    assert fused.birge_ratio == pytest.approx(sqrt(chi_square * 1e-6 / (1e-6 + 1e-10) / 3), rel=1e-6)
    told = known(fused.interval_95(PITCH))
    assert log(told.high / told.low) / 2 >= COVERAGE_FACTOR_95 * sqrt(chi_square / 3 / 4 * 1e-6)
    assert len(fused.disagreements) == 1


@st.composite
def wheels(draw: st.DrawFn) -> list[Reading]:
    """Two to four readings of one wheel, right within their doubts, each of some of its dimensions."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    truth = {OUTER: 560.0, PITCH: 550.0, RATIO: 11.0, APART: 400.0}
    readings = []
    for k in range(draw(st.integers(2, 4))):
        chosen = draw(st.lists(st.sampled_from(PHOTO), min_size=1, unique=True))
        covariance = random_covariance(rng, len(chosen), draw(st.floats(1e-4, 0.03)))
        off = np.linalg.cholesky(covariance) @ rng.normal(size=len(chosen))
        values = {d: truth[d] * exp(e) for d, e in zip(chosen, off, strict=True)}
        cause = {"rim": np.where([d == RATIO for d in chosen], 0.0, 0.005)}
        readings.append(reading(f"{k}", values, covariance, cause))
    return readings


@settings(max_examples=200)
@given(wheels())
def test_a_reading_that_agrees_never_widens(readings: list[Reading]) -> None:
    more, fewer = fuse(readings), fuse(readings[:-1])
    if more.leaving_out or fewer.leaving_out:
        return
    for dimension in PHOTO:
        if fewer.interval_95(dimension) is not None:
            assert deviation(more, dimension) <= deviation(fewer, dimension) * (1 + 1e-6) + 1e-9


@settings(max_examples=100)
@given(wheels())
def test_the_order_does_not_matter(readings: list[Reading]) -> None:
    turned = readings[::-1]
    for dimension in (*PHOTO, WHIRL):
        one, other = fuse(readings).interval_95(dimension), fuse(turned).interval_95(dimension)
        assert (one is None) == (other is None)
        if one is not None and other is not None:
            assert (one.value, one.low, one.high) == pytest.approx(
                (other.value, other.low, other.high), rel=1e-5
            )


@settings(max_examples=50)
@given(wheels(), st.floats(0.2, 5))
def test_another_unit_of_length_changes_no_ratio(readings: list[Reading], scale: float) -> None:
    def scaled(each: Reading) -> Reading:
        values = {d: v if d == RATIO else v * scale for d, v in each.values.items()}
        return reading(each.name, values, each.covariance, each.shared)

    one, other = fuse(readings), fuse([scaled(each) for each in readings])
    assert one.solution.chi_square == pytest.approx(other.solution.chi_square, rel=1e-3, abs=1e-6)
    if (ratio := one.interval_95(RATIO)) is not None:
        assert known(other.interval_95(RATIO)).value == pytest.approx(ratio.value, rel=1e-6)


def test_what_a_reading_must_be() -> None:
    with pytest.raises(ValueError, match="above zero"):
        reading("a", {PITCH: -1.0}, [[1e-4]])
    with pytest.raises(ValueError, match="1 x 1"):
        reading("a", {PITCH: 1.0}, [[1e-4, 0.0]])
    with pytest.raises(ValueError, match="symmetric"):
        reading("a", {PITCH: 1.0, OUTER: 1.0}, [[1e-4, 1e-5], [0.0, 1e-4]])
    with pytest.raises(ValueError, match="less than no doubt"):
        reading("a", {PITCH: 1.0, OUTER: 1.0}, [[1e-4, 2e-4], [2e-4, 1e-4]])
    with pytest.raises(ValueError, match="shared cause"):
        reading("a", {PITCH: 1.0}, [[1e-4]], {"rim": np.zeros(2)})
    with pytest.raises(ValueError, match="name of its own"):
        fuse([reading("a", {PITCH: 1.0}, [[1e-4]])] * 2)


def test_numbers_that_reach_down_to_zero_are_left_out() -> None:
    kept = reading_of("a", {PITCH: ufloat(10, 6), OUTER: ufloat(10, 1)})
    assert list(kept.values) == [OUTER]
    assert reading_of("a", {PITCH: ufloat(10, 6)}).covariance.shape == (0, 0)
    assert row_of(PITCH) == {PITCH: 1.0}


def test_tagged_variables_are_shared_causes() -> None:
    model = ufloat(1.0, 0.008, "rim")
    found = reading_of("a", {OUTER: ufloat(560, 0.56) * model, PITCH: ufloat(550, 0.55) * model})
    assert found.shared["rim"] == pytest.approx([0.008, 0.008], rel=0.02)
    assert np.diag(found.covariance) == pytest.approx([1e-6, 1e-6], rel=0.04)
    assert found.interval_95(PITCH).low <= interval_95(ufloat(550, 0.55) * model).low
