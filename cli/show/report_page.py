"""A report as one page for browser and printer, which loads nothing from anywhere."""

from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined

from . import palette
from .report_contents import Report

TEMPLATE: Final = "report.html.jinja"


def report_page(report: Report) -> str:
    """Write the page; all words are escaped, only drawings of our own go in as they are."""
    return (
        Environment(
            loader=PackageLoader(__package__, "pages"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        .get_template(TEMPLATE)
        .render(report=report, palette=palette)
    )
