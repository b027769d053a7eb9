"""One picture of a wheel: choose it, look at what was found, drag what was found wrongly."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import for_scripts, rendered
from ..state import state_of
from .medium import job_about, medium_of, not_kept

#: What may give the scale, the usual one first; each has a drawing, ``static/reference-KIND.svg``.
REFERENCES: Final = ("card", "a4", "letter", "a5", "sheet", "rule", "coin", "marker", "points", "none")
#: Coins of the table that most people have; a test holds them against it.
COINS: Final = (
    "EUR-2",
    "EUR-1",
    "EUR-0.50",
    "USD-0.25",
    "USD-1",
    "GBP-2",
    "CHF-2",
    "CHF-5",
    "CAD-2",
    "JPY-500",
)


def choose(request: Request) -> Response:
    """Ask for a picture."""
    return rendered(request, "photo_choose.html", here="photo")


def measure(request: Request) -> Response:
    """Show one picture; the script asks for its measurement."""
    medium = medium_of(request, "picture")
    if medium is None:
        return not_kept(request, here="photo")
    return rendered(
        request,
        "photo.html",
        here="photo",
        medium=medium,
        job=job_about(request, medium, "photo"),
        readings_json=for_scripts(state_of(request).told(medium.readings(), [medium.name])),
        references=REFERENCES,
        coins=COINS,
    )


ROUTES: Final = [Route("/photo", choose), Route("/photo/{medium_id}", measure)]
