"""A file that is sent: streamed to disk, told by its content, refused as soon as it is too large."""

import shutil
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from .file_kinds import LOOKED_AT, FileKind, kind_of
from .media import Medium
from .position import without_position
from .state import State, state_of

MEGABYTE: Final = 1_000_000
#: Pictures of 50 megapixels stay well below this, and so do minutes of film.
MOST_BYTES: Final = {"picture": 100 * MEGABYTE, "clip": 2000 * MEGABYTE, "sound": 500 * MEGABYTE}
#: So much is left free on the disk.
LEFT_FREE: Final = 200 * MEGABYTE
#: Small bodies, such as what a screen sends, end here.
MOST_JSON_BYTES: Final = MEGABYTE


@dataclass(frozen=True)
class RefusedError(Exception):
    """A file that is not taken: the name of the words that say why, and the status to answer with."""

    words: str
    status: HTTPStatus


async def upload(request: Request) -> Response:
    """Take in the file that is the body; its name comes in the query and is only shown."""
    state = state_of(request)
    name = request.query_params.get("name", "")
    arrived = await run_in_threadpool(state.media.arriving)
    try:
        kind = await _streamed(request, arrived)
        medium = await run_in_threadpool(_kept, state, arrived, name, kind)
    except RefusedError as refused:
        return JSONResponse({"sentence": state.words(f"uploads.{refused.words}")}, refused.status)
    except ClientDisconnect:
        return Response(status_code=HTTPStatus.BAD_REQUEST)
    except OSError:
        sentence = state.words("uploads.no_room")
        return JSONResponse({"sentence": sentence}, HTTPStatus.INSUFFICIENT_STORAGE)
    finally:
        arrived.unlink(missing_ok=True)
    return JSONResponse({"id": medium.id, "kind": medium.kind}, HTTPStatus.CREATED)


async def _streamed(request: Request, place: Path) -> FileKind:
    """Write the body to disk as it comes.

    Raises
    ------
    RefusedError
        If it is too large, or nothing that can be measured.
    """
    start, length, kind = b"", 0, None
    room = shutil.disk_usage(place.parent).free - LEFT_FREE
    with place.open("wb") as file:
        async for piece in request.stream():
            length += len(piece)
            start = start if len(start) >= LOOKED_AT else (start + piece)[:LOOKED_AT]
            if kind is None and len(start) >= LOOKED_AT:
                kind = _kind(start)
            if kind is not None and length > MOST_BYTES[kind.kind]:
                raise RefusedError("too_large", HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
            if length > room:
                raise RefusedError("no_room", HTTPStatus.INSUFFICIENT_STORAGE)
            await run_in_threadpool(file.write, piece)
    if not length:
        raise RefusedError("empty", HTTPStatus.BAD_REQUEST)
    return kind or _kind(start)


def _kind(start: bytes) -> FileKind:
    kind = kind_of(start)
    if kind is None:
        raise RefusedError("unknown_kind", HTTPStatus.UNSUPPORTED_MEDIA_TYPE)
    return kind


def _kept(state: State, arrived: Path, name: str, kind: FileKind) -> Medium:
    without_position(arrived)
    return state.media.keep(arrived, name, kind)


ROUTES: Final = [Route("/uploads", upload, methods=["POST"])]
