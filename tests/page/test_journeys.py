"""The journeys in a real browser, from the file to the answer: by mouse, by finger, by keyboard alone.

One picture is measured twice and one clip once, for all tests of this module together.
"""

import base64
import json
import math
import re
import time
from collections.abc import Iterator
from functools import partial
from importlib import resources
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from selenium.webdriver.common.keys import Keys
from tests.page.browsing import DESK, PHONE, Browser, Served, page_served
from tests.page.small_clips import write_clip
from tests.page.wrong_guess import RATIO, hub_px, write_wheel_and_clock

from whirlwise import sample_media

#: A machine that does other things besides takes this long for a picture.
LONGEST_S = 300.0
SAMPLES = Path(str(resources.files(sample_media)))
CLIP = SAMPLES / "old_wheel_at_work.mp4"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with page_served(tmp_path_factory.mktemp("kept")) as page:
        yield page


@pytest.fixture(scope="module")
def browser(served: Served, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    opened = Browser(served, tmp_path_factory.mktemp("profile"))
    yield opened
    opened.close()


def send(browser: Browser, screen: str, file: Path) -> str:
    """Choose a file on a screen; gives the address of the screen that opens."""
    browser.go(screen)
    browser.all("input.file")[0].send_keys(str(file))
    browser.one("#stage")
    return str(browser.run("return location.pathname"))


def told(browser: Browser, address: str) -> list[dict[str, Any]]:
    """What is kept of a picture or clip."""
    medium = address.rpartition("/")[2]
    script = "const done = arguments[1]; fetch(arguments[0]).then((r) => r.json()).then(done)"
    readings: list[dict[str, Any]] = browser.driver.execute_async_script(script, f"/media/{medium}/readings")
    return readings


def measured(browser: Browser, count: int = 1) -> None:
    """Wait until so many measurements are shown or kept and nothing is at work any more."""

    def at_rest() -> bool:
        kept = told(browser, browser.run("return location.pathname"))
        return len(kept) >= count and not browser.all(".busy") and bool(browser.all(".says"))

    browser.until(at_rest, "the answer", LONGEST_S)


def grey(path: Path) -> Path:
    """A picture of nothing, which is measured at once."""
    cv2.imwrite(str(path), np.full((90, 120, 3), 128, np.uint8))
    return path


@pytest.fixture(scope="module")
def photo(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A picture, measured with a wrong guess: a clock is taken for the wheel."""
    address = send(browser, "/photo", write_wheel_and_clock(tmp_path_factory.mktemp("taken") / "attic.jpg"))
    browser.one(".busy")
    # The picture is there while it is being measured.
    browser.until(
        lambda: browser.run("return document.querySelector('.sheet img').naturalWidth"), "a preview"
    )
    browser.photograph_all("photo-at-work")
    assert browser.violations() == []
    measured(browser)
    return address


@pytest.fixture(scope="module")
def mended(browser: Browser, photo: str) -> str:
    """The same picture after the axle's mark was dragged onto the wheel's axle by the mouse."""
    browser.go(photo)
    start, end = middle_of(browser, "[data-mark=hub]"), on_screen(browser, hub_px())
    mouse(browser, "mousePressed", start)
    steps = 12
    for k in range(1, steps + 1):
        way = [start[n] + (end[n] - start[n]) * k / steps for n in (0, 1)]
        mouse(browser, "mouseMoved", (way[0], way[1]))
    # The magnifier shows what the finger hides.
    assert browser.one("canvas.loupe")
    browser.photograph("photo-dragging-desk-light")
    mouse(browser, "mouseReleased", end)
    assert not browser.all("canvas.loupe")[0].is_displayed()
    measured(browser, 2)
    return photo


def mouse(browser: Browser, kind: str, at: tuple[float, float]) -> None:
    browser.cdp(
        "Input.dispatchMouseEvent", type=kind, x=at[0], y=at[1], button="left", buttons=1, clickCount=1
    )


def touch(browser: Browser, kind: str, *at: tuple[float, float]) -> None:
    points = [{"x": x, "y": y, "id": k} for k, (x, y) in enumerate(at)]
    browser.cdp("Input.dispatchTouchEvent", type=kind, touchPoints=points)


def middle_of(browser: Browser, css: str) -> tuple[float, float]:
    script = (
        "const e = document.querySelector(arguments[0]); e.scrollIntoView({block: 'center'});"
        "const box = e.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]"
    )
    x, y = browser.run(script, css)
    return float(x), float(y)


def on_screen(browser: Browser, place_px: tuple[float, float]) -> tuple[float, float]:
    """Where a place of the picture is seen; pixel centres lie at whole numbers."""
    script = (
        "const svg = document.querySelector('.sheet svg'); const box = svg.getBoundingClientRect();"
        "return [box.x, box.y, box.width / svg.viewBox.baseVal.width]"
    )
    left, top, scale = browser.run(script)
    return left + (place_px[0] + 0.5) * scale, top + (place_px[1] + 0.5) * scale


def mark_at(browser: Browser, name: str) -> tuple[int, int]:
    """Where a mark says that it is, in pixels of the picture."""
    label = browser.all(f"[data-mark={name}]")[0].get_attribute("aria-label") or ""
    found = re.search(r"at (-?\d+), (-?\d+)", label)
    assert found is not None, label
    return int(found[1]), int(found[2])


def test_the_first_guess_is_wrong(browser: Browser, photo: str) -> None:
    reading = told(browser, photo)[0]
    assert math.dist(reading["drawn"]["hub"], hub_px()) > 300
    assert reading["ratios"] == [] or not holds(reading["ratios"][0]["ratio"], RATIO)


def holds(interval: dict[str, float], truth: float) -> bool:
    return interval["low"] <= truth <= interval["high"]


def test_dragging_a_mark_mends_it(browser: Browser, mended: str) -> None:
    reading = told(browser, mended)[1]
    assert math.dist(reading["drawn"]["hub"], hub_px()) < 12
    assert holds(reading["ratios"][0]["ratio"], RATIO)
    # What was found is drawn where it is, and said as a sentence.
    x, y = mark_at(browser, "hub")
    assert math.dist((x, y), hub_px()) < 12
    assert browser.text(".says").startswith("One turn of the wheel turns the flyer")
    assert len(browser.all(".line.rim")) == 1
    assert len(browser.all(".line.band")) == 2
    browser.photograph_all("photo")
    assert browser.violations() == []


def test_old_and_new_answer_stand_side_by_side(browser: Browser, mended: str) -> None:
    """Where both told a ratio: shown here by readings that are kept already."""
    folder = browser.served.folder / "media" / mended.rpartition("/")[2]
    second = json.loads((folder / "reading-2.json").read_text(encoding="utf-8"))
    (folder / "reading-3.json").write_text(json.dumps(second), encoding="utf-8")
    browser.go(mended)
    assert [each.text for each in browser.all(".beside h2")] == ["Before", "Now"]
    assert "The answer stayed the same." in browser.text(".beside")
    browser.photograph_all("photo-side-by-side")
    assert browser.violations() == []
    (folder / "reading-3.json").unlink()


def test_lengths_follow_the_choice_of_units(browser: Browser, mended: str) -> None:
    folder = browser.served.folder / "media" / mended.rpartition("/")[2]
    reading = json.loads((folder / "reading-2.json").read_text(encoding="utf-8"))
    for units, unit, value in (("metric", "mm", "449.4"), ("imperial", "in", "17.69")):
        interval = {"text": value, "low_text": value, "high_text": value}
        reading["answer"][units]["rows"] = [{"name": "rim", "unit": unit, "interval": interval}]
    (folder / "reading-3.json").write_text(json.dumps(reading), encoding="utf-8")
    browser.go(mended)
    assert "449.4 mm" in browser.text(".numbers tbody tr")
    browser.run("document.querySelector('input[value=imperial]').click()")
    assert "17.69 in" in browser.text(".numbers tbody tr")
    assert "inches" in browser.text("#known .unit")
    browser.run("document.querySelector('input[value=metric]').click()")
    assert "449.4 mm" in browser.text(".numbers tbody tr")
    (folder / "reading-3.json").unlink()


def test_the_picture_is_zoomed_and_moved_by_keyboard(browser: Browser, mended: str) -> None:
    browser.go(mended)
    stage = browser.one("#stage")
    width = "return document.querySelector('.sheet').getBoundingClientRect().width"
    left = "return document.querySelector('.sheet').getBoundingClientRect().left"
    before = browser.run(width)
    stage.send_keys("+")
    stage.send_keys("+")
    assert browser.run(width) == pytest.approx(1.4**2 * before, rel=0.01)
    at = browser.run(left)
    stage.send_keys(Keys.ARROW_RIGHT)
    assert browser.run(left) < at
    stage.send_keys("0")
    assert browser.run(width) == pytest.approx(before)


def test_by_keyboard_alone(browser: Browser, mended: str) -> None:
    """Tab reaches the mark, arrow keys move it, and stopping what that began takes no mouse either."""
    browser.go(mended)
    for _ in range(60):
        browser.run("return document.activeElement || document.body").send_keys(Keys.TAB)
        if browser.run("return document.activeElement.dataset.mark") == "hub":
            break
    mark = browser.run("return document.activeElement")
    assert mark.get_attribute("data-mark") == "hub"
    x, y = mark_at(browser, "hub")
    for _ in range(3):
        mark.send_keys(Keys.SHIFT, Keys.ARROW_RIGHT)
    moved_x, moved_y = mark_at(browser, "hub")
    assert moved_x > x + 20
    assert moved_y == y
    assert f"Axle at {moved_x}, {moved_y}" in browser.text(".said")
    # When the keys rest it is measured again; that is stopped here.
    browser.one(".busy button").send_keys(Keys.ENTER)
    assert browser.text(".stopped") == "Stopped. Nothing was changed."
    assert len(told(browser, mended)) == 2


def test_a_mark_is_chosen_and_put_by_a_tap(browser: Browser, mended: str) -> None:
    """Without dragging, as some hands need it (WCAG 2.2, 2.5.7)."""
    browser.go(mended)
    next(each for each in browser.all("#tools button") if each.text == "Point at the whirl").click()
    assert "this belongs: whirl" in browser.text(".said")
    target = (700.0, 100.0)
    middle_of(browser, "#stage")
    at = on_screen(browser, target)
    mouse(browser, "mousePressed", at)
    mouse(browser, "mouseReleased", at)
    assert math.dist(mark_at(browser, "whirl"), target) <= 2
    browser.one(".busy button").click()
    browser.one(".stopped")


def test_on_a_phone_by_touch(browser: Browser, mended: str) -> None:
    browser.size(PHONE, touch=True)
    browser.go(mended)
    width = "return document.querySelector('.sheet').getBoundingClientRect().width"
    before = browser.run(width)
    x, y = middle_of(browser, "#stage")
    # Two fingers apart make it larger.
    touch(browser, "touchStart", (x - 20, y), (x + 20, y))
    for k in range(1, 7):
        touch(browser, "touchMove", (x - 20 - 5 * k, y), (x + 20 + 5 * k, y))
    touch(browser, "touchEnd")
    assert browser.run(width) > 1.5 * before
    next(each for each in browser.all("#tools button") if each.text == "Whole picture").click()
    # One finger drags a mark.
    start, was = middle_of(browser, "[data-mark=hub]"), mark_at(browser, "hub")
    touch(browser, "touchStart", start)
    for k in range(1, 7):
        touch(browser, "touchMove", (start[0] + 5 * k, start[1]))
    assert browser.one("canvas.loupe")
    browser.photograph("photo-dragging-phone-light")
    touch(browser, "touchEnd")
    assert mark_at(browser, "hub")[0] > was[0] + 50
    browser.one(".busy button").click()
    browser.one(".stopped")
    assert browser.sideways() <= 0
    browser.size(DESK)


def test_a_broken_file_is_a_sentence(browser: Browser, tmp_path: Path) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes((SAMPLES / "old_wheel.jpg").read_bytes()[:40_000])
    send(browser, "/photo", broken)
    said = browser.text(".trouble")
    assert said.startswith("broken.jpg is damaged or broken off")
    assert "/" not in said
    browser.photograph_all("photo-broken")
    assert browser.violations() == []


def test_what_is_no_picture_is_refused_where_it_is_chosen(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "wheel.jpg"
    page.write_text("<!DOCTYPE html><title>no picture</title>" * 9, encoding="utf-8")
    browser.go("/photo")
    browser.all("input.file")[0].send_keys(str(page))
    browser.until(lambda: "no picture, clip or sound" in browser.text(".sending"), "the refusal")


def test_a_clip_among_pictures_is_told_apart(browser: Browser) -> None:
    browser.go("/photo")
    browser.all("input.file")[0].send_keys(str(CLIP))
    browser.until(lambda: "is a clip" in browser.text(".sending"), "where clips belong")


def test_stopped_in_the_midst_and_measured_again(browser: Browser, tmp_path: Path) -> None:
    address = send(browser, "/photo", SAMPLES / "old_wheel.jpg")
    browser.until(lambda: "Looking for rim" in browser.text(".busy .what"), "the measurement")
    browser.one(".busy button").click()
    assert browser.text(".stopped") == "Stopped. Nothing was changed."
    assert told(browser, address) == []
    # The page goes on as if nothing had been.
    send(browser, "/photo", grey(tmp_path / "nothing.png"))
    measured(browser)
    assert "could not be measured" in browser.text(".says")
    browser.photograph_all("photo-nothing-found")
    assert browser.violations() == []


def test_a_page_that_is_loaded_again_goes_on(browser: Browser) -> None:
    send(browser, "/photo", SAMPLES / "old_wheel.jpg")
    browser.until(lambda: "Looking for rim" in browser.text(".busy .what"), "the measurement")
    browser.driver.refresh()
    running = browser.one("#measuring").get_attribute("data-job")
    assert running
    browser.until(lambda: "Looking for rim" in browser.text(".busy .what"), "the same measurement")
    browser.one(".busy button").click()
    browser.one(".stopped")
    script = "const done = arguments[1]; fetch(`/jobs/${arguments[0]}`).then((r) => r.json()).then(done)"
    assert browser.driver.execute_async_script(script, running)["state"] == "stopped"


def test_two_tabs_lose_nothing(browser: Browser, tmp_path: Path) -> None:
    address = send(browser, "/photo", grey(tmp_path / "two tabs.png"))
    measured(browser)
    first = browser.driver.current_window_handle
    browser.driver.switch_to.new_window("tab")
    browser.go(address)
    second = browser.driver.current_window_handle
    for tab in (first, second):
        browser.driver.switch_to.window(tab)
        browser.one("#known button").click()
    browser.until(lambda: len(told(browser, address)) == 3, "three readings")
    browser.driver.switch_to.window(second)
    browser.driver.close()
    browser.driver.switch_to.window(first)
    assert [each["number"] for each in told(browser, address)] == [1, 2, 3]


def test_twenty_at_once_are_queued(browser: Browser, tmp_path: Path) -> None:
    browser.go("/photo")
    script = """
        const [text, done] = arguments;
        const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
        async function one(k) {
          const sent = await fetch(`/uploads?name=${k}.png`, {method: "POST", body: bytes});
          const {id} = await sent.json();
          const order = {kind: "photo", media: {picture: id}, given: {}};
          const begun = await fetch("/jobs", {method: "POST", body: JSON.stringify(order)});
          let job = await begun.json();
          while (job.state === "waiting" || job.state === "working") {
            job = await (await fetch(`/jobs/${job.id}?after=${job.version}`)).json();
          }
          return job.state;
        }
        Promise.all(Array.from({length: 20}, (_, k) => one(k))).then(done, (fault) => done(String(fault)));
    """
    text = base64.b64encode(grey(tmp_path / "grey.png").read_bytes()).decode("ascii")
    browser.driver.set_script_timeout(LONGEST_S)
    assert browser.driver.execute_async_script(script, text) == ["done"] * 20


@pytest.fixture(scope="module")
def clip(browser: Browser) -> str:
    address = send(browser, "/clip", CLIP)
    browser.one(".busy")
    measured(browser)
    return address


def test_a_clip_that_browsers_do_not_play_is_shown_all_the_same(browser: Browser, tmp_path: Path) -> None:
    send(browser, "/clip", write_clip(tmp_path / "old camera.avi", "mpeg4"))
    measured(browser)
    assert "could not be measured" in browser.text(".says")
    browser.until(
        lambda: browser.run("return document.querySelector('video').videoWidth") == 64, "a copy that plays"
    )
    browser.photograph_all("clip-nothing-turns")
    assert browser.violations() == []


def truth() -> dict[str, Any]:
    told_truth: dict[str, Any] = json.loads(CLIP.with_suffix(".truth.json").read_text(encoding="utf-8"))
    return told_truth


def test_the_clip_is_counted(browser: Browser, clip: str) -> None:
    reading = told(browser, clip)[0]
    assert holds(reading["ratio"], truth()["counts"]["effective_ratio"])
    assert browser.text(".says").startswith("One turn of the wheel turns the flyer 10.96")
    browser.photograph_all("clip")
    assert browser.violations() == []


def test_the_marker_turns_with_the_wheel(browser: Browser, clip: str) -> None:
    """At any moment it points where the truth of the clip says that the wheel has turned."""
    browser.go(clip)
    browser.until(lambda: browser.run("return document.querySelector('video').readyState >= 2"), "the clip")
    frames = truth()["per_frame"]
    for k in (60, 150, 290):
        at_s = frames[k]["capture_s"] - frames[0]["capture_s"]
        browser.run(
            "const v = document.querySelector('video'); v.pause(); v.currentTime = arguments[0]", at_s
        )
        browser.until(partial(shows, browser, at_s), "the moment")
        turned = frames[k]["wheel_rad"] - frames[0]["wheel_rad"]
        off = (marker_rad(browser) - turned + math.pi) % (2 * math.pi) - math.pi
        # Seen askew the angle in the picture is another one than in the wheel's plane, by a few degrees.
        assert abs(math.degrees(off)) < 8


def shows(browser: Browser, at_s: float) -> bool:
    """Whether the clip stands at a moment."""
    shown_s = float(browser.run("return Number(document.querySelector('#place').value)"))
    return abs(shown_s - at_s) < 0.02


def marker_rad(browser: Browser) -> float:
    """Which way the wheel's marker points, anticlockwise from the right."""
    path = browser.all(".line.marker.wheel")[0].get_attribute("d") or ""
    x0, y0, x1, y1 = (float(number) for number in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", path))
    return math.atan2(y0 - y1, x1 - x0)


def test_the_clip_plays_with_the_cadence_in_step(browser: Browser, clip: str) -> None:
    browser.go(clip)
    browser.until(lambda: not browser.one("#play").get_attribute("disabled"), "the clip")
    before = browser.all("#cadence .bead")[0].get_attribute("cy"), browser.text("#clock")
    browser.one("#play").click()
    browser.until(lambda: browser.text("#play") == "Pause", "playing")
    time.sleep(1.2)
    browser.one("#play").click()
    after = browser.all("#cadence .bead")[0].get_attribute("cy"), browser.text("#clock")
    assert before[0] != after[0]
    assert before[1] != after[1]
    assert "is " in (browser.one("#cadence svg").get_attribute("aria-label") or "")


def test_what_is_kept_is_listed_and_deleted_with_undo(browser: Browser, photo: str, clip: str) -> None:
    browser.go("/kept")
    count = len(browser.all(".shelf > li"))
    assert count >= 20
    assert browser.violations() == []
    browser.photograph_all("kept-full")
    browser.all(".shelf .delete")[0].click()
    browser.until(
        lambda: len([e for e in browser.all(".shelf > li") if e.is_displayed()]) == count - 1, "less"
    )
    browser.one("#said button").click()
    browser.until(
        lambda: len([e for e in browser.all(".shelf > li") if e.is_displayed()]) == count, "all again"
    )


def test_nothing_left_the_machine(browser: Browser, photo: str, clip: str) -> None:
    assert browser.left_the_machine() == set()
    assert len(browser.asked) > 50
