"""How the page starts and ends, as a process of its own."""

import re
import signal
import socket
import subprocess
import sys
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import HTTPCookieProcessor, Request, build_opener, urlopen

import pytest
from tests.page.browsing import LONGEST_END_S, page_served

from whirlwise.cli.page import serving
from whirlwise.cli.trouble import WrongUsageError

HEAVY = {"cv2", "scipy", "numpy", "PIL", "av", "matplotlib", "uncertainties", "pint"}


def test_it_listens_on_this_computer_alone_and_ends_with_ctrl_c(tmp_path: Path) -> None:
    with page_served(tmp_path / "kept") as served:
        with pytest.raises(HTTPError) as refused:
            urlopen(served.address + "/", timeout=LONGEST_END_S)
        assert refused.value.code == 403
        refused.value.close()
        with pytest.raises(HTTPError) as elsewhere:
            urlopen(Request(served.entrance, headers={"Host": "evil.example"}), timeout=LONGEST_END_S)
        assert elsewhere.value.code == 421
        elsewhere.value.close()
        served.process.send_signal(signal.SIGINT)
        assert served.process.stdout is not None
        said = served.process.stdout.read()
        assert served.process.wait(LONGEST_END_S) == 0
    assert f"The page is closed. What you kept lies in {tmp_path / 'kept'}." in said


def test_a_phone_comes_in_by_its_own_key(tmp_path: Path) -> None:
    try:
        serving.home_address()
    except WrongUsageError as problem:
        pytest.skip(str(problem))
    with page_served(tmp_path / "kept", "--phone") as served:
        assert served.process.stdout is not None
        lines = iter(served.process.stdout.readline, "")
        entrance = next(found[0] for line in lines if (found := re.search(r"http://\S+/enter/\S+", line)))
        assert not entrance.startswith("http://127.")
        with pytest.raises(HTTPError) as refused:
            urlopen(entrance.partition("/enter/")[0] + "/", timeout=LONGEST_END_S)
        assert refused.value.code == 403
        refused.value.close()
        opener = build_opener(HTTPCookieProcessor(CookieJar()))
        with opener.open(entrance, timeout=LONGEST_END_S) as view:
            assert view.status == 200
        # The key opened once.
        with pytest.raises(HTTPError) as used:
            urlopen(entrance, timeout=LONGEST_END_S)
        assert used.value.code == 403
        used.value.close()


def test_the_serving_process_loads_no_heavy_library() -> None:
    """The page is there at once because only workers load what measures."""
    script = (
        "import sys; from whirlwise.cli.app import _program; _program(['page'])\n"
        "import whirlwise.cli.page.serving, whirlwise.cli.page.opening_words\n"
        "print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    )
    loaded = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert "starlette" in loaded.stdout.split()
    assert set(loaded.stdout.split()) & HEAVY == set()


def test_a_folder_that_cannot_be_used_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    command = [sys.executable, "-c", "from whirlwise.cli.app import main; main()", "page", "--no-browser"]
    ended = subprocess.run(
        [*command, "--folder", str(tmp_path / "file" / "kept")], capture_output=True, text=True, check=False
    )
    assert ended.returncode == 2
    assert "cannot be used to keep pictures in (Not a directory)" in ended.stderr
    assert "Traceback" not in ended.stderr


@pytest.mark.parametrize(
    ("address", "words"), [("127.0.0.1", "found no network"), ("8.8.8.8", "is a public address")]
)
def test_a_phone_is_let_into_a_home_network_alone(
    address: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Asked:
        def __init__(self, *kind: object) -> None: ...

        def __enter__(self) -> "Asked":
            return self

        def __exit__(self, *problem: object) -> None: ...

        def connect(self, where: object) -> None: ...

        def getsockname(self) -> tuple[str, int]:
            return address, 0

    monkeypatch.setattr(socket, "socket", Asked)
    with pytest.raises(WrongUsageError, match=words):
        serving.home_address()
