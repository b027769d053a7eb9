"""Further journeys in a real browser: one's own treadling, reckoning by keyboard alone, wheels in two tabs.

One clip is measured once; the wheels are kept with readings that nothing need be measured for.
"""

from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pytest
from selenium.webdriver.common.keys import Keys
from tests.page.browsing import DESK, PHONE, Browser, Served, by_chromium
from tests.page.browsing import at_first as at_first
from tests.page.browsing import browser as browser
from tests.page.browsing import served as served
from tests.page.kept_wheels import kept_wheel, measured

from whirlwise import sample_media
from whirlwise.cli.page.wheels import Wheel

pytestmark = pytest.mark.usefixtures("at_first")
CLIP = Path(str(resources.files(sample_media))) / "old_wheel_at_work.mp4"


def looked_at(browser: Browser, name: str) -> None:
    """No fault by axe as phone and desk, light and dark; photographed."""
    for scheme, size in (("light", PHONE), ("dark", DESK)):
        browser.colours(scheme)
        browser.size(size)
        assert browser.violations() == [], f"{name}: {scheme}, {size}"
    browser.photograph_all(name)


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


def cells(browser: Browser) -> list[str]:
    """Twist and what follows from it, a row for each whirl."""
    script = (
        "return [...document.querySelectorAll('section[data-part=\"1\"] tbody td')].map((e) => e.innerText)"
    )
    told: list[str] = browser.run(script)
    return told


def twists(browser: Browser, per: float) -> None:
    """Wait until the last whirl's twist is told: ratio times cadence over drafting speed."""

    def told() -> bool:
        found = cells(browser)
        return len(found) > 6 and float(found[6].split()[0]) == pytest.approx(per, abs=0.02)

    browser.until(told, f"a twist of {per:.2f}")


def type_into(browser: Browser, name: str, text: str) -> None:
    field = browser.one(f"input[name={name}]")
    field.send_keys(Keys.CONTROL, "a")
    field.send_keys(text)


def choose_units(browser: Browser, units: str) -> None:
    browser.run("document.querySelector(`input[value=${arguments[0]}]`).click()", units)


def value(browser: Browser, name: str) -> str:
    return str(browser.run("return document.querySelector(`input[name=${arguments[0]}]`).value", name))


def test_reckoning_by_keyboard_alone(browser: Browser) -> None:
    browser.go("/reckon")
    twists(browser, 12.5 * 60 / 250)
    browser.until(lambda: len(browser.all(".drawn svg title")) == 2, "the drawings")
    tab_to(browser, lambda: focused(browser, "dataset?.of") == "cadence")
    pressed(browser, Keys.ARROW_RIGHT)
    browser.until(lambda: value(browser, "cadence") == "61", "the field to follow the slider")
    twists(browser, 12.5 * 61 / 250)
    looked_at(browser, "reckon")


def test_on_a_phone_the_answer_comes_to_the_slider(browser: Browser) -> None:
    browser.size(PHONE, touch=True)
    browser.go("/reckon")
    twists(browser, 12.5 * 60 / 250)
    assert not browser.count("#brief")
    slider = browser.one("input[data-of=length]")
    slider.send_keys(Keys.ARROW_RIGHT)
    browser.says("410 m of 2-ply take", "#brief")
    assert browser.text("#brief").startswith("Take the whirl")
    script = "const box = arguments[0].getBoundingClientRect(); return [box.top, box.bottom]"
    top, bottom = browser.run(script, browser.one("#brief"))
    assert browser.run(script, slider)[1] < top < bottom < PHONE[1]
    assert browser.violations() == []


def test_a_field_that_is_wrong_is_told_and_loses_nothing(browser: Browser) -> None:
    browser.go("/reckon")
    twists(browser, 12.5 * 60 / 250)
    type_into(browser, "drafting", "quick")
    browser.says("expects a length of yarn", "#trouble .trouble")
    assert cells(browser)
    type_into(browser, "drafting", "254")
    browser.until(lambda: not browser.all("#trouble .trouble"), "the trouble to go")
    twists(browser, 12.5 * 60 / 254)


def test_a_change_of_units_changes_nothing_that_is_meant(browser: Browser) -> None:
    """254 cm are 100 in (an inch is 2.54 cm by definition)."""
    browser.go("/reckon")
    type_into(browser, "drafting", "254")
    choose_units(browser, "imperial")
    browser.until(lambda: float(value(browser, "drafting")) == 100, "inches")
    twists(browser, 12.5 * 60 / 100)
    # The one field whose name means something else to a form, too.
    assert float(value(browser, "length")) == pytest.approx(400 / 0.9144, rel=1e-3)
    assert browser.complaints() == []


def test_of_two_choices_of_units_the_later_one_counts(browser: Browser) -> None:
    """However late the answer to the earlier one comes."""
    browser.go("/reckon")
    type_into(browser, "drafting", "254")
    twists(browser, 12.5 * 60 / 254)
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
        for (const units of ["imperial", "metric"]) document.querySelector(`input[value=${units}]`).click();
    """
    browser.run(script)
    reckoned = "return Number(document.getElementById('contents').dataset.reckoned ?? 0)"
    before = browser.run(reckoned)
    browser.run("window.first()")
    type_into(browser, "cadence", "70")
    browser.until(lambda: browser.run(reckoned) > before, "what is reckoned")
    twists(browser, 12.5 * 70 / 254)
    assert value(browser, "drafting") == "254"
    assert browser.text(".moved .unit") == "cm"


@by_chromium
def test_practice_clicks_in_time_and_stands_still_where_wished(browser: Browser) -> None:
    """Clicks are handed to the sound's clock ahead of time: 180 a minute come a third of a second apart."""
    browser.go("/practice")
    looked_at(browser, "practice")
    browser.colours("light", calm=True)
    script = """
        window.moments = [];
        const start = OscillatorNode.prototype.start;
        OscillatorNode.prototype.start = function (moment) {
          window.moments.push(moment);
          return start.call(this, moment);
        };
        document.querySelector("input[name=cadence]").value = 180;
    """
    browser.run(script)
    browser.click("#practice button")
    browser.until(lambda: browser.run("return moments.length") >= 8, "clicks")
    moments = browser.run("return moments")
    steps = [3 * (moment - moments[0]) for moment in moments]
    # What a busy machine slept through is left out; what is heard is in time.
    assert steps == pytest.approx([round(step) for step in steps], abs=1e-6)
    browser.until(
        lambda: browser.run("return Number(document.getElementById('beat').dataset.beats ?? 0)") >= 2,
        "a beat",
    )
    assert (
        browser.run("return document.querySelector('.beat g g').getAttribute('transform')") == "rotate(0.0)"
    )
    browser.click("#practice button")
    browser.says("Stopped.", "#said")


def test_without_sound_the_beat_is_seen_all_the_same(browser: Browser) -> None:
    """As on a computer without a loudspeaker, where the sound's clock stands still in some browsers."""
    browser.go("/practice")
    browser.run(
        "Object.defineProperty(AudioContext.prototype, 'currentTime', {get: () => 0});"
        "document.querySelector('input[name=cadence]').value = 180;"
    )
    browser.click("#practice button")
    browser.says("Follow the beat by eye", "#said")
    beats = "return Number(document.getElementById('beat').dataset.beats ?? 0)"
    browser.until(lambda: browser.run(beats) >= 4, "beats")
    browser.click("#practice button")
    browser.says("Stopped.", "#said")


def keep_with_a_new_wheel(browser: Browser, medium_id: str, name: str) -> str:
    """Keep a picture's reading from its own screen; gives the wheel's address."""
    browser.go(f"/photo/{medium_id}")
    browser.one("#to-wheel input[name=name]").send_keys(name)
    browser.click("#to-wheel button")
    link = browser.one("#to-wheel .said a")
    browser.says(f"Kept with {name}.", "#to-wheel .said")
    return str(link.get_attribute("href")).removeprefix(browser.served.address)


def test_the_ratios_of_an_unlabelled_wheel_end_in_a_wheel_kept(browser: Browser, served: Served) -> None:
    medium = measured(served.folder, 12.5, "attic.jpg")
    address = keep_with_a_new_wheel(browser, medium.id, "From the attic")
    looked_at(browser, "photo-keep")
    browser.go(address)
    browser.says("photo-1")
    assert "12.5" in browser.text("#says")
    assert browser.one(".drawn svg")
    looked_at(browser, "wheel")


def choose_wheel(browser: Browser, wheel: Wheel) -> None:
    """Choose a wheel that is kept, on a picture's or clip's own screen."""
    chosen = f"#to-wheel option[value='{wheel.id}']"
    browser.until(lambda: browser.all(chosen), "the wheel to choose")
    browser.run("document.querySelector('#to-wheel select').value = arguments[0]", wheel.id)
    browser.run("document.querySelector('#to-wheel select').dispatchEvent(new Event('change'))")


def test_a_head_is_kept_with_its_great_wheel(browser: Browser, served: Served) -> None:
    wheel = kept_wheel(served.folder, "Great wheel", 18.0)
    browser.go(f"/photo/{measured(served.folder, 6.3, 'head.jpg').id}")
    choose_wheel(browser, wheel)
    browser.one("#to-wheel input[name=head]").send_keys("quick")
    browser.click("#to-wheel button")
    browser.says("Kept with Great wheel.", "#to-wheel .said")
    browser.go(f"/wheels/{wheel.id}")
    browser.says("spindle, quick", "#contents")


def rows(browser: Browser) -> list[str]:
    """The readings that count, as the wheel's screen shows them."""
    script = "return [...document.querySelectorAll('#entries tbody th')].map((each) => each.innerText)"
    told: list[str] = browser.run(script)
    return told


def test_two_tabs_lose_nothing(browser: Browser, served: Served) -> None:
    """While one tab shows a wheel, another adds to it; then the first leaves a reading out."""
    wheel = kept_wheel(served.folder, "In two tabs", 12.5)
    browser.go(f"/wheels/{wheel.id}")
    browser.until(lambda: rows(browser) == ["photo-1"], "one reading")
    first = browser.driver.current_window_handle
    browser.driver.switch_to.new_window("tab")
    browser.go(f"/photo/{measured(served.folder, 12.6, 'again.jpg').id}")
    choose_wheel(browser, wheel)
    browser.click("#to-wheel button")
    browser.one("#to-wheel .said a")
    browser.driver.close()
    browser.driver.switch_to.window(first)
    # The list may be shown anew at any moment, so that it is found and pressed in one go.
    browser.run("document.querySelector('#entries tbody button').click()")
    browser.says("photo-1 counts no more.")
    browser.until(lambda: rows(browser) == ["photo-2"], "the other reading")
    browser.click("#undo")
    browser.until(lambda: rows(browser) == ["photo-1", "photo-2"], "both readings")


def test_who_taps_twice_leaves_out_once(browser: Browser, served: Served) -> None:
    wheel = kept_wheel(served.folder, "Tapped twice", 12.5, 12.6)
    browser.go(f"/wheels/{wheel.id}")
    browser.until(lambda: len(rows(browser)) == 2, "both readings")
    browser.run("const out = document.querySelector('#entries tbody button'); out.click(); out.click();")
    browser.says("photo-1 counts no more.")
    browser.run("const undo = document.querySelector('#undo'); undo.click(); undo.click();")
    browser.says("Taken back.")
    browser.until(lambda: len(rows(browser)) == 2, "both readings")
    assert not browser.all("#said .trouble")


@by_chromium
def test_the_report_is_written_and_prints(browser: Browser, served: Served) -> None:
    wheel = kept_wheel(served.folder, "From the attic", 12.5, 12.6)
    browser.go(f"/wheels/{wheel.id}")
    browser.says("photo-2")
    browser.one("#report input[name=cadence]").send_keys("60")
    browser.one("#report input[name=drafting]").send_keys("250")
    browser.click("#report button")
    browser.one("#report-said a")
    browser.complaints()
    browser.go(f"/wheels/{wheel.id}/report")
    assert browser.text("h1") == "From the attic"
    # Its look and pictures are let pass, and nothing else is asked for.
    assert browser.complaints() == []
    assert all(browser.run("return [...document.images].map((each) => each.naturalWidth > 0)"))
    assert len(browser.all(".picture img")) == 2
    ink = "return getComputedStyle(document.body).color"
    in_light = browser.run(ink)
    for scheme, size in (("light", PHONE), ("dark", DESK)):
        browser.colours(scheme)
        browser.size(size)
        assert browser.violations() == []
        browser.fits(f"the report at {size}")
    browser.photograph("wheel-report-desk-dark")
    assert browser.run(ink) != in_light
    # On paper it is light all the same.
    dark = [{"name": "prefers-color-scheme", "value": "dark"}]
    browser.cdp("Emulation.setEmulatedMedia", media="print", features=dark)
    assert browser.run(ink) == in_light
    browser.cdp("Emulation.setEmulatedMedia", media="")
    browser.colours("light")
    printed = browser.cdp("Page.printToPDF")["data"]
    assert len(printed) > 20_000
    browser.photograph("wheel-report-desk-light")


def test_wheels_side_by_side(browser: Browser, served: Served) -> None:
    slow = "A slow one with a long name"
    wheels = [kept_wheel(served.folder, "Quick one", 12.5), kept_wheel(served.folder, slow, 7.0)]
    # What is at work has its look on every screen; what has none is filled with black.
    script = """
        const done = arguments[0];
        import("/static/working.js").then(({ work }) => {
          const place = document.body.appendChild(document.createElement("div"));
          work(place, () => new Promise(() => {}));
          done(getComputedStyle(place.querySelector(".wind")).fill);
        });
    """
    for address in (f"/wheels/{wheels[0].id}", "/wheels"):
        browser.go(address)
        assert browser.driver.execute_async_script(script) == "none"
    browser.go("/wheels")
    for wheel in wheels:
        browser.click(f"input[name=compared][value='{wheel.id}']")
    browser.one("#compare input[name=wish]").send_keys("6-18")
    browser.click("#compare button")
    browser.one("#contents .drawn svg")
    browser.says("Quick one", "#contents tbody th")
    looked_at(browser, "wheels")


def test_a_wheel_is_deleted_and_brought_back(browser: Browser, served: Served) -> None:
    wheel = kept_wheel(served.folder, "Deleted", 12.5)
    browser.go("/wheels")
    before = browser.count(".stable > li")
    browser.run("const d = document.querySelector('.stable .delete'); d.click(); d.click();")
    browser.until(lambda: browser.count(".stable > li") == before - 1, "it to go")
    browser.click("#said button")
    browser.says("is back.")
    browser.until(lambda: browser.count(".stable > li") == before, "it to come back")
    browser.go(f"/wheels/{wheel.id}")
    browser.says("photo-1")


def test_what_was_deleted_comes_back_after_a_look_elsewhere(browser: Browser, served: Served) -> None:
    """Coming back to the tab shows a wheel anew, but not one that was deleted there."""
    wheel = kept_wheel(served.folder, "Nearly gone", 12.5)
    browser.go(f"/wheels/{wheel.id}")
    browser.says("photo-1")
    browser.click("#delete")
    browser.one("#said button")
    script = """
        const [done] = arguments;
        const asked = window.fetch;
        window.fetch = (...order) => { window.again = true; return asked(...order); };
        document.dispatchEvent(new Event("visibilitychange"));
        setTimeout(() => done(window.again ?? false), 0);
    """
    assert browser.driver.execute_async_script(script) is False
    browser.click("#said button")
    browser.says("is back.")
    browser.until(lambda: browser.count("#entries"), "what it rests on")


def test_ones_own_treadling_from_a_clip(browser: Browser) -> None:
    browser.go("/rhythm")
    looked_at(browser, "rhythm-choose")
    browser.all("input.file")[0].send_keys(str(CLIP))
    browser.says("The wheel turned", ".says")
    browser.one("input[name=wished]").send_keys("60")
    browser.click("#known button")
    browser.says("60 a minute that you wished for")
    browser.until(lambda: browser.run("return document.querySelector('video').readyState >= 1"), "the clip")
    cursor = "return document.querySelector('#cadence .cursor').parentNode.getAttribute('transform')"
    before = browser.run(cursor)
    browser.run("document.querySelector('video').currentTime = 5")
    browser.until(lambda: browser.run(cursor) != before, "the cursor to follow the clip")
    looked_at(browser, "rhythm")
    assert browser.complaints() == []
    browser.size(PHONE, touch=True)
    lower_edge = "return document.querySelector('.says p').getBoundingClientRect().bottom + scrollY"
    assert browser.run(lower_edge) < PHONE[1]


@by_chromium
def test_nothing_left_the_machine(browser: Browser, served: Served) -> None:
    for address in ("/reckon", "/practice", "/wheels", f"/wheels/{kept_wheel(served.folder, 'Any', 9.0).id}"):
        browser.go(address)
    browser.says("photo-1")
    assert browser.left_the_machine() == set()
    assert len(browser.asked) > 20
