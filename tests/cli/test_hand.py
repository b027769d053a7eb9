"""Figures taken by hand: as people type them, in the file, and against what pictures say."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from math import pi
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from whirlwise.calc.interval import interval_95
from whirlwise.calc.wheel import Dimension, Reading
from whirlwise.cli.given.hand import Place, counted_turns, lengths_across, lengths_around
from whirlwise.cli.keep.entries import KeptReading
from whirlwise.cli.keep.kept import KeptWheel
from whirlwise.cli.keep.store import change_wheel, read_wheel
from whirlwise.cli.trouble import WrongUsageError

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "wheel.json"


def noted(whirlwise: Whirlwise, file: Path, *arguments: str) -> dict[tuple[str, str], Any]:
    """Note figures and give what they tell, by part and sort of number."""
    found = whirlwise("hand", file, *arguments, "--json")
    assert (found.status, found.err) == (0, "")
    return {(each["of"], each["what"]): each for each in json.loads(found.out)["numbers"]}


def photo(name: str, values: dict[Dimension, float], doubt: float = 0.002) -> KeptReading:
    told = Reading(name, values, doubt**2 * np.eye(len(values)), {})
    sha256 = f"{sum(map(ord, name)):064x}"
    return KeptReading("photo", f"{name}.jpg", sha256, "2026", "the date of the file", {}, told)


def test_all_ways_of_measuring(whirlwise: Whirlwise, file: Path) -> None:
    # A wheel 450 mm across with a groove 4 mm deep, a cord of 3 mm, a whirl of 37 mm in its groove.
    found = noted(
        whirlwise,
        file,
        *("--across", "rim=450mm", "--around", f"rim/groove={pi * 443.5:.1f}mm", "--string", "1.5mm"),
        *("--across", "small/groove=3.7cm", "--across", "large/band=50mm", "--band", "3mm"),
        *("--turns", "small=10:111.3", "--apart", "386+-1mm"),
    )
    assert found["wheel", "outer_mm"]["value"] == 450
    assert found["wheel", "groove_mm"]["value"] == pytest.approx(442, abs=0.1)
    assert found["wheel", "pitch_mm"]["value"] == pytest.approx(445, abs=0.1)
    assert found["small", "pitch_mm"]["value"] == pytest.approx(40, abs=0.01)
    # A calliper to 0.3 mm, the band to 0.2 mm, pressed flatter by a tenth of 3 mm.
    half_width = (found["small", "pitch_mm"]["high"] - found["small", "pitch_mm"]["low"]) / 2
    assert half_width == pytest.approx((0.3**2 + 0.2**2 + 0.3**2) ** 0.5, abs=0.01)
    assert found["large", "pitch_mm"]["value"] == pytest.approx(47)
    assert found["small", "ratio"]["value"] == pytest.approx(11.13)
    assert found["wheel", "centre_distance_mm"] == {
        "of": "wheel", "what": "centre_distance_mm", "value": 386, "low": 385, "high": 387
    }  # fmt: skip
    (kept,) = read_wheel(file).readings
    assert (kept.id, kept.kind, kept.file, kept.sha256) == ("hand-1", "hand", "", "")
    assert kept.how["--turns"] == ["small=10:111.3"]
    document = json.loads(whirlwise("wheel", file, "--json").out)
    ratio = next(each["ratio"] for each in document["ratios"] if each["whirl"] == "small")
    # Groove and count agree, and know the ratio better together than either alone.
    assert ratio["low"] < 445 / 40 < ratio["high"]
    assert ratio["high"] - ratio["low"] < found["small", "ratio"]["high"] - found["small", "ratio"]["low"]
    assert document["readings"][0]["file"] is None


def test_a_v_groove_tells_no_pitch(whirlwise: Whirlwise, file: Path) -> None:
    found = noted(whirlwise, file, "--across", "small/groove=37mm", "--band", "3mm", "--v-groove")
    assert list(found) == [("small", "groove_mm")]
    # Over the band it does, and the groove then adds nothing.
    both = noted(
        whirlwise, file, "--across", "small/groove=37mm", "--across", "small/band=43.6mm", "--band", "3mm"
    )
    assert both["small", "pitch_mm"]["value"] == pytest.approx(40.6)


def test_the_band_is_looked_up_in_the_file(whirlwise: Whirlwise, file: Path) -> None:
    assert "How thick is the band?" in whirlwise("hand", file, "--across", "small/groove=37mm").out
    whirlwise("parts", file, "--band", "old: 3mm, linen")
    found = noted(whirlwise, file, "--across", "small/groove=37mm")
    assert found["small", "pitch_mm"]["value"] == pytest.approx(40)
    whirlwise("parts", file, "--band", "new: 2mm")
    # Two bands: nobody knows which.
    assert ("small", "pitch_mm") not in noted(whirlwise, file, "--across", "small/groove=37mm")


def test_at_work_the_count_tells_the_slip(whirlwise: Whirlwise, file: Path) -> None:
    noted(whirlwise, file, "--turns", "50:555.0")
    noted(whirlwise, file, "--turns", "50:543.9", "--at-work")
    document = json.loads(whirlwise("wheel", file, "--json").out)
    assert document["slip_percent"]["value"] == pytest.approx(2.0, abs=0.01)


def test_counts_as_people_type_them() -> None:
    def ratio_of(text: str) -> tuple[str, float, float]:
        (each,) = counted_turns([text])
        told = interval_95(each.flyer_turns)
        return each.whirl, round(told.value, 3), round(told.half_width, 3)

    assert ratio_of("10:109") == ("whirl", 109.25, 0.849)
    assert ratio_of("10:109.5") == ("whirl", 109.5, 0.125)
    assert ratio_of("small = 10 : 109 1/4") == ("small", 109.25, 0.125)
    assert ratio_of("10:109.5+-0.3") == ("whirl", 109.5, 0.3)


@pytest.mark.parametrize(
    "text",
    [
        "10",
        "10:",
        ":109",
        "10:abc",
        "0:109",
        "10:0",
        "a b\x00=10:109",
        "=10:9x",
        "10:109:5",
        "10:-4",
        "10:1 1/0",
    ],
)
def test_counts_that_are_none(text: str) -> None:
    with pytest.raises(WrongUsageError, match=r"--turns got '.*' but expects") as caught:
        counted_turns([text])
    assert "Traceback" not in str(caught.value)


def test_places() -> None:
    (place,) = lengths_across(["RIM/Groove = 44.2cm"])
    assert place == Place("wheel", "groove")
    (place,) = lengths_around(["two  words/band=1m"])
    assert place == Place("two words", "band")
    for text in (
        "rim",
        "450mm",
        "rim=450",
        "/groove=3mm",
        "rim/hub=3mm",
        "wheel=3mm",
        "rim=-3mm",
        "rim=1e9mm",
    ):
        with pytest.raises(WrongUsageError, match="--across got"):
            lengths_across([text])
    with pytest.raises(WrongUsageError, match="was told already"):
        lengths_across(["rim=450mm", "rim=451mm"])
    with pytest.raises(WrongUsageError, match="was told already"):
        counted_turns(["10:109", "20:218"])


@given(st.text(max_size=20))
def test_no_text_upsets_the_reading(text: str) -> None:
    for read in (lengths_across, lengths_around, counted_turns):
        # Whatever else were raised would reach the person as a traceback.
        with suppress(WrongUsageError):
            assert read([text])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        ([], "hand expects a figure to note: --across, --around, --turns or --apart;"),
        (["--across", "small/band=33mm"], "How thick is the band?"),
        (["--string", "thin"], "--string got 'thin' but expects a length with its unit"),
    ],
)
def test_wrong_figures_make_no_file(
    whirlwise: Whirlwise, file: Path, arguments: list[str], sentence: str
) -> None:
    found = whirlwise("hand", file, *arguments)
    assert (found.status, found.out, found.err.count("\n")) == (2, "", 1)
    assert found.err.startswith(sentence)
    assert not file.exists()


def adding(kept: KeptReading) -> Callable[[KeptWheel], KeptWheel]:
    return lambda wheel: wheel.with_reading(kept)[0]


def contradicted(whirlwise: Whirlwise, file: Path, *figures: str) -> str:
    """Note figures beside two pictures that agree, and give the remark on what does not fit."""
    values = {Dimension("pitch_mm"): 445.0, Dimension("outer_mm"): 450.0, Dimension("ratio", "small"): 11.1}
    for name in ("photo-1", "photo-2"):
        change_wheel(file, adding(photo(name, values)))
    other = {Dimension("ratio", "large"): 9.0}
    change_wheel(file, adding(photo("photo-3", other)))
    noted(whirlwise, file, *figures)
    remarks = json.loads(whirlwise("wheel", file, "--json").out)["remarks"]
    (remark,) = [each for each in remarks if "(hand-1) says" in each]
    assert remark.startswith("what was measured by hand (hand-1) says")
    assert "leave it out with --without hand-1, or for good with 'whirlwise withdraw'" in remark
    return str(remark)


@pytest.mark.parametrize(
    ("figures", "why"),
    [
        (["--across", "rim=225mm"], "was a radius taken for a diameter"),
        (["--around", "rim=450mm"], "it was reckoned as if it were a string's length: give it as --across."),
        (["--across", "rim=1412mm"], "it is what a string round it would measure: give that as --around."),
        (["--turns", "small=10:100.8"], "Perhaps one turn of the flyer"),
        (["--turns", "small=10:90.1"], "Perhaps it fits the whirl large: did that one carry the band?"),
        (["--turns", "small=10:222.1"], "each arm of the flyer"),
        (["--across", "rim/groove=415mm", "--band", "3mm"], "a band that does not reach the bottom"),
    ],
)
def test_the_likely_culprit_is_named(whirlwise: Whirlwise, file: Path, figures: list[str], why: str) -> None:
    if "one turn" in why:
        # Counted over a tenth of the turns, one more or less shows beyond the doubt of either.
        figures = ["--turns", "small=10:110.0+-0.1"]
    assert why in contradicted(whirlwise, file, *figures)


def test_two_whirls_seen_from_the_side_are_asked_about(whirlwise: Whirlwise, file: Path) -> None:
    for name, size_mm in (("profile-1", 40.0), ("profile-2", 36.0)):
        kept = photo(name, {Dimension("pitch_mm", "step 1"): size_mm})
        change_wheel(file, adding(replace(kept, kind="profile")))
    remarks = json.loads(whirlwise("wheel", file, "--json").out)["remarks"]
    assert any("show the same whirl?" in each and "--label small" in each for each in remarks)
    assert any("Which of them is wrong cannot be told" in each for each in remarks)


def test_lengths_are_told_in_the_unit_that_is_typed_or_asked_for(
    whirlwise: Whirlwise, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("WHIRLWISE_UNITS", raising=False)
    noted = whirlwise("hand", file, "--across", "rim=20in", "--across", "small/groove=1-5/8in")
    assert "small, groove 1.625 in 1.613 to 1.637" in " ".join(noted.out.split())
    assert "mm" not in noted.out.partition("What would")[0]
    # The file goes by mm; inches are for the reader.
    assert read_wheel(file).readings[0].reading.values[Dimension("outer_mm")] == pytest.approx(508)
    whirlwise("hand", file, "--across", "rim=22in")
    inches = " ".join(whirlwise("wheel", file, "--units=imperial").out.split())
    assert re.search(r"says 22\.0+ in \(95 % sure: 21\.9\d* to 22\.\d+\) for: wheel, across the rim", inches)
    mm = " ".join(whirlwise("wheel", file).out.split())
    assert re.search(r"says 558\.8 mm \(95 % sure: 556\.\d+ to 56\d\.\d+\) for: wheel, across the rim", mm)
    assert json.loads(whirlwise("wheel", file, "--units=imperial", "--json").out) == json.loads(
        whirlwise("wheel", file, "--json").out
    )
    monkeypatch.setenv("WHIRLWISE_UNITS", "imperial")
    assert " ".join(whirlwise("wheel", file).out.split()) == inches


def test_the_table_of_ratios_in_inches(whirlwise: Whirlwise, file: Path) -> None:
    whirlwise("hand", file, "--across", "rim/band=20.1in", "--across", "small/band=2.1in", "--band", "0.1in")
    found = whirlwise("wheel", file, "--units", "imperial").out
    assert "2.000 in" in found
    assert "10.00" in found
    assert " mm" not in found
