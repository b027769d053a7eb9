"""What is kept: looked at, deleted, brought back; and the files themselves, for the browser to show."""

from http import HTTPStatus
from typing import Final

from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from ..file_kinds import MP4, QUICKTIME
from ..rendering import rendered
from ..state import state_of
from ..uploads import ROUTES as UPLOADS
from .medium import medium_of

#: What an id names never changes.
FOR_AN_HOUR: Final = {"Cache-Control": "private, max-age=3600"}


def kept(request: Request) -> Response:
    """List everything."""
    state = state_of(request)
    return rendered(
        request,
        "kept.html",
        here="kept",
        media=state.media.all(),
        deleted=state.media.deleted(),
        folder=str(state.folder),
    )


def original(request: Request) -> Response:
    """Send the file as it came."""
    medium = medium_of(request)
    if medium is None:
        return Response(status_code=HTTPStatus.NOT_FOUND)
    return FileResponse(medium.original, media_type=medium.media_type, headers=FOR_AN_HOUR)


def preview(request: Request) -> Response:
    """Send the smaller copy, as soon as a worker has made it."""
    medium = medium_of(request)
    if medium is None or not medium.preview.exists():
        return Response(status_code=HTTPStatus.NOT_FOUND)
    return FileResponse(medium.preview, media_type="image/jpeg", headers=FOR_AN_HOUR)


def size(request: Request) -> Response:
    """Give the size of a picture in pixels; null until a worker has looked at it."""
    medium = medium_of(request, "picture")
    if medium is None:
        return Response(status_code=HTTPStatus.NOT_FOUND)
    return JSONResponse({"size_px": medium.size_px})


def playable(request: Request) -> Response:
    """Send what a browser plays, in the parts that it asks for.

    A page that is open while the copy is made asks once more, under an address that tells the two apart.
    """
    medium = medium_of(request, "clip")
    if medium is None:
        return Response(status_code=HTTPStatus.NOT_FOUND)
    copied = medium.playable != medium.original
    kind = MP4.media_type if copied or medium.media_type == QUICKTIME.media_type else medium.media_type
    return FileResponse(medium.playable, media_type=kind, headers=FOR_AN_HOUR)


def readings(request: Request) -> Response:
    """Give everything that was measured of one picture or clip."""
    medium = medium_of(request)
    if medium is None:
        return Response(status_code=HTTPStatus.NOT_FOUND)
    return JSONResponse(state_of(request).told(medium.readings(), [medium.name]))


def delete(request: Request) -> Response:
    """Put a picture or clip aside; reports that may show it go for good."""
    state, medium_id = state_of(request), request.path_params["medium_id"]
    found = state.media.delete(medium_id)
    if found:
        state.wheels.forget_reports_of(medium_id)
    return _done(found)


def restore(request: Request) -> Response:
    """Bring back what was deleted."""
    return _done(state_of(request).media.restore(request.path_params["medium_id"]))


def _done(found: bool) -> Response:
    return Response(status_code=HTTPStatus.NO_CONTENT if found else HTTPStatus.NOT_FOUND)


ROUTES: Final = [
    *UPLOADS,
    Route("/kept", kept),
    Route("/media/{medium_id}/original", original),
    Route("/media/{medium_id}/preview", preview),
    Route("/media/{medium_id}/size", size),
    Route("/media/{medium_id}/playable", playable),
    Route("/media/{medium_id}/readings", readings),
    Route("/media/{medium_id}/delete", delete, methods=["POST"]),
    Route("/media/{medium_id}/restore", restore, methods=["POST"]),
]
