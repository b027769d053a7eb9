"""The screens, one module for each; every one names its routes."""

from typing import Final

from starlette.routing import BaseRoute

from . import clip, home, job, kept, phone, photo, reckon, rhythm, wheels

ROUTES: Final[list[BaseRoute]] = [
    route
    for screen in (home, photo, clip, rhythm, reckon, wheels, kept, phone, job)
    for route in screen.ROUTES
]
