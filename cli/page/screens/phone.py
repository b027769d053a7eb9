"""How a phone comes in: an address with a one-time key, and a code to scan that holds it."""

import io
from typing import Final

import segno
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..guard import ENTER
from ..keys import KEY_LASTS_S
from ..rendering import rendered
from ..state import state_of

#: Size of a module of the code in px; it is drawn large, for a phone held over a desk.
MODULE_PX: Final = 7


def phone(request: Request) -> Response:
    """Show a fresh code to scan, or how to let a phone in at all."""
    state = state_of(request)
    if state.phone_address is None:
        return rendered(request, "phone.html", here="", address=None)
    address = entrance(state.phone_address, state.keys.new_key())
    minutes = round(KEY_LASTS_S / 60)
    return rendered(request, "phone.html", here="", address=address, code=code_of(address), minutes=minutes)


def entrance(address: str, key: str) -> str:
    """Give the address that a key opens.

    Examples
    --------
    >>> entrance("192.168.1.20:8000", "abc")
    'http://192.168.1.20:8000/enter/abc'
    """
    return f"http://{address}{ENTER}{key}"


def code_of(address: str) -> str:
    """Draw an address as a code to scan, as an SVG element; dark on light in the dark, too."""
    drawing = io.BytesIO()
    segno.make(address, error="m", micro=False).save(
        drawing, kind="svg", scale=MODULE_PX, border=4, xmldecl=False, svgns=True, light="#fff", dark="#000"
    )
    return drawing.getvalue().decode("ascii")


ROUTES: Final = [Route("/phone", phone)]
