"""Jobs as the browser sees them: begun, followed, stopped."""

import asyncio
import json
import time
from http import HTTPStatus
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from ..jobs import Job, TooManyJobsError
from ..media import Medium
from ..state import State, state_of
from ..translating.documents import names_in
from ..uploads import MOST_JSON_BYTES

#: Who follows a job is answered when it changes, or after this long in any case.
PATIENCE_S: Final = 10.0
GLANCE_S: Final = 0.05
Json = dict[str, Any]


class WrongOrderError(ValueError):
    """An order that the page's own scripts never send."""


async def begin(request: Request) -> Response:
    """Queue a job: ``{"kind", "media": {role: id}, "wheels": [id], ...}``; the rest is the task's own."""
    state = state_of(request)
    try:
        order = await body_of(request)
        kind = str(order.pop("kind", ""))
        order["media"] = _media(state, order.get("media", {}))
        order["wheels"] = _wheels(state, order.get("wheels", []))
        order["language"] = str(state.language.folder) if state.language else ""
        job = state.jobs.begin(kind, order)
    except (WrongOrderError, KeyError):
        return JSONResponse({"sentence": state.words("job.wrong_order")}, HTTPStatus.BAD_REQUEST)
    except TooManyJobsError:
        return JSONResponse({"sentence": state.words("job.too_many")}, HTTPStatus.SERVICE_UNAVAILABLE)
    return JSONResponse(_shown(state, job), HTTPStatus.ACCEPTED)


async def follow(request: Request) -> Response:
    """Tell how a job stands as soon as that differs from version ``after``."""
    state = state_of(request)
    after = request.query_params.get("after", "")
    end_s = time.monotonic() + PATIENCE_S
    while True:
        job = state.jobs.look(request.path_params["job_id"])
        if job is None:
            return JSONResponse({"sentence": state.words("job.unknown")}, HTTPStatus.NOT_FOUND)
        if str(job.version) != after or time.monotonic() > end_s or state.stopping():
            return JSONResponse(_shown(state, job))
        await asyncio.sleep(GLANCE_S)


async def stop(request: Request) -> Response:
    """End a job."""
    state = state_of(request)
    job_id = request.path_params["job_id"]
    state.jobs.stop(job_id)
    job = state.jobs.look(job_id)
    if job is None:
        return JSONResponse({"sentence": state.words("job.unknown")}, HTTPStatus.NOT_FOUND)
    return JSONResponse(_shown(state, job))


async def body_of(request: Request) -> Json:
    """Read a small JSON object."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_JSON_BYTES:
            raise WrongOrderError
    try:
        order = json.loads(body)
    except ValueError as problem:
        raise WrongOrderError from problem
    if not isinstance(order, dict):
        raise WrongOrderError
    return order


def _media(state: State, asked: object) -> dict[str, dict[str, str]]:
    """Find what an order names, for a worker that knows nothing of ids."""
    if not isinstance(asked, dict):
        raise WrongOrderError
    found = {str(role): state.media.get(str(medium_id)) for role, medium_id in asked.items()}
    if None in found.values():
        raise WrongOrderError
    return {role: _told(medium) for role, medium in found.items() if medium is not None}


def _wheels(state: State, asked: object) -> list[Json]:
    """Find the wheels that an order names, each with the media whose readings were added to it."""
    if not isinstance(asked, list):
        raise WrongOrderError
    found = [state.wheels.get(str(wheel_id)) for wheel_id in asked]
    if None in found:
        raise WrongOrderError
    return [
        {
            "file": str(wheel.file),
            "folder": str(wheel.folder),
            "name": wheel.name,
            "media": [_told(medium) for each in wheel.media_ids if (medium := state.media.get(each))],
        }
        for wheel in found
        if wheel is not None
    ]


def _told(medium: Medium) -> dict[str, str]:
    return {
        "id": medium.id,
        "file": str(medium.original),
        "folder": str(medium.folder),
        "name": medium.name,
        "kind": medium.kind,
    }


def _shown(state: State, job: Job) -> Json:
    names = names_in(job.order)
    return {
        "id": job.id,
        "kind": job.kind,
        "state": job.state,
        "version": job.version,
        "what": job.what,
        "share": job.share,
        "ahead": state.jobs.ahead_of(job),
        "outcome": state.told(job.outcome, names),
        "sentence": state.words(f"job.{job.why}") if job.why else state.said(job.sentence, names),
    }


ROUTES: Final = [
    Route("/jobs", begin, methods=["POST"]),
    Route("/jobs/{job_id}", follow),
    Route("/jobs/{job_id}/stop", stop, methods=["POST"]),
]
