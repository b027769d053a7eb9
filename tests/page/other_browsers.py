"""Browsers that the page's tests can be run in besides Chromium: ``WHIRLWISE_BROWSER=webkit`` or ``firefox``.

WebKit is the nearest thing to a phone's Safari that Debian has (``webkit2gtk-driver``; it wants a display,
such as ``xvfb-run`` gives). What the tests ask of Chromium by its own protocol is asked here by what all
drivers know. What those don't know is left out: touch emulation, light and dark, and which addresses were
asked for.
"""

import shutil
import warnings
from pathlib import Path
from typing import Any

from selenium import webdriver
from selenium.webdriver.firefox.service import Service as FirefoxService
from selenium.webdriver.remote.command import Command
from selenium.webdriver.remote.webdriver import WebDriver
from selenium.webdriver.webkitgtk.options import Options as WebKitOptions
from selenium.webdriver.webkitgtk.service import Service as WebKitService

Json = dict[str, Any]
MINI_BROWSERS = "webkit2gtk-*/MiniBrowser"
LIBRARIES = Path("/usr/lib")


def opened(name: str) -> WebDriver:
    """Open a browser by its name."""
    with warnings.catch_warnings():
        # The library calls its own functions in a way that it warns of.
        warnings.simplefilter("ignore", DeprecationWarning)
        return {"webkit": _webkit, "firefox": _firefox}[name]()


def _webkit() -> WebDriver:
    options = WebKitOptions()
    options.binary_location = str(max(LIBRARIES.glob(f"*/{MINI_BROWSERS}")))
    options.add_argument("--automation")
    return webdriver.WebKitGTK(options=options, service=WebKitService(_found("WebKitWebDriver")))


def _firefox() -> WebDriver:
    options = webdriver.FirefoxOptions()
    options.add_argument("-headless")
    options.binary_location = _found("firefox-esr")
    return webdriver.Firefox(options=options, service=FirefoxService(_found("geckodriver")))


def _found(program: str) -> str:
    path = shutil.which(program)
    if path is None:
        raise FileNotFoundError(f"{program} is not installed")
    return path


def told(driver: WebDriver, command: str, arguments: Json) -> Json:
    """Do what a command of Chromium's protocol would do, as far as WebDriver can."""
    match command:
        case "Emulation.setDeviceMetricsOverride":
            _resize(driver, arguments["width"], arguments["height"])
        case "Input.dispatchMouseEvent":
            _mouse(driver, **arguments)
        case "Input.dispatchTouchEvent":
            _touch(driver, arguments["type"], arguments["touchPoints"])
        case "Page.captureScreenshot":
            return {"data": driver.get_screenshot_as_base64()}
    return {}


def _resize(driver: WebDriver, width: int, height: int) -> None:
    """Give the page so much room; a window may be no narrower than its own buttons."""
    driver.set_window_size(width, height)
    inner = driver.execute_script("return [innerWidth, innerHeight]")
    driver.set_window_size(width, 2 * height - inner[1])


def _mouse(driver: WebDriver, *, type: str, x: float, y: float, **_more: object) -> None:
    """Move the mouse, and press or release it there."""
    _act(driver, "mouse", {"mouse": [_moved(x, y), *_pressed(type)]})


#: How many fingers lie on the glass of each browser.
_fingers: dict[str, int] = {}


def _touch(driver: WebDriver, type: str, points: list[dict[str, float]]) -> None:
    """Move fingers, and lay them down or lift them all."""
    session = str(driver.session_id)
    moves = [[_moved(point["x"], point["y"])] for point in points] or [[]] * _fingers.get(session, 0)
    _fingers[session] = len(points)
    _act(driver, "touch", {f"finger{k}": [*move, *_pressed(type)] for k, move in enumerate(moves)})


def _moved(x: float, y: float) -> Json:
    return {"type": "pointerMove", "duration": 10, "x": round(x), "y": round(y), "origin": "viewport"}


def _pressed(type: str) -> list[Json]:
    """What becomes of the button, or of the finger, in an event of Chromium's protocol."""
    kinds = {"mousePressed": "Down", "touchStart": "Down", "mouseReleased": "Up", "touchEnd": "Up"}
    return [{"type": f"pointer{kinds[type]}", "button": 0}] if type in kinds else []


def _act(driver: WebDriver, kind: str, steps: dict[str, list[Json]]) -> None:
    sources = [
        {"type": "pointer", "id": name, "parameters": {"pointerType": kind}, "actions": actions}
        for name, actions in steps.items()
    ]
    driver.execute(Command.W3C_ACTIONS, {"actions": sources})
