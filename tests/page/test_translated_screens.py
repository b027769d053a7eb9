"""In another language nothing on any screen stays English: a language made by machine shows what would."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest
from tests.page.browsing import Browser, Served, page_served
from tests.page.browsing import at_first as at_first
from tests.page.browsing import browser as browser
from tests.page.kept_wheels import kept_wheel, measured
from tests.page.pseudo import english_on, write_language
from tests.page.small_clips import write_clip
from tests.page.test_journeys import CLIP, SAMPLES, grey, send
from tests.page.test_journeys import measured as until_measured
from tests.page.test_screens import SCREENS, with_phone

from whirlwise.cli.page.translating.drawings import drawings_of_guides

pytestmark = pytest.mark.usefixtures("at_first")
#: Names that read like what the program says.
ATTIC, QUICK = "From the attic, with the band", "the fast one"
#: Those that are kept are to be chosen from on the screen of each; one that comes again gets a number.
CLIPS = (CLIP.name, "still.mp4", *(f"{CLIP.stem} ({number}).mp4" for number in range(2, 9)))


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    words = write_language(tmp_path_factory.mktemp("language"))
    with page_served(tmp_path_factory.mktemp("kept"), "--words", str(words), *with_phone()) as page:
        yield page


@pytest.mark.parametrize("name", SCREENS)
def test_screen(browser: Browser, served: Served, name: str) -> None:
    browser.go(SCREENS[name])
    assert english_on(browser, str(served.folder)) == []


def in_both_units(browser: Browser, *names: str) -> None:
    """See that nothing stays English, in mm and in inches."""
    for units in ("imperial", "metric"):
        browser.run("document.querySelector(`input[value=${arguments[0]}]`).click()", units)
        browser.one(f"body[data-units={units}]")
        browser.until(lambda: not browser.all(".busy, [aria-busy=true]"), "what is at work")
        assert english_on(browser, *names) == [], units


def test_a_picture(browser: Browser) -> None:
    send(browser, "/photo", SAMPLES / "old_wheel.jpg")
    browser.one(".busy .what")
    assert english_on(browser, "old_wheel.jpg") == []
    until_measured(browser)
    in_both_units(browser, "old_wheel.jpg")
    browser.click("#known button")
    until_measured(browser, 2)
    in_both_units(browser, "old_wheel.jpg")
    browser.driver.refresh()
    browser.one(".says")
    assert english_on(browser, "old_wheel.jpg") == []


def test_a_picture_of_nothing(browser: Browser, tmp_path: Path) -> None:
    send(browser, "/photo", grey(tmp_path / "nothing.png"))
    until_measured(browser)
    in_both_units(browser, "nothing.png")


def test_a_broken_picture(browser: Browser, tmp_path: Path) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes((SAMPLES / "old_wheel.jpg").read_bytes()[:40_000])
    send(browser, "/photo", broken)
    browser.one("#working .trouble")
    assert english_on(browser, "broken.jpg") == []


def test_what_is_typed_wrongly(browser: Browser, tmp_path: Path) -> None:
    """The word in question stays as it was typed."""
    send(browser, "/photo", grey(tmp_path / "grey.png"))
    until_measured(browser)
    for name in ("offset", "band", "groove"):
        browser.run("document.querySelector(`[name=${arguments[0]}]`).value = 'qqq'", name)
        browser.click("#known button")
        browser.one("#working .trouble, #known-said:not(:empty)")
        assert english_on(browser, "grey.png", "qqq") == []
        browser.run("document.querySelector(`[name=${arguments[0]}]`).value = ''", name)


def test_a_clip(browser: Browser) -> None:
    send(browser, "/clip", CLIP)
    until_measured(browser)
    in_both_units(browser, *CLIPS)
    browser.one("input[name=ratio]").send_keys("11.2")
    browser.click("#known button")
    until_measured(browser, 2)
    in_both_units(browser, *CLIPS)


def test_the_slip_of_two_clips(browser: Browser) -> None:
    for _ in range(2):
        send(browser, "/clip", CLIP)
        until_measured(browser)
    browser.click("#slip button")
    browser.one("#slip-answer .says")
    in_both_units(browser, *CLIPS)


def test_a_clip_in_which_nothing_turns(browser: Browser, tmp_path: Path) -> None:
    send(browser, "/clip", write_clip(tmp_path / "still.mp4", "h264"))
    until_measured(browser)
    in_both_units(browser, *CLIPS)


def test_ones_own_treadling(browser: Browser) -> None:
    send(browser, "/rhythm", CLIP)
    browser.one(".says")
    browser.one("input[name=wished]").send_keys("60")
    browser.click("#known button")
    browser.until(lambda: len(browser.all(".says p")) > 1 and not browser.all(".busy"), "the wish")
    in_both_units(browser, *CLIPS)


def test_practice(browser: Browser) -> None:
    browser.go("/practice")
    for _ in range(2):
        before = browser.text("#practice button")
        browser.click("#practice button")
        browser.until(partial(differs, browser, before), "the other button")
        assert english_on(browser) == []


def differs(browser: Browser, before: str) -> bool:
    return browser.text("#practice button") != before


def test_what_is_kept_and_deleted(browser: Browser, served: Served) -> None:
    names = [f"{name}.jpg" for name in (ATTIC, "Cellar")]
    for name in names:
        measured(served.folder, 12.5, name)
    browser.go("/kept")
    browser.click(".shelf .delete")
    browser.one("#said button")
    kept = [str(served.folder), "mp4", "jpg", "png", ATTIC, "Cellar", QUICK, "Slow", "Quarrel", "still"]
    kept += ["old_wheel", "old_wheel_at_work", "broken", "nothing", "grey"]
    assert english_on(browser, *kept) == []
    browser.go("/kept")
    browser.click(".deleted summary")
    assert english_on(browser, *kept) == []


@pytest.mark.parametrize("address", ["/photo/0123456789abcdef", "/clip/0", "/wheels/0"])
def test_what_is_not_kept(browser: Browser, address: str) -> None:
    browser.go(address)
    assert english_on(browser) == []


def test_what_is_refused(browser: Browser, tmp_path: Path) -> None:
    page = tmp_path / "page.jpg"
    page.write_text("<!DOCTYPE html><title>no picture</title>" * 9, encoding="utf-8")
    for file in (page, CLIP):
        browser.go("/photo")
        browser.all("input.file")[0].send_keys(str(file))
        browser.one(".sending:not(:empty)")
        browser.until(lambda: "%" not in browser.text(".sending"), "it to be sent")
        assert english_on(browser, file.name) == []


def test_reckoning(browser: Browser) -> None:
    browser.go("/reckon")
    browser.until(lambda: len(browser.all(".drawn svg title")) == 2, "the drawings")
    in_both_units(browser, "large", "small")
    for name in ("ratios", "cadence", "drafting", "yarn", "length"):
        browser.go("/reckon")
        browser.one("#contents tbody")
        field = browser.one(f"input[name={name}]")
        field.clear()
        field.send_keys("qqq")
        browser.one("#trouble .trouble")
        assert english_on(browser, "large", "small", "qqq") == [], name


def test_a_wheel(browser: Browser, served: Served) -> None:
    wheel = kept_wheel(served.folder, ATTIC, 12.5, 12.6)
    kept_wheel(served.folder, "Cellar", 7.0)
    quarrel = kept_wheel(served.folder, "Quarrel", 12.5, 19.0)
    names = (ATTIC, "Cellar", "Quarrel", "photo", "jpg")
    for each in (wheel, quarrel):
        browser.go(f"/wheels/{each.id}")
        browser.one("#entries tbody")
        in_both_units(browser, *names)
    browser.click("#entries tbody button")
    browser.one("#undo")
    in_both_units(browser, *names)


def test_a_report(browser: Browser, served: Served) -> None:
    wheel = kept_wheel(served.folder, ATTIC, 12.5, 12.6)
    browser.go(f"/wheels/{wheel.id}")
    browser.one("#entries tbody")
    names = (ATTIC, "photo", "jpg")
    for given in ({}, {"cadence": "60"}, {"drafting": "250"}):
        for name, text in given.items():
            browser.one(f"#report input[name={name}]").send_keys(text)
        browser.click("#report button")
        browser.one("#report-said a")
        assert english_on(browser, *names) == []
    browser.go(f"/wheels/{wheel.id}/report")
    assert browser.run("return document.documentElement.lang") == "eo"
    assert english_on(browser, *names) == []


def test_wheels_side_by_side(browser: Browser, served: Served) -> None:
    wheels = [kept_wheel(served.folder, name, ratio) for name, ratio in ((QUICK, 12.5), ("Slow", 7.0))]
    browser.go("/wheels")
    for wheel in wheels:
        browser.click(f"input[name=compared][value='{wheel.id}']")
    browser.one("#compare input[name=wish]").send_keys("6-18")
    browser.click("#compare button")
    browser.one("#contents .drawn svg")
    in_both_units(browser, QUICK, "Slow", ATTIC, "Cellar", "Quarrel")


@pytest.mark.parametrize("name", drawings_of_guides())
def test_a_drawing_of_the_guides(browser: Browser, name: str) -> None:
    browser.go(f"/drawings/{name}")
    assert english_on(browser) == []
