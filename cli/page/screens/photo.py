"""One picture of a wheel: choose it, look at what was found, drag what was found wrongly."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import rendered
from .medium import medium_of, not_kept


def choose(request: Request) -> Response:
    """Ask for a picture."""
    return rendered(request, "photo_choose.html", here="photo")


def measure(request: Request) -> Response:
    """Show one picture; the script asks for its measurement."""
    medium = medium_of(request, "picture")
    if medium is None:
        return not_kept(request, here="photo")
    return rendered(request, "photo.html", here="photo", medium=medium, readings=medium.readings())


ROUTES: Final = [Route("/photo", choose), Route("/photo/{medium_id}", measure)]
