"""Whatever is typed after ladder, groove, steps, band, compare: an answer or a sentence, never a crash."""

import contextlib
import io
import json
from itertools import chain

from hypothesis import given, settings
from hypothesis import strategies as st

from whirlwise.cli.app import run

NUMBERS = [
    "6",
    "12.5",
    "0",
    "-3",
    "nan",
    "1e5",
    "99999999",
    "0.0001",
    "6+-60",
    "",
    "12x6",
    "x6",
    "a=6",
    "6,5",
]
LENGTHS = ["556mm", "1.6in", "0mm", "0.0001mm", "99999m", "5furlong", "", "2.5+-30mm", "a=41.5mm", "mm"]
SHAPES = ["u", "v", "v20", "v60,1mm", "v60,50mm", "w", "", "v60,"]
RANGES = ["6-18", "6-6", "18-6", "0-5", "0.001-99999", "6", "", "5.99-6"]
PERCENTS = ["0", "1%", "99.9", "100", "-1", "3+-1", "", "50+-90"]
COUNTS = ["0", "1", "3", "13", "-1", "2.5"]

#: For each command what is typed by people who know it, and what may come instead or besides.
TYPED = {
    "ladder": {"--ratio": "12.5"},
    "groove": {"--ratio": "18", "--wheel-groove": "556mm", "--band": "2.5mm"},
    "steps": {"--range": "6-18", "--whirls": "3"},
    "band": {"--wheel-groove": "556mm", "--whirl-groove": "41.5mm", "--apart": "430mm", "--band": "2.5mm"},
    "compare": {"--also": "a=6,9"},
}
ODD = {
    "ladder": {"--ratio": NUMBERS, "--head": NUMBERS, "--slip": PERCENTS,
               "--cadence": RANGES, "--new": LENGTHS},
    "groove": {"--ratio": NUMBERS, "--wheel-groove": LENGTHS, "--band": LENGTHS, "--shape": SHAPES,
               "--slip": PERCENTS, "--within": PERCENTS, "--from-whirl": ["12.6=41.5mm", "12.6", "=1mm"]},
    "steps": {"--range": RANGES, "--whirls": COUNTS, "--ratio": NUMBERS, "--wheel-groove": LENGTHS,
              "--band": LENGTHS},
    "band": {"--wheel-groove": LENGTHS, "--whirl-groove": LENGTHS, "--apart": LENGTHS, "--band": LENGTHS,
             "--new-band": LENGTHS, "--stretch": PERCENTS, "--knot": LENGTHS, "--travel": LENGTHS,
             "--friction": NUMBERS, "--shape": SHAPES, "--lay": ["crossed", "double", "round"]},
    "compare": {"--also": ["b=5", "c=", "=6", "d=6,,9", "e=99999", "f=0.001"], "--cadence": RANGES,
                "--wish": RANGES},
}  # fmt: skip


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    command = draw(st.sampled_from(list(TYPED)))
    odd = st.sampled_from([f"{option}={text}" for option, texts in ODD[command].items() for text in texts])
    chosen = draw(st.lists(odd, max_size=3))
    replaced = {each.partition("=")[0] for each in chosen if draw(st.booleans())}
    usual = [f"{option}={text}" for option, text in TYPED[command].items() if option not in replaced]
    return [command, *usual, *chosen]


@given(command_lines())
@settings(max_examples=150)
def test_an_answer_or_one_sentence(arguments: list[str]) -> None:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = run([*arguments, "--json"])
    if status == 0:
        assert err.getvalue() == ""
        # Parsed as strict JSON: no NaN and no infinity.
        json.loads(out.getvalue(), parse_constant=lambda name: (_ for _ in ()).throw(ValueError(name)))
    else:
        assert (status, out.getvalue(), err.getvalue().count("\n")) == (2, "", 1)


def test_what_is_usual_is_answered() -> None:
    for command, options in TYPED.items():
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            status = run([command, *chain.from_iterable(options.items())])
        assert status == 0
        assert out.getvalue()
