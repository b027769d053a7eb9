"""Further journeys in a real browser: one's own treadling, reckoning by keyboard alone, wheels in two tabs.

One clip is measured once. The wheels' readings are laid beside pictures as workers leave them there, so that
nothing need be measured for them.
"""

import time
from collections.abc import Callable, Iterator
from importlib import resources
from pathlib import Path

import cv2
import numpy as np
import pytest
from selenium.webdriver.common.keys import Keys
from tests.page.browsing import DESK, PHONE, Browser, Served, page_served
from uncertainties import ufloat

from whirlwise import sample_media
from whirlwise.calc.wheel import Dimension
from whirlwise.cli.page.file_kinds import JPEG
from whirlwise.cli.page.media import Media, Medium, keep_reading
from whirlwise.cli.page.tasks.keepable import reading_to_keep
from whirlwise.cli.page.tasks.told import told
from whirlwise.cli.show.answer import Answer

CLIP = Path(str(resources.files(sample_media))) / "old_wheel_at_work.mp4"
#: A machine that does other things besides takes this long for a clip, and for a first drawing.
LONGEST_S = 300.0


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with page_served(tmp_path_factory.mktemp("kept")) as page:
        yield page


@pytest.fixture(scope="module")
def browser(served: Served, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    opened = Browser(served, tmp_path_factory.mktemp("profile"))
    yield opened
    opened.close()


def looked_at(browser: Browser, name: str) -> None:
    """No fault by axe as phone and desk, light and dark; photographed."""
    for scheme, size in (("light", PHONE), ("dark", DESK)):
        browser.colours(scheme)
        browser.size(size)
        assert browser.violations() == [], f"{name}: {scheme}, {size}"
    browser.photograph_all(name)


def measured(served: Served, ratio: float, name: str) -> Medium:
    """A picture with a reading of a ratio, known within 1 % (standard uncertainty)."""
    media = Media(served.folder)
    arrived = media.arriving()
    grey = np.full((90, 120, 3), round(10 * ratio) % 250, np.uint8)
    arrived.write_bytes(cv2.imencode(".jpg", grey)[1].tobytes())
    medium = media.keep(arrived, name, JPEG)
    numbers = {Dimension("ratio", "whirl"): ufloat(ratio, ratio / 100)}
    source = {"file": str(medium.original), "name": name}
    none: dict[str, object] = {"hub": None, "rim": None, "whirls": [], "runs": [], "references": []}
    reading = {
        "given": {},
        "size_px": [120, 90],
        "seconds": 1.0,
        "answer": told(Answer((f"One turn of the wheel turns the flyer {ratio} times.",))),
        "ratios": [],
        "drawn": none,
        "kept": reading_to_keep("photo", source, numbers, {}),
    }
    keep_reading(medium.folder, reading)
    return medium


def pressed(browser: Browser, key: str) -> None:
    browser.run("return document.activeElement || document.body").send_keys(key)


def tab_to(browser: Browser, is_there: Callable[[], bool], most: int = 60) -> None:
    for _ in range(most):
        if is_there():
            return
        pressed(browser, Keys.TAB)
    raise AssertionError("not reached by the keyboard")


def focused(browser: Browser, what: str) -> str:
    return str(browser.run(f"return String(document.activeElement.{what} ?? '')"))


def reckoned(browser: Browser, least: int = 1) -> int:
    """Wait until it was reckoned so often, with the drawings; gives how often."""
    script = "return Number(document.getElementById('contents').dataset.reckoned ?? 0)"
    browser.until(lambda: browser.run(script) >= least, "what is reckoned", LONGEST_S)
    return int(browser.run(script))


def cells(browser: Browser) -> list[str]:
    return [each.text for each in browser.all("section[data-part='1'] tbody td")]


def test_reckoning_by_keyboard_alone(browser: Browser) -> None:
    """Twist is ratio times cadence over drafting speed."""
    browser.go("/reckon")
    count = reckoned(browser)
    assert float(cells(browser)[6].split()[0]) == pytest.approx(12.5 * 60 / 250, abs=0.01)
    assert len(browser.all(".drawn svg title")) == 2
    tab_to(browser, lambda: focused(browser, "dataset?.of") == "cadence")
    pressed(browser, Keys.ARROW_RIGHT)
    assert browser.one("input[name=cadence]").get_attribute("value") == "61"
    reckoned(browser, count + 1)
    assert float(cells(browser)[6].split()[0]) == pytest.approx(12.5 * 61 / 250, abs=0.01)
    looked_at(browser, "reckon")


def test_a_field_that_is_wrong_is_told_and_loses_nothing(browser: Browser) -> None:
    field = browser.one("input[name=drafting]")
    field.send_keys(Keys.CONTROL, "a")
    field.send_keys("quick")
    assert "expects a length of yarn" in browser.text("#trouble .trouble")
    assert cells(browser)
    field.send_keys(Keys.CONTROL, "a")
    field.send_keys("254")
    browser.until(lambda: not browser.all("#trouble .trouble"), "the trouble to go", LONGEST_S)


def test_a_change_of_units_changes_nothing_that_is_meant(browser: Browser) -> None:
    """254 cm are 100 in (an inch is 2.54 cm by definition)."""
    browser.run("document.querySelector('input[value=imperial]').click()")
    field = browser.one("input[name=drafting]")
    browser.until(lambda: float(field.get_attribute("value") or 0) == 100, "inches", LONGEST_S)
    expected = pytest.approx(12.5 * 61 / 100, abs=0.02)
    browser.until(lambda: float(cells(browser)[6].split()[0]) == expected, "turns an inch", LONGEST_S)
    # The one field whose name means something else to a form, too.
    length = float(browser.one("input[name=length]").get_attribute("value") or 0)
    assert length == pytest.approx(400 / 0.9144, rel=1e-3)
    browser.run("document.querySelector('input[value=metric]').click()")
    assert browser.complaints() == []


def test_practice_beats_in_time_and_stands_still_where_wished(browser: Browser) -> None:
    browser.go("/practice")
    looked_at(browser, "practice")
    script = "return Number(document.getElementById('beat').dataset.beats ?? 0)"
    browser.colours("light", calm=True)
    browser.run("document.querySelector('input[name=cadence]').value = 180")
    browser.one("#practice button").click()
    browser.until(lambda: browser.run(script) >= 2, "the beat")
    first, began_s = browser.run(script), time.monotonic()
    time.sleep(3.0)
    beats, seconds = browser.run(script) - first, time.monotonic() - began_s
    assert beats == pytest.approx(seconds * 180 / 60, abs=2.5)
    assert (
        browser.run("return document.querySelector('.beat g g').getAttribute('transform')") == "rotate(0.0)"
    )
    browser.one("#practice button").click()
    assert browser.text("#said") == "Stopped."
    browser.colours("light")


@pytest.fixture(scope="module")
def attic(browser: Browser, served: Served) -> str:
    """A wheel that a picture's answer screen began, by its address."""
    medium = measured(served, 12.5, "attic.jpg")
    browser.go(f"/photo/{medium.id}")
    browser.one("#to-wheel input[name=name]").send_keys("From the attic")
    browser.one("#to-wheel button").click()
    link = browser.one("#to-wheel .said a")
    assert "Kept with From the attic." in browser.text("#to-wheel .said")
    looked_at(browser, "photo-keep")
    return str(link.get_attribute("href")).removeprefix(served.address)


def shown(browser: Browser, words: str) -> None:
    browser.until(lambda: words in browser.all("main")[0].text, words, LONGEST_S)


def test_the_ratios_of_an_unlabelled_wheel_end_in_a_wheel_kept(browser: Browser, attic: str) -> None:
    browser.go(attic)
    shown(browser, "photo-1")
    assert "12.5" in browser.text("#says")
    assert browser.one(".drawn svg")
    looked_at(browser, "wheel")


def test_two_tabs_lose_nothing(browser: Browser, served: Served, attic: str) -> None:
    """While one tab shows a wheel, another adds to it; then the first leaves a reading out."""
    browser.go(attic)
    shown(browser, "photo-1")
    first = browser.driver.current_window_handle
    browser.driver.switch_to.new_window("tab")
    browser.go(f"/photo/{measured(served, 12.6, 'again.jpg').id}")
    browser.until(lambda: len(browser.all("#to-wheel option")) == 2, "the wheel to choose")
    browser.run("const s = document.querySelector('#to-wheel select'); s.selectedIndex = 1;")
    browser.run("document.querySelector('#to-wheel select').dispatchEvent(new Event('change'))")
    browser.one("#to-wheel button").click()
    browser.one("#to-wheel .said a")
    browser.driver.close()
    browser.driver.switch_to.window(first)
    browser.one("#entries button").click()
    shown(browser, "photo-1 counts no more.")
    shown(browser, "photo-2")
    browser.until(
        lambda: [each.text for each in browser.all("#entries tbody th")] == ["photo-2"],
        "one reading",
        LONGEST_S,
    )
    browser.one("#undo").click()
    browser.until(lambda: len(browser.all("#entries tbody tr")) == 2, "both readings", LONGEST_S)


def test_the_report_is_written_and_prints(browser: Browser, attic: str) -> None:
    browser.go(attic)
    shown(browser, "photo-2")
    browser.one("#report input[name=cadence]").send_keys("60")
    browser.one("#report input[name=drafting]").send_keys("250")
    browser.one("#report button").click()
    browser.until(lambda: browser.all("#report-said a"), "the report", LONGEST_S)
    browser.complaints()
    browser.go(f"{attic}/report")
    assert browser.text("h1") == "From the attic"
    # Its look and pictures are let pass, and nothing else is asked for.
    assert browser.complaints() == []
    assert all(browser.run("return [...document.images].map((each) => each.naturalWidth > 0)"))
    assert len(browser.all(".picture img")) == 2
    printed = browser.cdp("Page.printToPDF")["data"]
    assert len(printed) > 20_000
    browser.photograph("wheel-report-desk-light")


def test_wheels_side_by_side(browser: Browser, served: Served, attic: str) -> None:
    medium = measured(served, 7.0, "slow.jpg")
    browser.go(f"/photo/{medium.id}")
    browser.one("#to-wheel input[name=name]").send_keys("Slow one")
    browser.one("#to-wheel button").click()
    browser.one("#to-wheel .said a")
    browser.go("/wheels")
    for box in browser.all("input[name=compared]"):
        box.click()
    browser.one("#compare input[name=wish]").send_keys("6-18")
    browser.one("#compare button").click()
    browser.until(lambda: browser.all("#contents .drawn svg"), "the ladders", LONGEST_S)
    assert "From the attic" in browser.text("#contents pre")
    looked_at(browser, "wheels")


def test_a_wheel_is_deleted_and_brought_back(browser: Browser, attic: str) -> None:
    browser.go("/wheels")
    before = len([each for each in browser.all(".stable > li") if each.is_displayed()])
    browser.one(".stable .delete").click()
    browser.one("#said button").click()
    shown(browser, "is back.")
    assert len([each for each in browser.all(".stable > li") if each.is_displayed()]) == before
    browser.go(attic)
    shown(browser, "photo-2")


def test_ones_own_treadling_from_a_clip(browser: Browser) -> None:
    browser.complaints()
    browser.go("/rhythm")
    looked_at(browser, "rhythm-choose")
    browser.all("input.file")[0].send_keys(str(CLIP))
    browser.until(lambda: browser.all(".says"), "the answer", LONGEST_S)
    assert "turns a minute" in browser.text(".says")
    browser.one("input[name=wished]").send_keys("60")
    browser.one("#known button").click()
    shown(browser, "60 a minute that you wished for")
    cursor = "return document.querySelector('#cadence .cursor').parentNode.getAttribute('transform')"
    before = browser.run(cursor)
    browser.run("document.querySelector('video').currentTime = 5")
    browser.until(lambda: browser.run(cursor) != before, "the cursor to follow the clip")
    looked_at(browser, "rhythm")
    assert browser.complaints() == []


def test_nothing_left_the_machine(browser: Browser) -> None:
    assert browser.left_the_machine() == set()
