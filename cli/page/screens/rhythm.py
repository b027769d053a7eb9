"""One's own treadling: from a clip, against a wish and an earlier session; and clicks to practise by."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import for_scripts, rendered
from ..state import state_of
from .medium import job_about, medium_of, not_kept

KIND: Final = "rhythm"


def choose(request: Request) -> Response:
    """Ask for a clip, or for one that is kept."""
    clips = [each for each in state_of(request).media.all() if each.kind == "clip"]
    return rendered(request, "rhythm_choose.html", here="rhythm", clips=clips)


def watch(request: Request) -> Response:
    """Show one clip; the script asks how it was treadled."""
    medium = medium_of(request, "clip")
    if medium is None:
        return not_kept(request, here="rhythm")
    clips = [each for each in state_of(request).media.all() if each.kind == "clip" and each.id != medium.id]
    return rendered(
        request,
        "rhythm.html",
        here="rhythm",
        medium=medium,
        job=job_about(request, medium, KIND),
        readings_json=for_scripts(state_of(request).told(medium.readings(KIND), [medium.name])),
        others=clips,
    )


def practice(request: Request) -> Response:
    """Give a click and a beat to treadle by; all of it happens in the browser."""
    return rendered(request, "practice.html", here="rhythm")


ROUTES: Final = [Route("/rhythm", choose), Route("/practice", practice), Route("/rhythm/{medium_id}", watch)]
