"""The wheels that are kept: begun, looked at, set side by side, handed on, deleted and brought back."""

from http import HTTPStatus
from typing import Final

from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from ..rendering import rendered
from ..state import state_of
from ..wheels import Wheel
from .job import WrongOrderError, body_of
from .medium import not_kept

#: A report stands by itself: its look is within it, and it loads nothing.
REPORT_POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; frame-ancestors 'none'"


def wheels(request: Request) -> Response:
    """List the wheels."""
    kept = state_of(request).wheels
    return rendered(request, "wheels.html", here="wheels", wheels=kept.all(), deleted=kept.deleted())


def names(request: Request) -> Response:
    """Give ids and names, for whoever wants to add to one."""
    return JSONResponse([{"id": each.id, "name": each.name} for each in state_of(request).wheels.all()])


async def begin(request: Request) -> Response:
    """Keep a new wheel: ``{"name"}``."""
    state = state_of(request)
    try:
        name = str((await body_of(request)).get("name") or "").strip()
    except WrongOrderError:
        return JSONResponse({"sentence": state.words("job.wrong_order")}, HTTPStatus.BAD_REQUEST)
    if not name:
        return JSONResponse({"sentence": state.words("wheels.name_first")}, HTTPStatus.BAD_REQUEST)
    wheel = state.wheels.begin(name)
    return JSONResponse({"id": wheel.id, "name": wheel.name}, HTTPStatus.CREATED)


def wheel(request: Request) -> Response:
    """Show one wheel."""
    found = _wheel_of(request)
    if found is None:
        return not_kept(request, here="wheels")
    return rendered(request, "wheel.html", here="wheels", wheel=found)


def report(request: Request) -> Response:
    """Send the report that was written last."""
    found = _wheel_of(request)
    if found is None or not found.report.exists():
        return not_kept(request, here="wheels")
    return FileResponse(
        found.report, media_type="text/html", headers={"Content-Security-Policy": REPORT_POLICY}
    )


def delete(request: Request) -> Response:
    """Put a wheel aside."""
    return _done(state_of(request).wheels.delete(request.path_params["wheel_id"]))


def restore(request: Request) -> Response:
    """Bring back what was deleted."""
    return _done(state_of(request).wheels.restore(request.path_params["wheel_id"]))


def _wheel_of(request: Request) -> Wheel | None:
    return state_of(request).wheels.get(request.path_params["wheel_id"])


def _done(found: bool) -> Response:
    return Response(status_code=HTTPStatus.NO_CONTENT if found else HTTPStatus.NOT_FOUND)


ROUTES: Final = [
    Route("/wheels", wheels, methods=["GET"]),
    Route("/wheels", begin, methods=["POST"]),
    Route("/wheels/names", names),
    Route("/wheels/{wheel_id}", wheel),
    Route("/wheels/{wheel_id}/report", report),
    Route("/wheels/{wheel_id}/delete", delete, methods=["POST"]),
    Route("/wheels/{wheel_id}/restore", restore, methods=["POST"]),
]
