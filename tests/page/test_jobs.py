"""The queue: what waits, works, is stopped, dies or fails."""

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.page.conftest import TASKS

from whirlwise.cli.page.jobs import Job, Jobs
from whirlwise.cli.page.state import State

LONGEST_S = 300.0


@pytest.fixture
def jobs() -> Iterator[Jobs]:
    made = Jobs(TASKS, lanes=1)
    made.open()
    yield made
    made.close()


def wait_for(jobs: Jobs, job: Job, state: str | None = None) -> Job:
    end_s = time.monotonic() + LONGEST_S
    while time.monotonic() < end_s:
        now = jobs.look(job.id)
        assert now is not None
        if now.state == state if state else now.ended:
            return now
        time.sleep(0.01)
    raise AssertionError(f"{job.kind} did not come to {state or 'an end'}")


def test_a_job_gives_what_its_task_gave(jobs: Jobs) -> None:
    done = wait_for(jobs, jobs.begin("echo", {"say": [1, "two", None]}))
    assert (done.state, done.outcome, done.share) == ("done", {"said": [1, "two", None]}, 1.0)


def test_a_worker_keeps_to_one_thread_of_linear_algebra(jobs: Jobs) -> None:
    outcome = wait_for(jobs, jobs.begin("process", {})).outcome
    assert outcome is not None
    assert outcome["threads"] == "1"


def test_progress_is_told(jobs: Jobs) -> None:
    job = jobs.begin("slow", {})
    end_s = time.monotonic() + LONGEST_S
    shares: set[float] = set()
    while len(shares) < 4 and time.monotonic() < end_s:
        now = jobs.look(job.id)
        assert now is not None
        if now.what == "counting":
            shares.add(now.share)
        time.sleep(0.02)
    assert len(shares) == 4
    jobs.stop(job.id)


@pytest.mark.parametrize(("kind", "killed"), [("slow", False), ("deaf", True)])
def test_a_stopped_job_ends_at_once_and_the_next_one_runs(jobs: Jobs, kind: str, killed: bool) -> None:
    first = wait_for(jobs, jobs.begin("process", {})).outcome
    slow, after = jobs.begin(kind, {}), jobs.begin("process", {})
    wait_for(jobs, slow, "working")
    jobs.stop(slow.id)
    assert wait_for(jobs, slow).state == "stopped"
    second = wait_for(jobs, after).outcome
    # Another process does it only if the first one did not listen: it may remember something.
    assert first is not None
    assert second is not None
    assert (first["process"] != second["process"]) is killed


def test_a_job_goes_to_the_worker_that_knows_its_picture() -> None:
    jobs = Jobs(TASKS, lanes=2)
    jobs.open()
    try:
        media = [{"picture": {"file": name}} for name in ("attic.jpg", "barn.jpg")]
        first = [jobs.begin("count", {"media": each}) for each in media]
        worked = {job.id: wait_for(jobs, job).outcome for job in first}
        for k in (1, 1, 0):
            before = worked[first[k].id]
            now = wait_for(jobs, jobs.begin("count", {"media": media[k]})).outcome
            assert before is not None
            assert now is not None
            assert now["process"] == before["process"]
            # One object of the task stays with its worker.
            assert now["counted"] > before["counted"]
    finally:
        jobs.close()


def test_a_job_stopped_while_it_waits_never_runs(jobs: Jobs) -> None:
    slow, waiting = jobs.begin("slow", {}), jobs.begin("echo", {"say": 1})
    wait_for(jobs, slow, "working")
    assert jobs.ahead_of(waiting) == 0
    jobs.stop(waiting.id)
    jobs.stop(slow.id)
    after = wait_for(jobs, jobs.begin("echo", {"say": 2}))
    assert after.state == "done"
    stopped = jobs.look(waiting.id)
    assert stopped is not None
    assert (stopped.state, stopped.outcome) == ("stopped", None)


def test_a_worker_that_dies_is_reported_and_replaced(jobs: Jobs) -> None:
    dead = wait_for(jobs, jobs.begin("break_off", {}))
    assert (dead.state, dead.why) == ("failed", "died")
    assert wait_for(jobs, jobs.begin("echo", {"say": 3})).state == "done"


def test_expected_trouble_is_told_in_its_own_words(jobs: Jobs) -> None:
    failed = wait_for(jobs, jobs.begin("refuse", {}))
    assert (failed.state, failed.sentence) == ("failed", "This is empty. Copy it again.")


@pytest.mark.parametrize("kind", ["fault", "misread"])
def test_a_fault_is_no_traceback_for_the_person(jobs: Jobs, kind: str) -> None:
    failed = wait_for(jobs, jobs.begin(kind, {}))
    assert (failed.state, failed.why, failed.sentence) == ("failed", "fault", "")
    # The same worker goes on.
    assert wait_for(jobs, jobs.begin("echo", {"say": 4})).state == "done"


def test_twenty_at_once_are_done_in_their_order(jobs: Jobs) -> None:
    begun = [jobs.begin("echo", {"say": k}) for k in range(20)]
    outcomes = [wait_for(jobs, job).outcome for job in begun]
    assert outcomes == [{"said": k} for k in range(20)]


def test_no_worker_outlives_the_page() -> None:
    jobs = Jobs(TASKS, lanes=1)
    jobs.open()
    found = wait_for(jobs, jobs.begin("process", {})).outcome
    assert found is not None
    jobs.begin("slow", {})
    jobs.close()
    with pytest.raises(ProcessLookupError):
        os.kill(found["process"], 0)


def test_the_browser_follows_and_stops_a_job(browser: TestClient, state: State, tmp_path: Path) -> None:
    job = browser.post("/jobs", json={"kind": "slow"}).json()
    job = browser.get(f"/jobs/{job['id']}?after={job['version']}").json()
    while job["what"] != "counting":
        job = browser.get(f"/jobs/{job['id']}?after={job['version']}").json()
    assert job["state"] == "working"
    assert browser.post(f"/jobs/{job['id']}/stop").json()["state"] == "stopped"
    dead = browser.post("/jobs", json={"kind": "break_off"}).json()
    while dead["state"] in ("waiting", "working"):
        dead = browser.get(f"/jobs/{dead['id']}?after={dead['version']}").json()
    assert dead["sentence"] == state.words("job.died")


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"not json",
        b'{"kind": "no such"}',
        b'{"kind": "echo", "media": {"picture": "../../etc/passwd"}}',
        b'{"kind": "echo", "media": 7}',
        b" " * 2_000_000,
    ],
)
def test_an_order_that_cannot_be_meant_is_refused(browser: TestClient, body: bytes) -> None:
    answer = browser.post("/jobs", content=body)
    assert answer.status_code == 400
    assert answer.json()["sentence"]


def test_an_unknown_job_is_said_to_be_unknown(browser: TestClient) -> None:
    assert browser.get("/jobs/0123456789abcdef").status_code == 404
    assert browser.post("/jobs/0123456789abcdef/stop").status_code == 404
