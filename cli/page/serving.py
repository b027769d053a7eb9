"""The server's life: where it listens, who is told, and how it ends.

At the computer it listens on the loopback address alone. For a phone it listens on the one address that the
computer has in its own network as well, and only if that is a private one.
"""

import ipaddress
import os
import socket
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

import platformdirs
import uvicorn

from ..trouble import WrongUsageError
from .app import page_app
from .jobs import Jobs
from .keys import Keys
from .media import Media
from .screens.phone import entrance
from .state import State
from .tasks import TASKS, WARM
from .words import Words, words

if TYPE_CHECKING:
    from .translating.folder import Language

LOOPBACK: Final = "127.0.0.1"
#: Where the folder is, if it is not where such things usually are.
FOLDER_VARIABLE: Final = "WHIRLWISE_FOLDER"
#: An address that no network routes (RFC 5737). Nothing is sent to it: the system is only asked by which of
#: its own addresses it would.
NOWHERE: Final = ("192.0.2.1", 9)
#: Requests that still run when the page ends get so long.
GRACE_S: Final = 1
#: More jobs at once than this, and each of them takes longer.
MOST_LANES: Final = 2


@dataclass(frozen=True, slots=True)
class Opened:
    """Where the page is reached: the addresses hold a key each."""

    here: str
    phone: str | None
    folder: Path


def usual_folder() -> Path:
    """Give the user's folder for pictures, clips and what was measured."""
    chosen = os.environ.get(FOLDER_VARIABLE)
    return Path(chosen) if chosen else platformdirs.user_data_path("whirlwise")


def serve(
    folder: Path,
    *,
    phone: bool,
    browser: bool,
    say: Callable[[Opened, Words], None],
    language: "Language | None" = None,
) -> None:
    """Serve the page until Ctrl-C.

    Parameters
    ----------
    folder : Path
        The user's folder.
    phone : bool
        Whether to listen in the home network as well.
    browser : bool
        Whether to open the browser.
    say : callable
        Told once, when the page is reached.
    language : Language, optional
        What the page speaks, if not English.

    Raises
    ------
    WrongUsageError
        If the folder cannot be used, or there is no home network.
    """
    sockets = [_listening(LOOPBACK)]
    port = sockets[0].getsockname()[1]
    hosts = {f"{LOOPBACK}:{port}", f"localhost:{port}"}
    phone_address = None
    if phone:
        sockets.append(_listening(home_address()))
        phone_address = "{}:{}".format(*sockets[1].getsockname())
        hosts.add(phone_address)
    server = uvicorn.Server(_config())
    state = State(
        folder=folder,
        media=_media(folder),
        jobs=Jobs(TASKS, lanes=lanes(), warm=WARM),
        keys=Keys(),
        words=language.words if language else words(),
        language=language,
        phone_address=phone_address,
        stopping=lambda: server.should_exit,
    )
    server.config.app = page_app(state, hosts=hosts, cookie=f"whirlwise-{port}")
    opened = Opened(
        entrance(f"{LOOPBACK}:{port}", state.keys.new_key()),
        entrance(phone_address, state.keys.new_key()) if phone_address else None,
        folder,
    )
    say(opened, state.words)
    if browser:
        # The sockets listen already: the browser waits in line until the server answers.
        threading.Thread(target=webbrowser.open, args=(opened.here,), daemon=True).start()
    server.run(sockets)


def _config() -> uvicorn.Config:
    return uvicorn.Config(
        app="",
        lifespan="on",
        ws="none",
        access_log=False,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=GRACE_S,
    )


def lanes() -> int:
    """How many jobs may run at once here."""
    return max(1, min(MOST_LANES, os.cpu_count() or 1))


def home_address() -> str:
    """Give the address that this computer has in its own network.

    Raises
    ------
    WrongUsageError
        If there is none, or if it is a public one, which the whole world could reach.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(NOWHERE)
            address = str(asking.getsockname()[0])
        except OSError:
            address = LOOPBACK
    found = ipaddress.ip_address(address)
    if found.is_loopback:
        raise WrongUsageError(words()("serving.no_network"))
    if not found.is_private:
        raise WrongUsageError(words()("serving.public", address=address))
    return address


def _listening(address: str) -> socket.socket:
    """Listen on a free port."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.bind((address, 0))
    listening.listen(128)
    return listening


def _media(folder: Path) -> Media:
    try:
        return Media(folder)
    except OSError as problem:
        reason = problem.strerror or type(problem).__name__
        raise WrongUsageError(words()("serving.folder", folder=folder, reason=reason)) from problem
