"""Wheels that are kept: begun, told, changed from two sides, handed on; no id is ever used as a path."""

import base64
import csv
import io
import json
import os
import re
import time
from typing import Any

import cv2
import numpy as np
import pytest
from starlette.testclient import TestClient
from tests.cli.conftest import photo_reading as photo_reading
from tests.page.kept_wheels import add, measured, order, quiet

from whirlwise.calc.wheel import Dimension
from whirlwise.cli.keep.numbers import photo_numbers
from whirlwise.cli.keep.store import read_wheel
from whirlwise.cli.page.file_kinds import JPEG
from whirlwise.cli.page.jobs import Job, Jobs
from whirlwise.cli.page.media import keep_reading
from whirlwise.cli.page.state import State
from whirlwise.cli.page.tasks import photo
from whirlwise.cli.page.tasks import wheel as task
from whirlwise.cli.page.wheels import Wheel
from whirlwise.cli.trouble import WrongUsageError
from whirlwise.vision.photo_reading import PhotoReading

Json = dict[str, Any]


@pytest.fixture
def kept(state: State) -> Wheel:
    return state.wheels.begin("attic")


def test_a_wheel_is_begun_listed_and_opened(browser: TestClient) -> None:
    begun = browser.post("/wheels", json={"name": " ../../attic <b> "})
    assert begun.status_code == 201
    wheel_id = begun.json()["id"]
    # A name is no path, and nothing of it is left out.
    assert browser.get("/wheels/names").json() == [{"id": wheel_id, "name": "../../attic <b>"}]
    assert "../../attic &lt;b&gt;" in browser.get(f"/wheels/{wheel_id}").text
    assert "../../attic &lt;b&gt;" in browser.get("/wheels").text


@pytest.mark.parametrize("body", [{}, {"name": " "}, {"name": None}])
def test_a_wheel_needs_a_name(browser: TestClient, body: Json) -> None:
    answer = browser.post("/wheels", json=body)
    assert (answer.status_code, answer.json()["sentence"]) == (400, "Give the wheel a name first.")


def test_only_the_page_itself_begins_one(browser: TestClient) -> None:
    assert browser.post("/wheels", json={"name": "x"}, headers={"Origin": "http://evil"}).status_code == 403


@pytest.mark.parametrize("wheel_id", ["..", "%2e%2e", "0123456789abcdef", "..%2f..%2fmedia", "making-x"])
@pytest.mark.parametrize("what", ["", "/report"])
def test_what_is_no_wheel_is_not_there(browser: TestClient, wheel_id: str, what: str) -> None:
    if wheel_id != "..":  # which the client itself makes /wheels/.. into /
        assert browser.get(f"/wheels/{wheel_id}{what}").status_code == 404
    assert browser.post(f"/wheels/{wheel_id}/delete").status_code in (404, 405)


def test_deleted_and_back_again(browser: TestClient, state: State, kept: Wheel) -> None:
    assert browser.post(f"/wheels/{kept.id}/delete").status_code == 204
    assert browser.get(f"/wheels/{kept.id}").status_code == 404
    assert state.wheels.all() == []
    assert browser.post(f"/wheels/{kept.id}/restore").status_code == 204
    assert state.wheels.all() == [kept]


def test_what_was_deleted_is_listed_for_a_day(browser: TestClient, state: State, kept: Wheel) -> None:
    medium = measured(state.folder, 12.5, "attic.jpg")
    for address in (f"/wheels/{kept.id}", f"/media/{medium.id}"):
        browser.post(f"{address}/delete")
    shown = {"/wheels": f'data-address="/wheels/{kept.id}"', "/kept": f'data-address="/media/{medium.id}"'}
    for address, button in shown.items():
        assert button in browser.get(address).text
    yesterday = time.time() - 25 * 3600
    for folder in (*state.folder.glob("deleted/*"), *state.folder.glob("deleted-wheels/*")):
        os.utime(folder, (yesterday, yesterday))
    for address, button in shown.items():
        assert button not in browser.get(address).text
    assert browser.post(f"/media/{medium.id}/restore").status_code == 404


def test_a_deleted_picture_stays_in_no_report(browser: TestClient, state: State, kept: Wheel) -> None:
    """A report holds copies of the pictures; one of another wheel stays."""
    medium, another = measured(state.folder, 12.5, "attic.jpg"), state.wheels.begin("cellar")
    task.add(order(kept, medium, of="reading", number=1), quiet)
    for wheel in (kept, another):
        wheel.report.write_text("<p>report")
    assert browser.post(f"/media/{medium.id}/delete").status_code == 204
    assert browser.get(f"/wheels/{kept.id}/report").status_code == 404
    assert browser.get(f"/wheels/{another.id}/report").status_code == 200


def test_a_wheel_without_readings_asks_for_one_and_warns_of_nothing(kept: Wheel) -> None:
    told = task.show({"wheels": [{"file": str(kept.file), "name": kept.name}], "units": "metric"}, quiet)
    assert (told["says"], told["sections"], told["entries"]) == ([], [], [])


def test_an_order_cannot_name_a_file(browser: TestClient) -> None:
    """What the browser says of wheels are ids; a path in their place is refused."""
    for wheels in (["/etc"], [{"file": "/etc/passwd"}], {"file": "/etc/passwd"}, "x"):
        answer = browser.post("/jobs", json={"kind": "echo", "wheels": wheels})
        assert answer.status_code == 400, wheels


def test_an_order_reaches_the_worker_with_the_wheels_file(
    browser: TestClient, state: State, kept: Wheel, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Json] = []
    begin = Jobs.begin

    def note(jobs: Jobs, kind: str, order: Json) -> Job:
        asked.append(order)
        return begin(jobs, kind, order)

    monkeypatch.setattr(Jobs, "begin", note)
    browser.post("/jobs", json={"kind": "echo", "say": "x", "wheels": [kept.id]})
    (told,) = asked[0]["wheels"]
    assert (told["file"], told["name"]) == (str(kept.file), "attic")


def test_a_report_brings_its_own_policy(browser: TestClient, kept: Wheel) -> None:
    kept.report.write_text("<p>report")
    answer = browser.get(f"/wheels/{kept.id}/report")
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "script-src" not in policy
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "script-src 'self'" in browser.get("/wheels").headers["Content-Security-Policy"]


def test_a_reading_is_kept_with_a_wheel(state: State, kept: Wheel) -> None:
    medium = measured(state.folder, 12.5, "attic.jpg")
    asked = order(kept, medium, of="reading", number=1, label=" small ")
    assert task.add(asked, quiet) == {"id": "photo-1", "replaced": False}
    assert task.add(asked, quiet) == {"id": "photo-1", "replaced": True}
    (reading,) = read_wheel(kept.file).readings
    assert reading.reading.values == {Dimension("ratio", "small"): 12.5}
    assert kept.media_ids == [medium.id]


@pytest.mark.parametrize(
    ("of", "number"), [("reading", 2), ("about", 1), ("reading", "../1"), ("../reading", 1), ("rhythm", 1)]
)
def test_what_was_not_measured_is_not_kept(state: State, kept: Wheel, of: str, number: object) -> None:
    with pytest.raises(WrongUsageError, match=r"not kept any more"):
        task.add(order(kept, measured(state.folder, 12.5, "attic.jpg"), of=of, number=number), quiet)
    assert not kept.file.exists()


def test_nothing_trustworthy_is_not_kept(state: State, kept: Wheel) -> None:
    medium = measured(state.folder, 12.5, "attic.jpg")
    number = keep_reading(medium.folder, {"kept": None})
    with pytest.raises(WrongUsageError, match="Nothing trustworthy"):
        task.add(order(kept, medium, of="reading", number=number), quiet)


def test_a_measured_picture_leaves_what_a_wheel_takes(
    state: State, kept: Wheel, photo_reading: PhotoReading, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every number of the reading comes through, as it would by the command."""
    monkeypatch.setattr(photo, "measure_photo", lambda *_: photo_reading)
    arrived = state.media.arriving()
    arrived.write_bytes(cv2.imencode(".jpg", np.full((90, 120, 3), 128, np.uint8))[1].tobytes())
    medium = state.media.keep(arrived, "attic.jpg", JPEG)
    told = {"file": str(medium.original), "folder": str(medium.folder), "name": medium.name}
    outcome = photo.run({"media": {"picture": told}, "given": {"band": "2.4mm"}}, quiet)
    task.add(order(kept, medium, of="reading", number=outcome["number"]), quiet)
    (reading,) = read_wheel(kept.file).readings
    expected = photo_numbers(photo_reading)
    assert set(reading.reading.values) == set(expected)
    for dimension, value in reading.reading.values.items():
        assert value == pytest.approx(float(expected[dimension].n), rel=1e-9)
    assert dict(reading.how) == {"--band": "2.4mm"}


def test_an_empty_wheel_says_so(kept: Wheel) -> None:
    shown = task.show(order(kept), quiet)
    assert (shown["entries"], shown["undo"], shown["restore"], shown["says"]) == ([], None, None, [])


def test_two_readings_are_brought_together(state: State, kept: Wheel) -> None:
    """Two like numbers of 1 % each: the mean is known to 1 % / sqrt 2 (textbook)."""
    add(state.folder, kept, 12.4, "a.jpg")
    add(state.folder, kept, 12.6, "b.jpg")
    shown = task.show(order(kept), quiet)
    row = shown["sections"][0]["tables"][0]["rows"][0]
    low, high = (float(each) for each in row[3].split(" to "))
    assert float(row[2]) == pytest.approx(12.5, rel=0.001)
    assert (high - low) / 2 == pytest.approx(1.96 * 12.5 * 0.01 / 2**0.5, rel=0.06)
    assert [each["id"] for each in shown["entries"]] == ["photo-1", "photo-2"]
    assert "style=" not in shown["sections"][0]["drawing"]


def test_a_head_multiplies_what_the_great_wheel_makes(state: State, kept: Wheel) -> None:
    """Two pairs one behind the other: the ratios of a compound train are multiplied (textbook)."""
    add(state.folder, kept, 18.0, "great.jpg")
    add(state.folder, kept, 6.3, "head.jpg", head="quick")
    shown = task.show(order(kept), quiet)
    (row,) = shown["sections"][0]["tables"][0]["rows"]
    assert row[1] == "spindle, quick"
    low, high = (float(each) for each in row[3].split(" to "))
    assert float(row[2]) == pytest.approx(18.0 * 6.3, rel=0.001)
    assert (high - low) / 2 == pytest.approx(1.96 * 18.0 * 6.3 * 0.01 * 2**0.5, rel=0.06)
    with pytest.raises(WrongUsageError, match="names a whirl of the great wheel"):
        add(state.folder, kept, 6.3, "again.jpg", head="quick", label="small")
    assert len(read_wheel(kept.file).readings) == 2


def test_a_quarrel_is_named(state: State, kept: Wheel) -> None:
    for ratio, name in ((12.5, "a.jpg"), (12.52, "b.jpg"), (25.0, "c.jpg")):
        add(state.folder, kept, ratio, name)
    told = " ".join(task.show(order(kept), quiet)["quarrels"])
    assert "c.jpg (photo-3) says 25" in told
    assert "--" not in told


def test_left_out_taken_back_and_brought_back(state: State, kept: Wheel) -> None:
    add(state.folder, kept, 12.5, "a.jpg")
    add(state.folder, kept, 25.0, "b.jpg")
    task.withdraw(order(kept, entry="photo-2"), quiet)
    shown = task.show(order(kept), quiet)
    assert [each["id"] for each in shown["entries"]] == ["photo-1"]
    task.undo(order(kept, step=shown["undo"]), quiet)
    shown = task.show(order(kept), quiet)
    assert len(shown["entries"]) == 2
    task.restore(order(kept, step=shown["restore"]), quiet)
    assert len(read_wheel(kept.file).readings) == 1


def test_only_what_was_seen_is_taken_back(state: State, kept: Wheel) -> None:
    add(state.folder, kept, 12.5, "a.jpg")
    seen = task.show(order(kept), quiet)["undo"]
    add(state.folder, kept, 12.6, "b.jpg")
    with pytest.raises(WrongUsageError, match="changed meanwhile"):
        task.undo(order(kept, step=seen), quiet)
    assert len(read_wheel(kept.file).readings) == 2


def test_export(state: State, kept: Wheel) -> None:
    add(state.folder, kept, 12.5, "a.jpg")
    table = base64.b64decode(task.export({**order(kept), "as": "csv"}, quiet)["content"]).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(table)))
    assert {row["told_by"] for row in rows} == {"all together", "photo-1"}
    whole = json.loads(base64.b64decode(task.export({**order(kept), "as": "json"}, quiet)["content"]))
    assert whole["told"]["ratios"][0]["ratio"]["value"] == pytest.approx(12.5, rel=1e-3)


def test_report(state: State, kept: Wheel) -> None:
    add(state.folder, kept, 12.5, "a.jpg")
    asked = order(kept, given={"cadence": "60", "drafting": "250cm", "wish": "6-18"}, units="metric")
    assert task.report(asked, quiet) == {"hints": []}
    page = kept.report.read_text(encoding="utf-8")
    assert "<h1>attic</h1>" in page
    assert "Yarn at 60 treadles a minute" in page
    assert re.search(r"Made by Whirlwise on [\d-]+\.<", page)
    hints = task.report(order(kept, given={}), quiet)["hints"]
    assert hints
    assert "--" not in hints[0]


def test_a_report_tells_nobody_to_type(state: State, kept: Wheel) -> None:
    """Not even where readings contradict each other, sizes are missing and the yarn is reckoned."""
    for ratio, name in ((12.5, "a.jpg"), (12.52, "b.jpg"), (25.0, "c.jpg")):
        add(state.folder, kept, ratio, name)
    task.report(order(kept, given={"cadence": "60", "drafting": "250cm"}, units="metric"), quiet)
    page = re.sub(r"(?s)<style>.*?</style>|<svg.*?</svg>", "", kept.report.read_text(encoding="utf-8"))
    said = re.sub(r"<[^>]*>", " ", page)
    assert "c.jpg (photo-3) says 25" in said
    assert re.findall(r"--\w+|whirlwise \w+", said) == []


def test_wheels_side_by_side(state: State, kept: Wheel) -> None:
    add(state.folder, kept, 12.5, "a.jpg")
    other = state.wheels.begin("attic")
    asked = order(kept, given={"wish": "6-18"})
    with pytest.raises(WrongUsageError, match="two wheels"):
        task.compare(asked, quiet)
    asked["wheels"] += order(other)["wheels"]
    with pytest.raises(WrongUsageError, match="No ratio of attic is known"):
        task.compare(asked, quiet)
    add(state.folder, other, 7.0, "b.jpg")
    compared = task.compare(asked, quiet)
    assert "attic (2)" in [row[0] for row in compared["tables"][0]["rows"]]
    # However long a name is, here it has room.
    long = state.wheels.begin("grandmother's, with the carved distaff")
    add(state.folder, long, 9.0, "c.jpg")
    asked["wheels"] += order(long)["wheels"]
    assert long.name in [row[0] for row in task.compare(asked, quiet)["tables"][0]["rows"]]


@pytest.mark.parametrize("given", [{"cadence": "fast"}, {"wish": "6,18"}])
def test_what_is_typed_wrongly_beside_the_wheels_is_told_without_options(
    kept: Wheel, given: dict[str, str]
) -> None:
    with pytest.raises(WrongUsageError, match=r"^The (turns of the wheel a minute|range of ratios) got '"):
        task.compare(order(kept, given=given), quiet)


def test_a_field_with_nothing_but_spaces_is_left_empty(state: State, kept: Wheel) -> None:
    other = state.wheels.begin("stable")
    for each, ratio in ((kept, 12.5), (other, 7.0)):
        add(state.folder, each, ratio, f"{each.name}.jpg")
    asked = order(kept, given={"cadence": " ", "wish": " "})
    task.report(asked, quiet)
    asked["wheels"] += order(other)["wheels"]
    assert len(task.compare(asked, quiet)["tables"][0]["rows"]) == 2


def test_a_damaged_file_is_told_by_the_wheels_name(kept: Wheel) -> None:
    kept.file.write_text("{")
    with pytest.raises(Exception, match=r"^attic cannot be used as a wheel's file"):
        task.show(order(kept), quiet)
    assert kept.file.read_text() == "{"
