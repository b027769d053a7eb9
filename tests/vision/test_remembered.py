"""What is remembered of a picture: it changes no number, and is of that picture alone."""

import os
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from tests.vision.drawn_pictures import exif_segment, write_jpeg
from tests.vision.drawn_scenes import card_px, seen_by_opencv
from tests.vision.drawn_wheels import FOCAL_35MM, WHEEL, spindle_mm, wheel_with_card
from uncertainties import ufloat

from whirlwise.vision.find.rim import clearest_edge, find_rim_edges
from whirlwise.vision.photo import PhotoSettings, measure_photo
from whirlwise.vision.references import ReferenceRequest
from whirlwise.vision.remembered import MOST_KEPT, Remembered, by_value

((X_PX, Y_PX),) = seen_by_opencv(spindle_mm()[None], 0.0, WHEEL).tolist()
FIRST = PhotoSettings(whirls_px=((X_PX + 6, Y_PX - 5),))
CORNERS_PX = tuple((float(x) + 1, float(y) - 1) for x, y in card_px(WHEEL))
MOVED = {
    "whirl": replace(FIRST, whirls_px=((X_PX - 4, Y_PX + 3),)),
    "corners": replace(FIRST, references=(ReferenceRequest("card", None, CORNERS_PX),)),
    "told": replace(FIRST, band_mm=ufloat(2.8, 0.1), offset_mm=ufloat(4.0, 1.0)),
}


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_jpeg(
        tmp_path_factory.mktemp("drawn") / "wheel.jpg", wheel_with_card(), exif_segment(1, FOCAL_35MM)
    )


@pytest.fixture(scope="module")
def remembered(drawn: Path) -> Remembered:
    remembered = Remembered()
    measure_photo(drawn, FIRST, remembered)
    return remembered


@pytest.mark.parametrize("moved", MOVED.values(), ids=list(MOVED))
def test_what_is_remembered_changes_no_number(
    drawn: Path, remembered: Remembered, moved: PhotoSettings
) -> None:
    # To the last bit, over every number of the reading.
    assert by_value(measure_photo(drawn, moved, remembered)) == by_value(measure_photo(drawn, moved))


def test_a_question_does_anew_only_what_hangs_on_it(drawn: Path) -> None:
    done: list[str] = []
    remembered = Remembered()
    remembered.before_step = done.append
    assert measure_photo(drawn, FIRST, remembered).whirls
    assert {"opened", "edges", "rim", "pair", "references", "choice", "fit"} <= set(done)
    done.clear()
    measure_photo(drawn, FIRST, remembered)
    assert done == []
    measure_photo(drawn, MOVED["whirl"], remembered)
    assert "fit" in done
    assert not {"opened", "edges", "rim", "references", "choice"} & set(done)


def test_another_edge_of_the_rim_leaves_what_was_looked_for_about_it(
    drawn: Path, remembered: Remembered
) -> None:
    edges = find_rim_edges(wheel_with_card())
    clearest, done = clearest_edge(edges), list[str]()
    other = max(edges, key=lambda edge: abs(edge.ellipse.mean_radius_px - clearest.ellipse.mean_radius_px))
    rim_px = tuple((float(x), float(y)) for x, y in other.ellipse.outline(3)[0])
    remembered.before_step = done.append
    again = measure_photo(drawn, replace(FIRST, rim_px=rim_px), remembered)
    assert "rim" in done
    assert "references" not in done
    assert by_value(again) == by_value(measure_photo(drawn, replace(FIRST, rim_px=rim_px)))


def test_what_ends_a_measurement_leaves_what_was_found(drawn: Path, remembered: Remembered) -> None:
    class NoLongerWantedError(Exception):
        pass

    def stop(step: str) -> None:
        if step == "references":
            raise NoLongerWantedError

    done: list[str] = []
    broken_off = Remembered()
    broken_off.before_step = stop
    with pytest.raises(NoLongerWantedError):
        measure_photo(drawn, FIRST, broken_off)
    broken_off.before_step = done.append
    whole = measure_photo(drawn, FIRST, remembered)
    assert by_value(measure_photo(drawn, FIRST, broken_off)) == by_value(whole)
    assert not {"opened", "edges", "rim"} & set(done)


def test_a_file_that_was_changed_is_forgotten(tmp_path: Path) -> None:
    path, found = tmp_path / "one", iter("ab")
    remembered = Remembered()
    for content in ("first", "second"):
        path.write_text(content, encoding="utf-8")
        os.utime(path, ns=(len(content), len(content)))
        remembered.begin(path)
        assert remembered.once("step", "told", lambda: next(found)) == {"first": "a", "second": "b"}[content]


def test_only_the_last_outcomes_of_a_step_are_kept() -> None:
    remembered, done = Remembered(), list[int]()
    for told in [*range(MOST_KEPT + 1), MOST_KEPT, 0]:
        remembered.once("step", told, partial(done.append, told))
    # The last one was still known, the first one no longer.
    assert done == [*range(MOST_KEPT + 1), 0]


def test_equal_by_value_is_equal_in_every_bit() -> None:
    request = ReferenceRequest("marker", ufloat(80, 0.1), ((1.0, 2.0),))
    again = ReferenceRequest("marker", ufloat(80, 0.1), ((1.0, 2.0),))
    assert by_value(request) == by_value(again)
    assert by_value(request) != by_value(replace(again, length_mm=ufloat(80, 0.2)))
    assert by_value(np.arange(4.0)) != by_value(np.arange(4.0).reshape(2, 2))
    assert by_value(np.array([1.0])) != by_value(np.nextafter([1.0], 2.0))
    with pytest.raises(TypeError, match="set"):
        by_value({1, 2})
