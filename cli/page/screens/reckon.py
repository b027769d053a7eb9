"""What follows from ratios, cadence and drafting, while they change."""

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from ..rendering import rendered
from ..state import state_of

#: Fibres and uses to choose from, each as the commands know them; a test holds them against the table.
USES: Final = ("wool soft", "wool knitting", "wool weaving", "cotton knitting", "cotton weft", "cotton warp")


def reckon(request: Request) -> Response:
    """Show the fields; ``?wheel=ID`` begins with the ratios of a wheel that is kept."""
    chosen = request.query_params.get("wheel", "")
    return rendered(
        request,
        "reckon.html",
        here="reckon",
        wheels=state_of(request).wheels.all(),
        chosen=chosen,
        uses=USES,
    )


ROUTES: Final = [Route("/reckon", reckon)]
