"""The benchmark's own sums, by hand and by a published table."""

import pytest
from tests.benchmarks.score_table import Answer, calibration, table


def answers() -> list[Answer]:
    return [
        Answer("ratio", 10.0, (10.1, 9.9, 10.3)),
        Answer("ratio", 10.0, (10.3, 10.2, 10.4)),
        Answer("ratio", 10.0, (10.5, 10.4, 10.6)),
        Answer("ratio", 10.0, (12.0, 8.0, 16.0)),
        Answer("ratio", 10.0, None),
        Answer("ratio", 10.0, None, asked=False),
        Answer("rim", 500.0, None),
    ]


def test_a_row_by_hand() -> None:
    head, ratio, rim, _, calibrated = table(answers()).splitlines()
    # Off by 1, 3, 5 and 20 %: median 4; of the three narrow ones the 95th percentile is 3 + 0.9 x 2 = 4.8.
    # Half-widths 2, 1, 1, 40 %: median 1.5. Two of four hold the truth; 5 % are more than three times 1 %.
    assert ratio.split() == ["ratio", "5", "4", "1", "4.00", "4.80", "0.500", "1.50", "1"]
    assert rim.split() == ["rim", "1", "0", "-", "-", "-", "-", "-", "0"]
    assert head.split()[:4] == ["quantity", "asked", "answered", "wide"]
    assert calibrated.startswith("2 of 4 intervals hold the truth (50.0 %), p = ")


def test_an_answer_three_half_widths_off_is_wrong() -> None:
    assert not Answer("ratio", 10.0, (10.29, 10.19, 10.39)).confident_wrong
    assert Answer("ratio", 10.0, (10.31, 10.21, 10.41)).confident_wrong
    assert " WRONG" in Answer("ratio", 10.0, (10.31, 10.21, 10.41)).cell()


@pytest.mark.parametrize(
    # Closed form: of n at 95 %, none outside has 0.95^n; for few it is the likeliest, so p = 1. Two of two
    # outside: 0.05^2.
    ("inside", "of", "p"),
    [(10, 10, "1"), (0, 2, "0.0025"), (0, 3, "0.000125")],
)
def test_calibration(inside: int, of: int, p: str) -> None:
    one, other = Answer("ratio", 1.0, (1.0, 0.9, 1.1)), Answer("ratio", 1.0, (1.2, 1.1, 1.3))
    said = calibration([one] * inside + [other] * (of - inside))
    assert said == f"{inside} of {of} intervals hold the truth ({100 * inside / of:.1f} %), p = {p}"


def test_no_answers() -> None:
    assert calibration([]) == "No answers."
