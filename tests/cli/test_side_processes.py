"""A Ctrl-C is for the process that began others, from their first moment on."""

import signal
import subprocess
import sys

import pytest

from whirlwise.cli.side_processes import deaf_to_ctrl_c

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals as POSIX has them")
#: It tells that it has begun, and ends when its input does.
CHILD = "import sys; print('here', flush=True); sys.stdin.read(); print('done', flush=True)"


def test_what_is_started_within_hears_none() -> None:
    with deaf_to_ctrl_c():
        child = subprocess.Popen(
            [sys.executable, "-c", CHILD], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
    # Before it can have said by itself that it does not want to hear it.
    child.send_signal(signal.SIGINT)
    said, _ = child.communicate("", timeout=300)
    assert (child.returncode, said.split()) == (0, ["here", "done"])


def test_who_starts_it_hears_it_afterwards() -> None:
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ())
    with deaf_to_ctrl_c():
        assert signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, ())
    assert signal.pthread_sigmask(signal.SIG_BLOCK, ()) == before
