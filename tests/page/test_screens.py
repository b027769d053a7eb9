"""Every screen that shows without measuring: no fault by axe, nothing sticks out, everything by keyboard."""

from collections.abc import Iterator
from functools import partial

import pytest
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.common.keys import Keys
from tests.page.browsing import DESK, LAID_OUT_S, PHONE, Browser, Served, by_chromium, page_served
from tests.page.browsing import at_first as at_first
from tests.page.browsing import browser as browser

from whirlwise.cli.page.serving import home_address
from whirlwise.cli.trouble import WrongUsageError

pytestmark = pytest.mark.usefixtures("at_first")
#: Name of the screenshot, and address.
SCREENS = {
    "home": "/",
    "photo-choose": "/photo",
    "clip-choose": "/clip",
    "rhythm-choose": "/rhythm",
    "practice": "/practice",
    "reckon-begun": "/reckon",
    "wheels-none": "/wheels",
    "kept": "/kept",
    "about": "/about",
    "phone": "/phone",
    "nothing-here": "/no-such-thing",
}
#: An address of this machine where nobody listens.
NOBODY = "http://127.0.0.1:1023/"


def with_phone() -> list[str]:
    """Let a phone in, where this machine has a network to let it in from."""
    try:
        home_address()
    except WrongUsageError:
        return []
    return ["--phone"]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with page_served(tmp_path_factory.mktemp("kept"), *with_phone()) as page:
        yield page


@pytest.mark.parametrize("name", SCREENS)
def test_screen(browser: Browser, name: str) -> None:
    browser.go(SCREENS[name])
    # A page that is not there is a complaint of the browser's too.
    complaints = [each for each in browser.complaints() if "404" not in each]
    assert complaints == []
    for scheme, size in (("light", PHONE), ("dark", DESK)):
        browser.colours(scheme)
        browser.size(size)
        assert browser.violations() == [], f"{scheme}, {size}"
    browser.photograph_all(name)


@pytest.mark.parametrize("width", [320, 600, 2560])
def test_nothing_sticks_out(browser: Browser, width: int) -> None:
    for address in SCREENS.values():
        browser.size((width, 800))
        browser.go(address)
        browser.fits(address)


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_what_is_tapped_is_large_enough(browser: Browser, size: tuple[int, int]) -> None:
    """24 CSS pixels either way, links in sentences too (WCAG 2.2, 2.5.8)."""
    script = """
        const tapped = document.querySelectorAll("a:not(.skip), button, input, select, summary");
        return [...tapped].map((each) => each.closest("label") ?? each)
          .filter((each) => each.getClientRects().length)
          .map((each) => [each, each.getBoundingClientRect()])
          .filter(([, { width, height }]) => width < 24 || height < 24)
          .map(([each]) => each.outerHTML);
    """
    browser.size(size)
    for address in SCREENS.values():
        browser.go(address)
        assert browser.run(script) == [], address


def test_letters_twice_as_large_push_nothing_out(browser: Browser) -> None:
    """On a phone, too (WCAG 2.2, 1.4.4)."""
    browser.size(PHONE)
    for address in SCREENS.values():
        browser.go(address)
        browser.run(
            "const {style} = document.documentElement;"
            "style.fontSize = `${2 * parseFloat(getComputedStyle(document.documentElement).fontSize)}px`"
        )
        wide = "return document.documentElement.scrollWidth <= innerWidth"
        browser.until(partial(browser.run, wide), f"{address} in large letters", LAID_OUT_S)


def test_the_first_view_is_small(browser: Browser) -> None:
    """Below 300 kB with everything that it loads, as they come from the server."""
    browser.cdp("Network.enable")
    browser.cdp("Network.setCacheDisabled", cacheDisabled=True)
    browser.go("/")
    browser.cdp("Network.setCacheDisabled", cacheDisabled=False)
    script = "return performance.getEntries().map((each) => each.transferSize || 0)"
    size = sum(browser.run(script))
    assert 10_000 < size < 300_000


def test_the_skip_link_comes_first_and_skips(browser: Browser) -> None:
    browser.go("/")
    body = browser.one("body")
    body.send_keys(Keys.TAB)
    assert browser.run("return document.activeElement.className") == "skip"
    browser.run("return document.activeElement").send_keys(Keys.ENTER)
    browser.until(lambda: browser.run("return document.activeElement.id") == "main", "the main part")


def test_every_link_and_button_is_reached_by_keyboard(browser: Browser) -> None:
    browser.go("/")
    wanted = len(browser.all("a, button, input[type=radio]:checked"))
    seen = set()
    for _ in range(wanted + 2):
        browser.run("return document.activeElement || document.body").send_keys(Keys.TAB)
        seen.add(browser.run("return document.activeElement.outerHTML"))
    assert len(seen) >= wanted


def test_units_are_remembered(browser: Browser) -> None:
    browser.go("/about")
    browser.run("document.querySelector('input[value=imperial]').click()")
    browser.go("/photo")
    assert browser.run("return document.body.dataset.units") == "imperial"
    browser.run("document.querySelector('input[value=metric]').click()")
    browser.go("/photo")
    assert browser.run("return document.body.dataset.units") == "metric"


@by_chromium
def test_nothing_left_the_machine(browser: Browser) -> None:
    for address in SCREENS.values():
        browser.go(address)
    assert browser.left_the_machine() == set()
    assert len(browser.asked) > 5


@by_chromium
def test_the_check_sees_what_leaves(browser: Browser) -> None:
    # A check that cannot fail checks nothing: this goes to a port of this machine where nobody listens.
    with pytest.raises(WebDriverException, match="REFUSED"):
        browser.driver.get(NOBODY)
    browser.until(lambda: browser.left_the_machine() == {NOBODY}, "it to be noted")
    browser.asked.clear()


@by_chromium
def test_the_policy_stops_what_would_leave(browser: Browser) -> None:
    browser.go("/")
    script = "const done = arguments[1]; fetch(arguments[0]).then(() => done(''), (e) => done(`${e}`))"
    assert "Failed to fetch" in browser.driver.execute_async_script(script, NOBODY)
    forbidden = "Content Security Policy"
    browser.until(lambda: forbidden in "".join(browser.complaints()), "the browser's complaint")
    browser.until(lambda: browser.left_the_machine() == set(), "it to be known as stopped")
