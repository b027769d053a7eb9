"""Where everybody comes in: what can be found out, and what was begun."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import rendered


def home(request: Request) -> Response:
    """Show the journeys."""
    return rendered(request, "home.html", here="")


def about(request: Request) -> Response:
    """Tell how to close the page, where things are kept and what stays at home."""
    return rendered(request, "about.html", here="")


ROUTES: Final = [Route("/", home), Route("/about", about)]
