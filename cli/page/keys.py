"""Who may come in: keys that open the page once, and the sessions that they open.

A key stands in the address that is opened or scanned; it is exchanged for a cookie at once, so that an
address left in a browser's history opens nothing. Everything is forgotten when the program ends.
"""

import secrets
import threading
import time
from collections.abc import Callable
from typing import Final

#: How long a key waits to be used: time to find the phone.
KEY_LASTS_S: Final = 600.0
#: How long a session lasts after it was last used.
SESSION_LASTS_S: Final = 12 * 3600.0
#: Bytes of chance in a key; 96 bits cannot be guessed, and keep the code to scan small.
KEY_BYTES: Final = 12
SESSION_BYTES: Final = 32


class Keys:
    """One-time keys and open sessions; times come from ``clock`` (s)."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._keys: dict[str, float] = {}
        self._sessions: dict[str, float] = {}

    def new_key(self) -> str:
        """Make a key that opens one session within :data:`KEY_LASTS_S`."""
        key = secrets.token_urlsafe(KEY_BYTES)
        with self._lock:
            self._forget()
            self._keys[key] = self._clock() + KEY_LASTS_S
        return key

    def open_session(self, key: str) -> str | None:
        """Use a key up and give a session for it; None if it is unknown, used or too old."""
        with self._lock:
            self._forget()
            if self._keys.pop(key, None) is None:
                return None
            session = secrets.token_urlsafe(SESSION_BYTES)
            self._sessions[session] = self._clock() + SESSION_LASTS_S
            return session

    def knows(self, session: str) -> bool:
        """Whether a session is open; it lasts on from here."""
        with self._lock:
            self._forget()
            if session not in self._sessions:
                return False
            self._sessions[session] = self._clock() + SESSION_LASTS_S
            return True

    def is_waiting(self, key: str) -> bool:
        """Whether a key can still be used."""
        with self._lock:
            self._forget()
            return key in self._keys

    def _forget(self) -> None:
        now_s = self._clock()
        self._keys = {key: end_s for key, end_s in self._keys.items() if end_s > now_s}
        self._sessions = {session: end_s for session, end_s in self._sessions.items() if end_s > now_s}
