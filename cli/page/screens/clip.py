"""One clip of a turning wheel: choose it, watch it with what was counted, see the slip against another."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import for_scripts, rendered
from ..state import state_of
from .medium import job_about, medium_of, not_kept


def choose(request: Request) -> Response:
    """Ask for a clip."""
    return rendered(request, "clip_choose.html", here="clip")


def watch(request: Request) -> Response:
    """Show one clip; the script asks for its measurement."""
    medium = medium_of(request, "clip")
    if medium is None:
        return not_kept(request, here="clip")
    others = [each for each in state_of(request).media.all() if each.kind == "clip" and each.id != medium.id]
    return rendered(
        request,
        "clip.html",
        here="clip",
        medium=medium,
        job=job_about(request, medium, "clip"),
        readings_json=for_scripts(state_of(request).told(medium.readings(), [medium.name])),
        others=others,
    )


ROUTES: Final = [Route("/clip", choose), Route("/clip/{medium_id}", watch)]
