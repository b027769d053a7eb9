"""The application object: the guard without, the screens within."""

from collections.abc import AsyncIterator, Collection
from contextlib import asynccontextmanager
from http import HTTPStatus
from pathlib import Path
from typing import Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from .guard import Guard
from .rendering import rendered
from .screens import ROUTES
from .state import State

STATIC: Final = Path(__file__).parent / "static"


def page_app(state: State, *, hosts: Collection[str], cookie: str) -> Starlette:
    """Make the application.

    Parameters
    ----------
    state : State
        What the screens share.
    hosts : collection of str
        Addresses with ports under which the page is reached.
    cookie : str
        Name of the session's cookie.
    """

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        await run_in_threadpool(state.jobs.open)
        yield
        await run_in_threadpool(state.jobs.close)

    app = Starlette(
        routes=[*ROUTES, Mount("/static", StaticFiles(directory=STATIC))],
        middleware=[
            Middleware(Guard, keys=state.keys, words=state.words, hosts=hosts, cookie=cookie),
        ],
        exception_handlers={404: _not_found},
        lifespan=lifespan,
    )
    app.state.whirlwise = state
    return app


async def _not_found(request: Request, problem: Exception) -> Response:
    return rendered(request, "not_found.html", here="", status_code=HTTPStatus.NOT_FOUND)
