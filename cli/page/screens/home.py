"""Where everybody comes in: what can be found out, and what was begun."""

from http import HTTPStatus
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import rendered
from ..state import state_of
from ..translating.drawings import drawing_said, drawings_of_guides


def home(request: Request) -> Response:
    """Show the journeys."""
    return rendered(request, "home.html", here="")


def about(request: Request) -> Response:
    """Tell how to close the page, where things are kept and what stays at home."""
    return rendered(request, "about.html", here="")


def drawing(request: Request) -> Response:
    """Send a drawing of the guides."""
    found = drawings_of_guides().get(request.path_params["name"])
    if found is None:
        return Response(status_code=HTTPStatus.NOT_FOUND)
    shown = drawing_said(found, state_of(request).said)
    return Response(shown, media_type="image/svg+xml", headers={"Cache-Control": "max-age=3600"})


ROUTES: Final = [Route("/", home), Route("/about", about), Route("/drawings/{name}", drawing)]
