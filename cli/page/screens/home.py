"""Where everybody comes in: what can be found out, and what was begun."""

from http import HTTPStatus
from importlib import resources
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ... import guide
from ..plain import plain
from ..rendering import rendered

DRAWN: Final = ".svg"


def home(request: Request) -> Response:
    """Show the journeys."""
    return rendered(request, "home.html", here="")


def about(request: Request) -> Response:
    """Tell how to close the page, where things are kept and what stays at home."""
    return rendered(request, "about.html", here="")


def drawing(request: Request) -> Response:
    """Send a drawing of the guides."""
    named = {
        f.name.removesuffix(DRAWN): f for f in resources.files(guide).iterdir() if f.name.endswith(DRAWN)
    }
    found = named.get(request.path_params["name"])
    if found is None:
        return Response(status_code=HTTPStatus.NOT_FOUND)
    shown = plain(found.read_text(encoding="utf-8"))
    return Response(shown, media_type="image/svg+xml", headers={"Cache-Control": "max-age=3600"})


ROUTES: Final = [Route("/", home), Route("/about", about), Route("/drawings/{name}", drawing)]
