"""A template and its words become a response."""

import json
from functools import cache
from pathlib import Path
from typing import Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from .state import state_of, units_of

TEMPLATES: Final = Path(__file__).parent / "templates"
#: What stands in the navigation: the screen's name, which has words under ``nav``, and its address.
NAVIGATION: Final = (
    ("photo", "/photo"),
    ("clip", "/clip"),
    ("rhythm", "/rhythm"),
    ("reckon", "/reckon"),
    ("wheels", "/wheels"),
    ("kept", "/kept"),
)


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def for_scripts(value: object) -> str:
    """Write something for scripts, as JSON in which nothing ends the element that it stands in."""
    return json.dumps(value).replace("<", "\\u003c")


def rendered(
    request: Request, template: str, *, here: str, status_code: int = 200, **values: object
) -> HTMLResponse:
    """Fill a template.

    Parameters
    ----------
    request : Request
    template : str
        Name of the file in ``templates/``.
    here : str
        Name of the screen in the navigation; empty for one that is not in it.
    **values
        What the template asks for besides ``w`` (the words), ``here``, ``units`` and ``navigation``.
    """
    state = state_of(request)

    def script_words(*sections: str) -> str:
        return for_scripts({name: dict(state.words.section(name)) for name in sections})

    page = _environment().get_template(template)
    text = page.render(
        w=state.words,
        here=here,
        units=units_of(request),
        navigation=NAVIGATION,
        script_words=script_words,
        **values,
    )
    return HTMLResponse(text, status_code)
