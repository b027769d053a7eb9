"""Every request passes here before anything of the page sees it.

- ``Host`` must be an address on which the page listens: a name that somebody points at this computer (DNS
  rebinding) is turned away.
- What changes something must come from the page itself (``Origin``): another site cannot send it.
- Without a session nothing is served, not even a picture of the page's own: who has none gets one sentence.
- Every answer carries a content security policy that lets the browser load from here alone.
"""

from base64 import b64encode
from collections.abc import Collection
from hashlib import sha256
from html import escape
from http.cookies import CookieError, SimpleCookie
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .keys import SESSION_LASTS_S, Keys
from .words import Words

ENTER: Final = "/enter/"
READING: Final = frozenset({"GET", "HEAD"})
#: Loaded by the page from itself alone; blob is a picture that the person has just chosen.
POLICY: Final = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob:",
        "media-src 'self' blob:",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
#: The look of a sentence by itself. It comes along, for whoever is not let in gets no style sheet.
STYLE: Final = (
    "body{margin:0;padding:2rem;font:1.1rem/1.5 sans-serif;background:#f5efe3;color:#2b221a}"
    "main{max-width:34rem}h1{font:600 1.6rem serif}"
    "@media(prefers-color-scheme:dark){body{background:#1d1712;color:#f2e8d9}}"
)
STYLE_HASH: Final = b64encode(sha256(STYLE.encode("ascii")).digest()).decode("ascii")
ALONE: Final = """<!DOCTYPE html>
<html lang="{language}"><meta charset="utf-8"><title>{name}</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><style>{style}</style>{more}
<main><h1>{name}</h1><p>{sentence}</p></main>
"""
#: Whoever has come in goes on from here: sent on at once, from a link in a mail, a browser does not show
#: the strict cookie that it has just got.
ONWARD: Final = '<meta http-equiv="refresh" content="0; url=/">'
HEADERS: Final = {
    "Content-Security-Policy": POLICY,
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=()",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


class Guard:
    """The outermost layer of the application.

    Parameters
    ----------
    app : ASGI application
    keys : Keys
    words : Words
    hosts : collection of str
        What may stand in ``Host``: addresses with ports. It may grow while the page runs.
    cookie : str
        Name of the session's cookie. Cookies don't know ports, so two pages need two names.
    """

    def __init__(self, app: ASGIApp, keys: Keys, words: Words, hosts: Collection[str], cookie: str) -> None:
        self._app, self._keys, self._words = app, keys, words
        self._hosts, self._cookie = hosts, cookie

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it here."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    # What stands by itself, such as a report, may bring a policy of its own.
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        answer = self._answer(scope)
        await (answer or self._app)(scope, receive, send_with_headers)

    def _answer(self, scope: Scope) -> Response | None:
        """What is answered in place of the page; None if the request may pass."""
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self._hosts:
            return self._alone("host", 421)
        if scope["method"] not in READING and not self._from_here(headers):
            return self._alone("origin", 403)
        path: str = scope["path"]
        if path.startswith(ENTER) and scope["method"] == "GET":
            return self._entered(path.removeprefix(ENTER), headers)
        if not self._keys.knows(self._session(headers)):
            return self._alone("key", 403)
        return None

    def _alone(self, words: str, status: int, more: str = "") -> Response:
        """Say why nothing is served, or that the page comes."""
        said = {name: escape(self._words(f"page.{name}")) for name in ("language", "name")}
        sentence = escape(self._words(f"guard.{words}"))
        text = ALONE.format(sentence=sentence, style=STYLE, more=more, **said)
        policy = POLICY.replace("style-src 'self'", f"style-src 'sha256-{STYLE_HASH}'")
        return HTMLResponse(text, status, {"Content-Security-Policy": policy})

    def _from_here(self, headers: Headers) -> bool:
        """Whether the page itself sends this, as the browser says; one that says nothing is no browser."""
        origin = headers.get("origin", "").lower()
        site = headers.get("sec-fetch-site", "same-origin")
        return site == "same-origin" and origin == f"http://{headers['host'].lower()}"

    def _entered(self, key: str, headers: Headers) -> Response:
        """Exchange a key for a session. Whoever has one already keeps it, and the key stays for others."""
        if self._keys.knows(self._session(headers)):
            return RedirectResponse("/", 303)
        session = self._keys.open_session(key)
        if session is None:
            return self._alone("key", 403)
        answer = self._alone("enter", 200, ONWARD)
        answer.set_cookie(
            self._cookie, session, max_age=int(SESSION_LASTS_S), httponly=True, samesite="strict"
        )
        return answer

    def _session(self, headers: Headers) -> str:
        try:
            morsel = SimpleCookie(headers.get("cookie", "")).get(self._cookie)
        except CookieError:
            return ""
        return "" if morsel is None else morsel.value
