"""A page with a folder of its own, asked as a browser would ask."""

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from whirlwise.cli.page.app import page_app
from whirlwise.cli.page.jobs import Jobs
from whirlwise.cli.page.keys import Keys
from whirlwise.cli.page.media import Media
from whirlwise.cli.page.state import State
from whirlwise.cli.page.words import words

HOST = "127.0.0.1:8765"
ADDRESS = f"http://{HOST}"
PHONE = "192.168.1.20:8766"
ROOT = Path(__file__).parents[2]

# Workers are started afresh and import the tasks below by name.
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))
TASKS = {
    name: f"tests.page.tasks_for_tests:{name}"
    for name in ("echo", "slow", "deaf", "refuse", "misread", "break_off", "fault", "process")
}
TASKS["count"] = "tests.page.tasks_for_tests:Count"


def page_state(folder: Path, lanes: int = 1) -> State:
    return State(
        folder=folder,
        media=Media(folder),
        jobs=Jobs(TASKS, lanes=lanes),
        keys=Keys(),
        words=words(),
        phone_address=PHONE,
    )


@pytest.fixture
def state(tmp_path: Path) -> State:
    return page_state(tmp_path / "kept")


@pytest.fixture
def stranger(state: State) -> Iterator[TestClient]:
    """Somebody without a key."""
    app = page_app(state, hosts={HOST, PHONE}, cookie="session")
    with TestClient(app, base_url=ADDRESS, follow_redirects=False) as client:
        yield client


@pytest.fixture
def browser(stranger: TestClient, state: State) -> TestClient:
    """The page's own browser, let in by a key; it says where what it sends comes from."""
    stranger.headers["Origin"] = ADDRESS
    assert stranger.get(f"/enter/{state.keys.new_key()}").status_code == 200
    return stranger
