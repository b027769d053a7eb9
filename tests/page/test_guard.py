"""Who is let in, and what an answer allows the browser to do."""

import re

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import ADDRESS, PHONE

from whirlwise.cli.page.keys import KEY_LASTS_S, SESSION_LASTS_S, Keys
from whirlwise.cli.page.state import State


def test_without_a_key_nothing_is_served(stranger: TestClient) -> None:
    for address in ("/", "/static/page.css", "/photo", "/phone", "/no-such-thing"):
        assert stranger.get(address).status_code == 403
    assert stranger.post("/uploads", headers={"Origin": ADDRESS}).status_code == 403


def test_who_is_not_let_in_reads_why(stranger: TestClient, state: State) -> None:
    """In letters of the phone's own size, and with nothing of the page in it."""
    told = stranger.get("/")
    assert state.words("guard.key").replace("'", "&#x27;") in told.text
    assert '<meta name="viewport" content="width=device-width, initial-scale=1">' in told.text
    assert not re.search(r"src=|href=|<script", told.text)


def test_a_key_opens_once(stranger: TestClient, state: State) -> None:
    key = state.keys.new_key()
    entered = stranger.get(f"/enter/{key}")
    assert entered.status_code == 200
    assert 'http-equiv="refresh" content="0; url=/"' in entered.text
    cookie = entered.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert stranger.get("/").status_code == 200
    stranger.cookies.clear()
    assert stranger.get(f"/enter/{key}").status_code == 403
    assert stranger.get("/").status_code == 403


def test_who_is_in_already_uses_no_key_up(browser: TestClient, state: State) -> None:
    key = state.keys.new_key()
    assert browser.get(f"/enter/{key}").status_code == 303
    assert state.keys.is_waiting(key)


def test_keys_and_sessions_end() -> None:
    now_s = 0.0
    keys = Keys(lambda: now_s)
    early, late = keys.new_key(), keys.new_key()
    now_s = KEY_LASTS_S - 1
    session = keys.open_session(early)
    assert session is not None
    now_s = KEY_LASTS_S + 1
    assert keys.open_session(late) is None
    # A session lasts on while it is used.
    now_s += SESSION_LASTS_S - 10
    assert keys.knows(session)
    now_s += SESSION_LASTS_S - 10
    assert keys.knows(session)
    now_s += SESSION_LASTS_S + 10
    assert not keys.knows(session)


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "192.168.1.20:8765", ""])
def test_another_name_for_this_computer_is_turned_away(browser: TestClient, host: str) -> None:
    """DNS rebinding: the browser asks this computer in the name of a foreign site."""
    assert browser.get("/", headers={"Host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": ""},
        {"Origin": f"http://{PHONE}"},
        {"Origin": ADDRESS, "Sec-Fetch-Site": "cross-site"},
        {"Origin": ADDRESS, "Sec-Fetch-Site": "same-site"},
    ],
)
def test_what_another_site_sends_does_nothing(browser: TestClient, headers: dict[str, str]) -> None:
    assert browser.post("/jobs", json={"kind": "echo", "say": 1}, headers=headers).status_code == 403


def test_what_the_page_sends_is_done(browser: TestClient) -> None:
    headers = {"Sec-Fetch-Site": "same-origin"}
    assert browser.post("/jobs", json={"kind": "echo", "say": 1}, headers=headers).status_code == 202


@pytest.mark.parametrize("address", ["/", "/static/page.css", "/no-such-thing", "/enter/wrong"])
def test_every_answer_binds_the_browser(browser: TestClient, address: str) -> None:
    headers = browser.get(address).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    # Nothing is loaded from elsewhere, nothing inline is run.
    assert not re.search(r"https?:|\*|unsafe|data:", policy)
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"


def test_the_code_to_scan_holds_a_key_that_works(browser: TestClient) -> None:
    page = browser.get("/phone").text
    address = re.search(rf"http://{re.escape(PHONE)}(/enter/[\w-]+)", page)
    assert address is not None
    assert "<svg" in page
    browser.cookies.clear()
    assert browser.get(address[1], headers={"Host": PHONE}).status_code == 200
