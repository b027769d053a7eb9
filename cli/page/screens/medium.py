"""A picture or clip as screens reach it: by the id in the address."""

from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import Response

from ..file_kinds import Kind
from ..media import Medium
from ..rendering import rendered
from ..state import state_of


def medium_of(request: Request, kind: Kind | None = None) -> Medium | None:
    """Find what the address names; None if nothing of that kind is kept."""
    medium = state_of(request).media.get(request.path_params["medium_id"])
    return medium if medium is not None and kind in (None, medium.kind) else None


def job_about(request: Request, medium: Medium, kind: str) -> str:
    """Give the id of a job of some kind about a medium that has not ended; empty if there is none."""
    file = str(medium.original)
    running = [
        job.id
        for job in state_of(request).jobs.all()
        if not job.ended
        and job.kind == kind
        and file in [each["file"] for each in job.order.get("media", {}).values()]
    ]
    return running[-1] if running else ""


def not_kept(request: Request, *, here: str) -> Response:
    """Say that it is not there."""
    return rendered(request, "not_kept.html", here=here, status_code=HTTPStatus.NOT_FOUND)
