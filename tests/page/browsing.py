"""A real browser before the real page, each in a process of its own.

A test module imports the fixtures ``served``, ``browser`` and ``at_first``, and names the last one in its
``pytestmark``. No test builds on what another one left behind.

The browser is Debian's Chromium. Where it is not installed the tests that need it are skipped, except in CI.
Every address that it asks for is noted, so that a test can tell whether anything left the machine.
Other browsers stand in ``other_browsers.py``.
"""

import base64
import json
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar
from urllib.parse import urlsplit

import pytest
from selenium import webdriver
from selenium.common.exceptions import (
    InvalidSessionIdException,
    NoSuchWindowException,
    WebDriverException,
)
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webdriver import WebDriver
from selenium.webdriver.remote.webelement import WebElement
from tests.page import other_browsers

T = TypeVar("T")

HERE = Path(__file__).parent
AXE = HERE / "node_modules" / "axe-core" / "axe.min.js"
#: Screenshots of every screen, for people to look at.
SEEN = HERE / "seen"
SWITCHES = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--mute-audio",
    "--hide-scrollbars",
    # There is no network but this machine.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
)
#: Empty: Chromium.
OTHER = os.environ.get("WHIRLWISE_BROWSER", "")
PHONE, DESK = (360, 740), (1280, 860)
#: A machine that does other things besides takes this long for a picture, a clip, or to draw a page.
LONGEST_S = 300.0
#: What is laid out anew lies where it belongs after this long.
LAID_OUT_S = 30.0
#: A process that is told to end has ended after this long.
LONGEST_END_S = 120
#: For tests that ask what only Chromium tells or does: addresses that are asked for, fingers, light and dark.
by_chromium = pytest.mark.skipif(bool(OTHER), reason="other browsers have no command for it")
#: What the guidelines ask: WCAG 2.0 to 2.2, levels A and AA.
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def needed(path: str | None, what: str) -> str:
    """Give the path of something installed; skip the test without it, but fail in CI."""
    if path is None or not Path(path).exists():
        if os.environ.get("CI"):
            pytest.fail(f"{what} is not installed")
        pytest.skip(f"{what} is not installed")
    return path


@dataclass
class Served:
    """The page, served by a process of its own."""

    entrance: str
    folder: Path
    process: subprocess.Popen[str]

    @property
    def address(self) -> str:
        parts = urlsplit(self.entrance)
        return f"{parts.scheme}://{parts.netloc}"


@contextmanager
def page_served(folder: Path, *options: str) -> Iterator[Served]:
    """Run ``whirlwise page`` as a person would."""
    run = "from whirlwise.cli.app import main; main()"
    command = [sys.executable, "-c", run, "page", "--no-browser", "--folder", str(folder), *options]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, bufsize=1) as process:
        try:
            assert process.stdout is not None
            for line in process.stdout:
                if found := re.search(r"http://127\S+", line):
                    yield Served(found[0], folder, process)
                    break
            else:
                raise AssertionError("the page did not say where it is")
        finally:
            process.terminate()
            process.wait(LONGEST_END_S)


def chromium(profile: Path) -> webdriver.Chrome:
    """Open Chromium, noting what it asks for and what it complains of."""
    options = webdriver.ChromeOptions()
    options.binary_location = needed(shutil.which("chromium"), "chromium")
    for switch in (*SWITCHES, f"--user-data-dir={profile}"):
        options.add_argument(switch)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
    driver = needed(shutil.which("chromedriver"), "chromium-driver")
    return webdriver.Chrome(options=options, service=Service(driver))


class Browser:
    """A browser before one page."""

    def __init__(self, served: Served, profile: Path) -> None:
        self.driver: WebDriver = other_browsers.opened(OTHER) if OTHER else chromium(profile)
        self.driver.set_script_timeout(LONGEST_S)
        self.served = served
        self.asked: dict[str, str] = {}
        self.size(DESK)
        self._come_in()
        self.first_tab = self.driver.current_window_handle

    def _come_in(self) -> None:
        """Follow a link as a mail shows it: foreign to the page, so that strict cookies are held back."""
        self.driver.get(f"data:text/html,<a href='{self.served.entrance}'>come in</a>")
        self.run("document.querySelector('a').click()")
        self.one(".welcome")

    def begin_anew(self) -> None:
        """Be at the beginning, at a desk, in one tab, whatever was done or went wrong before."""
        for tab in self.driver.window_handles:
            if tab != self.first_tab:
                self.driver.switch_to.window(tab)
                self.driver.close()
        self.driver.switch_to.window(self.first_tab)
        self.driver.delete_cookie("whirlwise-units")
        self.size(DESK)
        self.colours("light")
        self.go("/")
        self.complaints()

    def close(self) -> None:
        self.driver.quit()

    def go(self, path: str) -> None:
        self.driver.get(self.served.address + path)

    def size(self, size: tuple[int, int], *, touch: bool = False) -> None:
        """Be a screen of some size in CSS pixels."""
        width, height = size
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": touch}
        self.cdp("Emulation.setDeviceMetricsOverride", **metrics)
        self.cdp("Emulation.setTouchEmulationEnabled", enabled=touch, maxTouchPoints=5 if touch else 1)

    def colours(self, scheme: str, *, calm: bool = False) -> None:
        """Prefer light or dark, and things that stand still."""
        features = [
            {"name": "prefers-color-scheme", "value": scheme},
            {"name": "prefers-reduced-motion", "value": "reduce" if calm else "no-preference"},
        ]
        self.cdp("Emulation.setEmulatedMedia", features=features)

    def cdp(self, command: str, **arguments: Any) -> Any:
        """Tell the browser something by Chromium's own protocol, or another one as much of it as it knows."""
        if isinstance(self.driver, webdriver.Chrome):
            return self.driver.execute_cdp_cmd(command, arguments)
        return other_browsers.told(self.driver, command, arguments)

    def run(self, script: str, *arguments: Any) -> Any:
        return self.driver.execute_script(script, *arguments)

    def one(self, css: str) -> WebElement:
        """Wait for an element that is shown."""
        return self.until(lambda: self._shown(css), css)

    def all(self, css: str) -> list[WebElement]:
        return self.driver.find_elements(By.CSS_SELECTOR, css)

    def count(self, css: str) -> int:
        """How many elements are shown."""
        return sum(each.is_displayed() for each in self.all(css))

    def text(self, css: str) -> str:
        """What the first element says that is shown; waits for it."""
        return self.until(lambda: [each.text for each in [self._shown(css)] if each], css)[0]

    def says(self, words: str, css: str = "main") -> None:
        """Wait until an element says some words."""
        self.until(lambda: any(words in each.text for each in self.all(css)), words)

    def click(self, css: str, words: str = "") -> None:
        """Click the first element that is shown and says some words, as soon as it can be clicked."""

        def clicked() -> bool:
            found = self._shown(css, words)
            if found is not None:
                found.click()
            return found is not None

        self.until(clicked, f"{css} {words}")

    def _shown(self, css: str, words: str = "") -> WebElement | None:
        return next((each for each in self.all(css) if each.is_displayed() and words in each.text), None)

    def until(self, found: Callable[[], T | None], what: str, longest_s: float = LONGEST_S) -> T:
        """Wait until something is true and give it."""
        end_s = time.monotonic() + longest_s
        passing: Exception | None = None
        while time.monotonic() < end_s:
            try:
                if got := found():
                    return got
            except (InvalidSessionIdException, NoSuchWindowException):
                raise
            except WebDriverException as problem:
                # What was looked for is not there yet, or no longer, or the page is just being left.
                passing = problem
            time.sleep(0.05)
        told = [each.text for each in self.all("main")]
        raise AssertionError(f"waited in vain for {what}; the page says: {told}") from passing

    def photograph(self, name: str) -> None:
        """Keep a screenshot of the whole page."""
        SEEN.mkdir(exist_ok=True)
        shot = self.cdp("Page.captureScreenshot", captureBeyondViewport=True, format="png")
        (SEEN / f"{name}.png").write_bytes(base64.b64decode(shot["data"]))

    def photograph_all(self, name: str) -> None:
        """Keep screenshots as phone and desk, light and dark, and see that nothing sticks out sideways."""
        for width, size in (("phone", PHONE), ("desk", DESK)):
            self.size(size, touch=width == "phone")
            for scheme in ("light", "dark"):
                self.colours(scheme)
                # So that what moves into its place is there; nothing is tested by it.
                time.sleep(0.15)
                self.photograph(f"{name}-{width}-{scheme}")
            self.fits(f"{name} at {width} width")
        self.size(DESK)
        self.colours("light")

    def fits(self, name: str) -> None:
        """See that the page is no wider than the screen, and no table wider than its place."""
        script = (
            "const tables = [...document.querySelectorAll('.scrolled, .numbers')];"
            "return document.documentElement.scrollWidth <= innerWidth &&"
            " tables.every((each) => each.scrollWidth <= each.clientWidth)"
        )
        self.until(lambda: self.run(script), f"{name} not to stick out", LAID_OUT_S)

    def violations(self) -> list[str]:
        """What axe finds fault with."""
        axe = Path(needed(str(AXE), "axe-core (npm install, in tests/page)"))
        self.run(axe.read_text(encoding="utf-8"))
        script = "const done = arguments[1]; axe.run(document, {runOnly: arguments[0]}).then(done)"
        told = self.driver.execute_async_script(script, RULES)
        return [
            f"{found['id']}: {found['help']}: {node['html'][:160]}"
            for found in told["violations"]
            for node in found["nodes"]
        ]

    def note_requests(self) -> None:
        """Note the addresses that were asked since this was done last."""
        for entry in self._log("performance"):
            message = json.loads(entry["message"])["message"]
            about = message["params"]
            if message["method"] == "Network.requestWillBeSent":
                self.asked[about["requestId"]] = about["request"]["url"]
            elif message["method"] == "Network.loadingFailed" and about.get("blockedReason") == "csp":
                # Wanted by the page, and stopped within the browser.
                self.asked.pop(about["requestId"], None)

    def left_the_machine(self) -> set[str]:
        """Addresses that are not the page's own."""
        self.note_requests()
        own = (self.served.address + "/", f"blob:{self.served.address}/", "data:", "chrome:", "about:")
        return {address for address in self.asked.values() if not address.startswith(own)}

    def complaints(self) -> list[str]:
        """Errors on the browser's console, such as what the content security policy forbade."""
        return [e["message"] for e in self._log("browser") if e["level"] == "SEVERE"]

    def _log(self, kind: str) -> list[dict[str, str]]:
        if not isinstance(self.driver, webdriver.Chrome):
            return []
        # The library tells no types here.
        entries: list[dict[str, str]] = self.driver.get_log(kind)  # type: ignore[no-untyped-call]
        return entries


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A page with an empty folder, for all tests of a module."""
    with page_served(tmp_path_factory.mktemp("kept")) as page:
        yield page


@pytest.fixture(scope="module")
def browser(served: Served, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """A browser before it, for all tests of a module."""
    opened = Browser(served, tmp_path_factory.mktemp("profile"))
    yield opened
    opened.close()


@pytest.fixture
def at_first(browser: Browser) -> None:
    """Each test begins where the first one began."""
    browser.begin_anew()
