"""Take the pictures of the page that README shows: ``python -m tests.page.readme_pictures``.

The sample picture and clip are measured as they are; look at what comes out, in ``cli/guide/pictures``.
"""

import base64
import io
import tempfile
from pathlib import Path

from PIL import Image
from tests.page.browsing import LONGEST_S, Browser, page_served

import whirlwise.cli.guide
import whirlwise.sample_media

SAMPLES = Path(whirlwise.sample_media.__file__).parent
PICTURES = Path(whirlwise.cli.guide.__file__).parent / "pictures"
DESK, PHONE = (1240, 790), (360, 740)
#: The clip stands here, in s.
MOMENT_S = 4.2


def take(browser: Browser, name: str) -> None:
    """Keep what is seen of the page."""
    shot = base64.b64decode(browser.cdp("Page.captureScreenshot", format="png")["data"])
    with Image.open(io.BytesIO(shot)) as picture:
        picture.convert("RGB").save(PICTURES / f"{name}.webp", quality=82, method=6)


def measured(browser: Browser, screen: str, file: str) -> None:
    """Send a file and wait for its answer."""
    browser.go(screen)
    browser.all("input.file")[0].send_keys(str(SAMPLES / file))
    browser.until(lambda: browser.all(".says") and not browser.all(".busy"), "the answer", LONGEST_S)


def main() -> None:
    """Take all of them."""
    with tempfile.TemporaryDirectory() as folder, page_served(Path(folder) / "kept") as served:
        browser = Browser(served, Path(folder) / "profile")
        browser.colours("light", calm=True)
        browser.size(DESK)
        measured(browser, "/photo", "old_wheel.jpg")
        take(browser, "page-photo")
        browser.size(PHONE, touch=True)
        browser.driver.refresh()
        browser.one(".says")
        take(browser, "page-phone")
        browser.size(DESK)
        measured(browser, "/clip", "old_wheel_at_work.mp4")
        browser.until(
            lambda: browser.run("return document.querySelector('video').readyState >= 2"), "the clip"
        )
        browser.run("document.querySelector('video').currentTime = arguments[0]", MOMENT_S)
        browser.says(f"{MOMENT_S} of", "#clock")
        take(browser, "page-clip")
        browser.close()


if __name__ == "__main__":
    main()
