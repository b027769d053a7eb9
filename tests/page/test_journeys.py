"""The journeys in a real browser, from the file to the answer: by mouse, by finger, by keyboard alone.

One picture is measured twice and one clip once, for all tests of this module together; each test gets a copy
of what was measured, so that nothing that it does is seen by another.
"""

import base64
import json
import math
import re
import secrets
import shutil
import wave
from dataclasses import replace
from functools import partial
from importlib import resources
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from selenium.webdriver.common.keys import Keys
from tests.cli.conftest import clip_reading as clip_reading
from tests.page.browsing import LAID_OUT_S, LONGEST_S, PHONE, Browser, by_chromium
from tests.page.browsing import at_first as at_first
from tests.page.browsing import browser as browser
from tests.page.browsing import served as served
from tests.page.small_clips import write_clip
from tests.page.wrong_guess import RATIO, card_corners_px, hub_px, write_wheel_and_clock
from uncertainties import ufloat

from whirlwise import sample_media
from whirlwise.cli.page.file_kinds import JPEG
from whirlwise.cli.page.media import Media
from whirlwise.cli.page.tasks import slip
from whirlwise.vision.clip_reading import ClipReading

pytestmark = pytest.mark.usefixtures("at_first")
SAMPLES = Path(str(resources.files(sample_media)))
CLIP = SAMPLES / "old_wheel_at_work.mp4"


def send(browser: Browser, screen: str, file: Path) -> str:
    """Choose a file on a screen; gives the address of the screen that opens."""
    browser.go(screen)
    browser.all("input.file")[0].send_keys(str(file))
    script = (
        "return document.readyState === 'complete' && location.pathname !== arguments[0] && location.pathname"
    )
    return str(browser.until(lambda: browser.run(script, screen), "the screen that opens"))


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


def copied(browser: Browser, address: str) -> str:
    """Open a copy of a picture or clip that was measured; gives its address."""
    screen, _, medium = address.rpartition("/")
    folder = browser.served.folder / "media"
    copy = secrets.token_hex(8)
    shutil.copytree(folder / medium, folder / copy)
    browser.go(f"{screen}/{copy}")
    return f"{screen}/{copy}"


def folder_of(browser: Browser, address: str) -> Path:
    return browser.served.folder / "media" / address.rpartition("/")[2]


@pytest.fixture(scope="module")
def photo(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A picture, measured with a wrong guess: a clock is taken for the wheel."""
    browser.begin_anew()
    address = send(browser, "/photo", write_wheel_and_clock(tmp_path_factory.mktemp("taken") / "attic.jpg"))
    # The picture is there while it is being measured.
    browser.until(
        lambda: browser.run("return document.querySelector('.sheet img').naturalWidth"), "a preview"
    )
    browser.photograph_all("photo-at-work")
    assert browser.violations() == []
    measured(browser)
    # Nothing was asked for that was not there yet.
    assert browser.complaints() == []
    return address


@pytest.fixture(scope="module")
def mended_once(browser: Browser, photo: str) -> str:
    """The same picture after the axle's mark was dragged onto the wheel's axle by the mouse."""
    browser.begin_anew()
    address = copied(browser, photo)
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
    browser.until(lambda: not browser.count("canvas.loupe"), "the magnifier to go")
    measured(browser, 2)
    return address


@pytest.fixture
def mended(browser: Browser, mended_once: str, at_first: None) -> str:
    """A copy of it, opened."""
    return copied(browser, mended_once)


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
    script = "return document.querySelector(arguments[0]).getAttribute('aria-label')"
    label = str(browser.run(script, f"[data-mark={name}]"))
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


def add_reading(browser: Browser, address: str, reading: dict[str, Any]) -> None:
    """Keep a third reading beside the two that were measured, and open the screen again."""
    text = json.dumps({name: value for name, value in reading.items() if name != "number"})
    (folder_of(browser, address) / "reading-3.json").write_text(text, encoding="utf-8")
    browser.go(address)


def test_old_and_new_answer_stand_side_by_side(browser: Browser, mended: str) -> None:
    """Where both told a ratio: shown here by readings that are kept already."""
    add_reading(browser, mended, told(browser, mended)[1])
    assert [each.text for each in browser.all(".beside h2")] == ["Before", "Now"]
    assert "The answer stayed the same." in browser.text(".beside")
    browser.photograph_all("photo-side-by-side")
    assert browser.violations() == []


def test_lengths_follow_the_choice_of_units(browser: Browser, mended: str) -> None:
    reading = told(browser, mended)[1]
    for units, unit, value in (("metric", "mm", "449.4"), ("imperial", "in", "17.69")):
        interval = {"text": value, "low_text": value, "high_text": value}
        reading["answer"][units]["rows"] = [{"name": "rim", "unit": unit, "interval": interval}]
    add_reading(browser, mended, reading)
    browser.says("449.4 mm", ".numbers tbody tr")
    browser.run("document.querySelector('input[value=imperial]').click()")
    browser.says("17.69 in", ".numbers tbody tr")
    browser.says("inches", "#known .unit")
    browser.run("document.querySelector('input[value=metric]').click()")
    browser.says("449.4 mm", ".numbers tbody tr")


def test_what_was_typed_means_the_same_in_other_units(browser: Browser, mended: str) -> None:
    """An inch is 25.4 mm; a unit that was typed stays, and a comma is a point."""

    def typed(*names: str) -> list[str]:
        script = "return arguments[0].map((name) => document.querySelector(`[name=${name}]`).value)"
        values: list[str] = browser.run(script, list(names))
        return values

    for name, text in {"band": "2,4", "offset": "17+-3", "groove": '0.2"'}.items():
        browser.run("document.querySelector(`[name=${arguments[0]}]`).value = arguments[1]", name, text)
    browser.run("document.querySelector('input[value=imperial]').click()")
    browser.says("inches", "#known .unit")
    band, offset, groove = typed("band", "offset", "groove")
    assert 25.4 * float(band) == pytest.approx(2.4, rel=1e-4)
    assert [25.4 * float(each) for each in offset.split("+-")] == pytest.approx([17, 3], rel=1e-4)
    assert groove == '0.2"'
    browser.run("document.querySelector('input[value=metric]').click()")
    browser.says("mm", "#known .unit")
    assert [float(each) for each in typed("band")] == pytest.approx([2.4], rel=1e-4)


def test_what_led_to_nothing_leaves_the_answer_and_the_mark(browser: Browser, mended: str) -> None:
    reading = told(browser, mended)[1]
    x, y = mark_at(browser, "rim0")
    reading["ratios"] = []
    reading["drawn"].update(rim=None, whirls=[], runs=[])
    reading["given"].update(rim=[f"{x - 40},{y}"], put={"rim": ["rim0"]})
    add_reading(browser, mended, reading)
    assert [each.text for each in browser.all(".beside h2")] == ["Before"]
    assert "Take back the last mark" in browser.text(".beside")
    assert mark_at(browser, "rim0") == (x - 40, y)
    assert not browser.count("[data-mark=rim1]")
    browser.photograph_all("photo-led-to-nothing")
    assert browser.violations() == []


def test_the_last_mark_is_taken_back(browser: Browser, mended: str) -> None:
    before = told(browser, mended)[1]["given"]
    press_keys(browser, ("whirl",), "ArrowLeft")
    browser.until(lambda: browser.run("return orders.length") == 1, "it to be told")
    button = next(each for each in browser.all(".tools button") if each.text == "Take back the last mark")
    button.click()
    browser.until(lambda: browser.run("return orders.length") == 2, "that it was taken back to be told")
    moved, back = browser.run("return orders")
    assert moved["whirl"] != before.get("whirl")
    assert not button.is_displayed()
    assert back.get("whirl") == before.get("whirl")
    assert back["hub"] == before["hub"]
    stop(browser)


def test_the_picture_is_zoomed_and_moved_by_keyboard(browser: Browser, mended: str) -> None:
    stage = browser.one("#stage")
    width = "return document.querySelector('.sheet').getBoundingClientRect().width"
    left = "return document.querySelector('.sheet').getBoundingClientRect().left"
    before = browser.run(width)
    stage.send_keys("+")
    stage.send_keys("+")
    larger = pytest.approx(1.4**2 * before, rel=0.01)
    browser.until(lambda: browser.run(width) == larger, "a closer picture")
    at = browser.run(left)
    stage.send_keys(Keys.ARROW_RIGHT)
    browser.until(lambda: browser.run(left) < at, "another part of it")
    stage.send_keys("0")
    browser.until(lambda: browser.run(width) == pytest.approx(before), "the whole picture")


def stop(browser: Browser) -> None:
    """Stop what is being measured, unless it has ended by itself meanwhile."""
    browser.run("document.querySelector('.busy button')?.click()")
    browser.until(lambda: not browser.all(".busy"), "an end of what is measured")


def test_by_keyboard_alone(browser: Browser, mended: str) -> None:
    """Tab reaches the mark, arrow keys move it, and stopping what that began takes no mouse either."""
    for _ in range(60):
        browser.run("return document.activeElement || document.body").send_keys(Keys.TAB)
        if browser.run("return document.activeElement.dataset.mark") == "hub":
            break
    mark = browser.run("return document.activeElement")
    assert mark.get_attribute("data-mark") == "hub"
    x, y = mark_at(browser, "hub")
    for _ in range(3):
        mark.send_keys(Keys.SHIFT, Keys.ARROW_RIGHT)
    browser.until(lambda: mark_at(browser, "hub")[0] > x + 20, "the mark to move")
    moved_x, moved_y = mark_at(browser, "hub")
    assert moved_y == y
    browser.says(f"Axle at {moved_x}, {moved_y}", ".said")
    # When the keys rest it is measured again; that is stopped here.
    browser.one(".busy button").send_keys(Keys.ENTER)
    assert browser.text(".stopped") == "Stopped. Nothing was changed."
    assert len(told(browser, mended)) == 2


def test_a_mark_is_chosen_and_put_by_a_tap(browser: Browser, mended: str) -> None:
    """Without dragging, as some hands need it (WCAG 2.2, 2.5.7)."""
    browser.click("#tools button", "Point at the whirl")
    browser.says("this belongs: whirl", ".said")
    target = (700.0, 100.0)
    middle_of(browser, "#stage")
    at = on_screen(browser, target)
    mouse(browser, "mousePressed", at)
    mouse(browser, "mouseReleased", at)
    browser.until(lambda: math.dist(mark_at(browser, "whirl"), target) <= 2, "the mark to be put")
    stop(browser)


def test_a_tap_on_the_chosen_mark_itself_puts_it_there(browser: Browser, mended: str) -> None:
    """A mark may stand where it belongs before anybody has put it; that is told by a tap, too."""
    browser.click("#tools button", "Point at the axle")
    x, y = middle_of(browser, "[data-mark=hub]")
    was = mark_at(browser, "hub")
    # A click is told in whole pixels of the screen, each of so many of the picture's.
    script = "const s = document.querySelector('.sheet svg'); return s.viewBox.baseVal.width / s.clientWidth"
    scale = float(browser.run(script))
    for kind in ("mousePressed", "mouseReleased"):
        mouse(browser, kind, (x + 6, y))
    put = (was[0] + 6 * scale, was[1])
    browser.until(lambda: math.dist(mark_at(browser, "hub"), put) < 2 * scale, "the mark to be put")
    assert "this belongs" not in browser.run("return document.querySelector('#tools .said').textContent")
    stop(browser)


def test_by_keyboard_a_button_leads_to_the_mark(browser: Browser, mended: str) -> None:
    """Nobody need look for it with Tab, and it is shown even where another mark covers it."""
    button = next(each for each in browser.all("#tools button") if each.text == "Point at the whirl")
    button.send_keys(Keys.ENTER)
    mark = browser.run("return document.activeElement")
    assert mark.get_attribute("data-mark") == "whirl"
    assert mark.is_displayed()
    x = mark_at(browser, "whirl")[0]
    mark.send_keys(Keys.SHIFT, Keys.ARROW_RIGHT)
    browser.until(lambda: mark_at(browser, "whirl")[0] > x + 5, "the mark to move")
    # It is put when the keys rest; the next tap on the picture is for nothing.
    browser.until(lambda: not browser.all(".placing"), "the mark to be put")
    stop(browser)


def lower_edge(browser: Browser, css: str) -> float:
    """Where something ends on the screen, in CSS pixels from the top of the page."""
    script = "return document.querySelector(arguments[0]).getBoundingClientRect().bottom + scrollY"
    return float(browser.run(script, css))


@by_chromium
def test_on_a_phone_by_touch(browser: Browser, mended: str) -> None:
    browser.size(PHONE, touch=True)
    browser.go(mended)
    # The answer and its interval are seen without moving the page.
    browser.one(".says")
    assert lower_edge(browser, ".says p") < PHONE[1]
    width = "return document.querySelector('.sheet').getBoundingClientRect().width"
    before = browser.run(width)
    x, y = middle_of(browser, "#stage")
    # Two fingers apart make it larger.
    touch(browser, "touchStart", (x - 20, y), (x + 20, y))
    for k in range(1, 7):
        touch(browser, "touchMove", (x - 20 - 5 * k, y), (x + 20 + 5 * k, y))
    touch(browser, "touchEnd")
    browser.until(lambda: browser.run(width) > 1.5 * before, "a closer picture")
    browser.click("#tools button", "Whole picture")
    browser.until(lambda: browser.run(width) == pytest.approx(before), "the whole picture")
    # One finger drags a mark.
    start, was = middle_of(browser, "[data-mark=hub]"), mark_at(browser, "hub")
    touch(browser, "touchStart", start)
    for k in range(1, 7):
        touch(browser, "touchMove", (start[0] + 5 * k, start[1]))
    assert browser.one("canvas.loupe")
    browser.photograph("photo-dragging-phone-light")
    touch(browser, "touchEnd")
    browser.until(lambda: mark_at(browser, "hub")[0] > was[0] + 50, "the mark to move")
    stop(browser)
    browser.fits("a dragged picture")


def put_corners(browser: Browser, first: int, end: int) -> None:
    """Choose some of the marks for the card's corners and put each by a tap."""
    for k in range(first, end):
        browser.says(f"{4 - k} to go", "#tools .said")
        assert not browser.all(".busy")
        browser.run(f"document.querySelector('[data-mark=corner{k}]').click()")
        browser.says(f"this belongs: corner {k + 1}", "#tools .said")
        middle_of(browser, "#stage")
        at = on_screen(browser, card_corners_px()[k])
        mouse(browser, "mousePressed", at)
        mouse(browser, "mouseReleased", at)


def test_corners_are_put_one_by_one_and_measured_from(browser: Browser, mended: str) -> None:
    """Chosen and put by taps; nothing is measured before the last one is put."""
    browser.click("#tools button", "Point at the corners")
    browser.says("4 to go", "#tools .said")
    put_corners(browser, 0, 2)
    # One that was taken back is to be put again.
    browser.says("2 to go", "#tools .said")
    browser.click("#tools button", "Take back the last mark")
    put_corners(browser, 1, 4)
    measured(browser, 3)
    reading = told(browser, mended)[2]
    assert reading["given"]["reference"][0].startswith("card,at=")
    (card,) = reading["drawn"]["references"]
    for corner in card_corners_px():
        assert min(math.dist(corner, found) for found in card["corners"]) < 2
    browser.photograph_all("photo-corners")
    # What was found, one corner of which is dragged, keeps the others.
    before = {name: mark_at(browser, name) for name in ("corner0", "corner1", "corner2", "corner3")}
    start = middle_of(browser, "[data-mark=corner1]")
    mouse(browser, "mousePressed", start)
    mouse(browser, "mouseMoved", (start[0] + 3, start[1]))
    mouse(browser, "mouseReleased", (start[0] + 3, start[1]))
    stop(browser)
    after = {name: mark_at(browser, name) for name in before}
    assert {name for name in before if before[name] != after[name]} == {"corner1"}
    # They are there again when the screen is opened again.
    browser.go(mended)
    assert {name: mark_at(browser, name) for name in before} == before


def test_a_second_tap_begins_nothing_anew(browser: Browser, mended: str) -> None:
    """What is being measured already goes on, and is still stopped by the one press."""
    script = """
        const begun = [];
        const asked = window.fetch;
        window.fetch = (address, more) => {
          if (address === "/jobs") begun.push(more.body);
          return asked(address, more);
        };
        const button = document.querySelector("#known button");
        button.click();
        button.click();
        // Stopped before the program has answered what it is to stop.
        document.querySelector(".busy button").click();
        return begun.length;
    """
    assert browser.run(script) == 1
    assert browser.text(".stopped") == "Stopped. Nothing was changed."
    assert len(told(browser, mended)) == 2


def test_what_is_lost_on_the_way_is_asked_for_again(browser: Browser, mended: str) -> None:
    """As on a phone that loses its network for a moment."""
    script = """
        const asked = window.fetch;
        window.lost = 0;
        window.fetch = (address, more) => {
          if (!address.startsWith("/jobs/") || window.lost === 2) return asked(address, more);
          window.lost += 1;
          return Promise.reject(new TypeError("no network"));
        };
        document.querySelector("#known button").click();
    """
    browser.run(script)
    measured(browser, 3)
    assert browser.run("return lost") == 2
    assert not browser.all("#working .trouble")


def test_a_later_question_takes_the_place_of_an_earlier_one(browser: Browser, mended: str) -> None:
    """However late the earlier one is begun, what is shown in the end is the answer to the later one."""
    script = """
        const asked = window.fetch;
        let held = true;
        window.first = () => {};
        window.fetch = async (address, more) => {
          if (address === "/jobs" && held) {
            held = false;
            await new Promise((resolve) => { window.first = resolve; });
          }
          return asked(address, more);
        };
        const field = document.querySelector("input[name=band]");
        for (const thickness of ["9", "2.5"]) {
          field.value = thickness;
          field.dispatchEvent(new Event("change", {bubbles: true}));
        }
    """
    browser.run(script)
    browser.until(lambda: browser.run("return !document.querySelector('.busy')"), "the later answer")
    browser.run("window.first()")
    jobs = "return performance.getEntriesByType('resource').filter((e) => e.name.endsWith('/stop')).length"
    browser.until(lambda: browser.run(jobs) == 1, "the earlier one to be stopped")
    assert browser.all(".says")
    assert not browser.all(".stopped, .trouble, .busy")
    assert told(browser, mended)[2]["given"]["band"] == "2.5mm"


def press_keys(browser: Browser, marks: tuple[str, ...], key: str) -> None:
    """Move marks by a key, one at once after the other, and note what is ordered to be measured."""
    script = """
        const asked = window.fetch;
        window.orders = [];
        window.fetch = (address, more) => {
          if (address === "/jobs") window.orders.push(JSON.parse(more.body).given);
          return asked(address, more);
        };
        for (const name of arguments[0]) {
          const mark = document.querySelector(`[data-mark=${name}]`);
          mark.dispatchEvent(new KeyboardEvent("keydown", {key: arguments[1], shiftKey: true}));
        }
    """
    browser.run(script, marks, key)


def orders_by_keys(browser: Browser, marks: tuple[str, str], key: str) -> list[Any]:
    """What is ordered to be measured after two marks were moved by a key."""
    press_keys(browser, marks, key)
    browser.until(lambda: browser.run("return orders.length") == 2, "both to be told")
    orders: list[Any] = browser.run("return orders")
    return orders


def test_no_mark_moved_by_keys_is_forgotten_for_another(browser: Browser, mended: str) -> None:
    """The axle is moved, and at once the whirl: both are measured from."""
    first, second = orders_by_keys(browser, ("hub", "whirl"), "ArrowRight")
    assert second["hub"] == first["hub"]
    assert second["whirl"] != first.get("whirl")
    stop(browser)


@pytest.mark.parametrize(("mark", "name"), [("rim1", "rim"), ("band0", "band_at")])
def test_a_mark_on_rim_or_band_tells_which_is_meant(
    browser: Browser, mended: str, mark: str, name: str
) -> None:
    """And leaves the axle where somebody has put it, and the whirl where it was found."""
    script = """
        const asked = window.fetch;
        window.orders = [];
        window.fetch = (address, more) => {
          if (address === "/jobs") window.orders.push(JSON.parse(more.body).given);
          return asked(address, more);
        };
        const mark = document.querySelector(`[data-mark=${arguments[0]}]`);
        mark.dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowLeft"}));
    """
    browser.run(script, mark)
    browser.until(lambda: browser.run("return orders.length") == 1, "it to be told")
    (given,) = browser.run("return orders")
    before = told(browser, mended)[1]["given"]
    x, y = (round(float(each)) for each in given[name][0].split(","))
    assert len(given[name]) == 1
    assert math.dist((x, y), mark_at(browser, mark)) <= 1
    assert (given["hub"], given.get("whirl")) == (before["hub"], before.get("whirl"))
    stop(browser)


def test_marks_come_back_as_they_were_put(browser: Browser, mended: str) -> None:
    """The second mark on the band, put alone, does not come back as the first; nor the third on the rim."""
    reading = told(browser, mended)[1]
    where = {name: mark_at(browser, name) for name in ("rim0", "rim1", "rim2", "band0", "band1")}
    orders = orders_by_keys(browser, ("rim2", "band1"), "ArrowUp")
    put = {name: mark_at(browser, name) for name in where}
    assert {name for name in where if put[name] != where[name]} == {"rim2", "band1"}
    reading["given"] = orders[1]
    stop(browser)
    add_reading(browser, mended, reading)
    assert {name: mark_at(browser, name) for name in where} == put


def test_a_broken_file_is_a_sentence(browser: Browser, tmp_path: Path) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes((SAMPLES / "old_wheel.jpg").read_bytes()[:40_000])
    send(browser, "/photo", broken)
    said = browser.text("#working .trouble")
    assert said.startswith("broken.jpg is damaged or broken off")
    assert "/" not in said
    browser.photograph_all("photo-broken")
    assert browser.violations() == []
    browser.go("/kept")
    assert "broken.jpg" not in browser.run("return document.querySelector('.shelf').textContent")
    assert "broken.jpg" in browser.run("return document.querySelector('.deleted').textContent")


def test_what_is_no_picture_is_refused_where_it_is_chosen(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "wheel.jpg"
    page.write_text("<!DOCTYPE html><title>no picture</title>" * 9, encoding="utf-8")
    browser.go("/photo")
    browser.all("input.file")[0].send_keys(str(page))
    browser.says("no picture, clip or sound", ".sending")


def test_a_clip_among_pictures_is_told_apart(browser: Browser) -> None:
    """It is kept all the same, and one tap leads to where it is measured."""
    browser.go("/photo")
    browser.all("input.file")[0].send_keys(str(CLIP))
    browser.says("is a clip", ".sending")
    browser.photograph_all("photo-wrong-place")
    assert browser.violations() == []
    browser.click(".sending a")
    browser.says(CLIP.name, ".filename")
    assert "/clip/" in browser.driver.current_url
    stop(browser)


def test_a_sound_that_is_measured_nowhere_is_put_aside(browser: Browser, tmp_path: Path) -> None:
    with wave.open(str(tmp_path / "creak.wav"), "wb") as sound:
        sound.setparams((1, 2, 8000, 0, "NONE", ""))
        sound.writeframes(bytes(1600))
    browser.go("/clip")
    browser.all("input.file")[0].send_keys(str(tmp_path / "creak.wav"))
    browser.says("holds only sound", ".sending")
    browser.says("put with what is deleted", ".sending")
    browser.go("/kept")
    assert "creak.wav" not in browser.run("return document.querySelector('.shelf').textContent")
    assert "creak.wav" in browser.run("return document.querySelector('.deleted').textContent")


@by_chromium
def test_sending_is_stopped(browser: Browser) -> None:
    """A long clip over a slow network: nothing of it stays."""
    browser.go("/clip")
    kept = set((browser.served.folder / "media").iterdir())
    slow = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 20_000}
    browser.cdp("Network.emulateNetworkConditions", **slow)
    try:
        browser.all("input.file")[0].send_keys(str(CLIP))
        browser.says("Sending", ".sending")
        browser.photograph("clip-sending-desk-light")
        assert browser.violations() == []
        browser.one(".chooser button").send_keys(Keys.ENTER)
        browser.says("Stopped. Nothing was kept.", ".sending")
    finally:
        # All later tests share this browser, also where this one ends early.
        browser.cdp("Network.emulateNetworkConditions", **(slow | {"uploadThroughput": -1}))
    assert not browser.count(".chooser button")
    assert browser.run("return document.activeElement.className") == "file"
    arriving = browser.served.folder / "arriving"
    browser.until(lambda: not any(arriving.iterdir()), "what had arrived to go")
    assert set((browser.served.folder / "media").iterdir()) == kept


def test_several_files_at_once_are_not_passed_over_in_silence(browser: Browser) -> None:
    browser.go("/photo")
    browser.run("""
        const data = new DataTransfer();
        for (const name of ["one.jpg", "other.jpg"]) data.items.add(new File(["x"], name));
        document.dispatchEvent(new DragEvent("drop", {dataTransfer: data, cancelable: true}));
    """)
    browser.says("These are 2 files. Send one at a time.", ".sending")


def test_stopped_in_the_midst_and_measured_again(browser: Browser, tmp_path: Path) -> None:
    address = send(browser, "/photo", SAMPLES / "old_wheel.jpg")
    browser.says("Looking for rim", ".busy .what")
    stop(browser)
    assert browser.text(".stopped") == "Stopped. Nothing was changed."
    assert told(browser, address) == []
    # The page goes on as if nothing had been.
    send(browser, "/photo", grey(tmp_path / "nothing.png"))
    measured(browser)
    assert "could not be measured" in browser.text(".says")
    # What stands where nobody found or put it does not look as if it were found.
    assert [each.get_attribute("data-mark") for each in browser.all(".handle.unplaced")] == ["hub", "whirl"]
    browser.photograph_all("photo-nothing-found")
    assert browser.violations() == []


def test_a_mark_is_put_before_anything_was_found(browser: Browser) -> None:
    """In the file's pixels; what is being measured without it is given up."""
    address = send(browser, "/photo", SAMPLES / "old_wheel.jpg")
    browser.run("""
        const asked = window.fetch;
        window.orders = [];
        window.fetch = (address, more) => {
          if (address === "/jobs") window.orders.push(JSON.parse(more.body).given);
          return asked(address, more);
        };
    """)
    browser.click("#tools button", "Point at the whirl")
    assert not browser.all("[data-mark=hub]")
    middle_of(browser, "#stage")
    place = (400.0, 300.0)
    for kind in ("mousePressed", "mouseReleased"):
        mouse(browser, kind, on_screen(browser, place))
    browser.until(lambda: browser.run("return orders.length") == 1, "it to be told")
    (given,) = browser.run("return orders")
    assert math.dist([float(each) for each in given["whirl"].split(",")], place) < 4
    assert "hub" not in given
    # Where no whirl is, little is looked for: before it is done.
    stop(browser)
    assert told(browser, address) == []
    assert browser.violations() == []
    browser.photograph_all("photo-marked-early")


def test_a_page_that_is_loaded_again_goes_on(browser: Browser) -> None:
    send(browser, "/photo", SAMPLES / "old_wheel.jpg")
    browser.says("Looking for rim", ".busy .what")
    browser.driver.refresh()
    running = browser.one("#measuring").get_attribute("data-job")
    assert running
    browser.says("Looking for rim", ".busy .what")
    stop(browser)
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
        browser.click("#known button")
    browser.until(lambda: len(told(browser, address)) == 3, "three readings")
    assert [each["number"] for each in told(browser, address)] == [1, 2, 3]


def test_twenty_at_once_are_queued(browser: Browser, tmp_path: Path) -> None:
    browser.go("/photo")
    script = """
        const [text] = arguments;
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
        const end = (told) => { window.ended = told; };
        Promise.all(Array.from({length: 20}, (_, k) => one(k))).then(end, (fault) => end(String(fault)));
    """
    text = base64.b64encode(grey(tmp_path / "grey.png").read_bytes()).decode("ascii")
    browser.run(script, text)
    assert browser.until(lambda: browser.run("return window.ended"), "all of them") == ["done"] * 20


@pytest.fixture(scope="module")
def counted_once(browser: Browser) -> str:
    browser.begin_anew()
    address = send(browser, "/clip", CLIP)
    measured(browser)
    return address


@pytest.fixture
def clip(browser: Browser, counted_once: str, at_first: None) -> str:
    """A copy of a clip that was counted, opened."""
    return copied(browser, counted_once)


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


def turn_upright(browser: Browser, address: str) -> None:
    """Have what was measured last taken upright."""
    kept = max(folder_of(browser, address).glob("reading-*.json"))
    reading = json.loads(kept.read_text(encoding="utf-8"))
    reading["size_px"] = [9, 16]
    kept.write_text(json.dumps(reading), encoding="utf-8")


def test_on_a_phone_an_upright_picture_s_answer_is_in_view(browser: Browser, mended: str) -> None:
    turn_upright(browser, mended)
    browser.size(PHONE, touch=True)
    browser.go(mended)
    browser.one(".says")
    assert lower_edge(browser, ".says p") < PHONE[1]
    # Whoever mends marks has it as large as may be.
    height = "return document.querySelector('#stage').clientHeight"
    before = browser.run(height)
    browser.click(".mend summary")
    browser.until(lambda: browser.run(height) > 1.3 * before, "a larger picture")
    browser.fits("an upright picture")
    browser.run("document.documentElement.style.fontSize = '212.5%'")
    wide = "return document.documentElement.scrollWidth <= innerWidth"
    browser.until(lambda: browser.run(wide), "large letters to fit", LAID_OUT_S)


@pytest.mark.parametrize("upright", [False, True])
def test_on_a_phone_the_clip_s_answer_is_in_view(browser: Browser, clip: str, upright: bool) -> None:
    if upright:
        turn_upright(browser, clip)
    browser.size(PHONE, touch=True)
    browser.go(clip)
    assert browser.one("#cadence svg")
    # Clip, cadence and the sentence with its interval are seen without moving the page.
    assert lower_edge(browser, ".says p") < PHONE[1]
    browser.click(".mend summary")
    width = "return document.querySelector('.sheet').getBoundingClientRect().width"
    before = browser.run(width)
    browser.click("#tools button", "+")
    browser.until(lambda: browser.run(width) > 1.2 * before, "a closer clip")


def test_the_marker_turns_with_the_wheel(browser: Browser, clip: str) -> None:
    """At any moment it points where the truth of the clip says that the wheel has turned."""
    browser.until(lambda: browser.run("return document.querySelector('video').readyState >= 2"), "the clip")
    frames = truth()["per_frame"]
    times_s = np.array([each["capture_s"] - frames[0]["capture_s"] for each in frames])
    turned_rad = np.array([each["wheel_rad"] - frames[0]["wheel_rad"] for each in frames])
    for k in (60, 150, 290):
        browser.until(partial(stands_at, browser, float(times_s[k])), "the moment")
        # Sent to the very moment of a picture, a browser may show the one before it.
        shown_s, marked_rad = marker(browser)
        assert shown_s == pytest.approx(times_s[k], abs=0.05)
        off = (marked_rad - np.interp(shown_s, times_s, turned_rad) + math.pi) % (2 * math.pi) - math.pi
        # Seen askew the angle in the picture is another one than in the wheel's plane, by a few degrees.
        assert abs(math.degrees(off)) < 8


def stands_at(browser: Browser, at_s: float) -> bool:
    """Whether the clip stands at a moment; it is sent there unless it is on its way."""
    shown_s = float(browser.run("return Number(document.querySelector('#place').value)"))
    if abs(shown_s - at_s) < 0.02:
        return True
    browser.run(
        "const v = document.querySelector('video'); "
        "if (!v.seeking) { v.pause(); v.currentTime = arguments[0] }",
        at_s,
    )
    return False


def marker(browser: Browser) -> tuple[float, float]:
    """The moment shown (s), and which way the wheel's marker points then, anticlockwise from the right."""
    script = (
        "return [Number(document.querySelector('#place').value),"
        " document.querySelector('.line.marker.wheel').getAttribute('d')]"
    )
    shown_s, path = browser.run(script)
    x0, y0, x1, y1 = (float(number) for number in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", path))
    return float(shown_s), math.atan2(y0 - y1, x1 - x0)


def test_the_clip_plays_with_the_cadence_in_step(browser: Browser, clip: str) -> None:
    def bead_and_clock() -> tuple[str | None, str]:
        return browser.all("#cadence .bead")[0].get_attribute("cy"), browser.text("#clock")

    browser.click("#play:enabled")
    browser.says("Pause", "#play")
    before = bead_and_clock()
    browser.until(lambda: all(a != b for a, b in zip(before, bead_and_clock(), strict=True)), "the course")
    browser.click("#play")
    browser.says("Play", "#play")
    assert "is " in (browser.one("#cadence svg").get_attribute("aria-label") or "")


def test_the_slip_of_two_clips_is_told(
    browser: Browser, counted_once: str, clip: str, clip_reading: ClipReading, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a worker would send is shown: 12.80 by hand and 12.6674 at work is a slip of 1.036 %."""
    turned = {"hand": replace(clip_reading, ratio=ufloat(12.80, 0.001)), "work": clip_reading}
    monkeypatch.setattr(slip, "measure_clip", lambda path, tell: turned[path.stem])
    media = {role: {"file": role, "folder": "", "name": role} for role in turned}
    outcome = slip.run({"media": media, "drive": "flyer-led"}, lambda what, share: None)
    browser.run(
        """
        const [outcome] = arguments;
        const asked = window.fetch;
        window.fetch = async (address, more) => {
          const order = address === "/jobs" && JSON.parse(more.body);
          if (order.kind !== "slip") return asked(address, more);
          window.order = order;
          return new Response(JSON.stringify({id: "told", version: 9, state: "done", outcome}));
        };
        """,
        outcome,
    )
    browser.click("#slip button")
    browser.says("falls behind by 1.04 %", "#slip-answer .says")
    order = browser.run("return window.order")
    assert order["media"]["work"] == clip.rpartition("/")[2] != order["media"]["hand"]
    browser.photograph_all("clip-slip")
    for scheme in ("light", "dark"):
        browser.colours(scheme)
        assert browser.violations() == []


def test_what_is_kept_is_listed_and_deleted_with_undo(browser: Browser, tmp_path: Path) -> None:
    media = Media(browser.served.folder)
    for k in range(20):
        arrived = media.arriving()
        arrived.write_bytes(grey(tmp_path / "grey.jpg").read_bytes())
        media.keep(arrived, f"wheel {k}.jpg", JPEG)
    browser.go("/kept")
    count = browser.count(".shelf > li")
    assert count >= 20
    assert browser.violations() == []
    browser.photograph_all("kept-full")
    # Who taps twice means it once.
    twice = "const b = document.querySelector('.shelf .delete'); b.click(); b.click();"
    browser.run(twice)
    browser.until(lambda: browser.count(".shelf > li") == count - 1, "less")
    browser.click("#said button")
    browser.until(lambda: browser.count(".shelf > li") == count, "all again")
    browser.says("is back.", "#said")
    browser.click(".shelf .delete")
    browser.until(lambda: browser.count(".shelf > li") == count - 1, "less")
    # After a look elsewhere it can be brought back still.
    browser.go("/kept")
    browser.click(".deleted summary")
    assert browser.violations() == []
    browser.photograph_all("kept-deleted")
    browser.click(".deleted .restore")
    browser.until(lambda: browser.count(".shelf > li") == count, "all again")


@by_chromium
def test_nothing_left_the_machine(browser: Browser, mended: str, clip: str) -> None:
    assert browser.left_the_machine() == set()
    assert len(browser.asked) > 50
