"""A report as one page for browser and printer, which loads nothing from anywhere."""

from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined

from . import palette
from .report_contents import Report

TEMPLATE: Final = "report.html.jinja"
NO_BREAK: Final = "\u00a0"


def report_page(report: Report, language: str = "en") -> str:
    """Write the page; all words are escaped, only drawings of our own go in as they are.

    Parameters
    ----------
    report : Report
    language : str
        Code of the language in which the report is written.
    """
    look = Environment(
        loader=PackageLoader(__package__, "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    look.filters["unbroken"] = unbroken
    return look.get_template(TEMPLATE).render(report=report, palette=palette, language=language)


def unbroken(number: str) -> str:
    r"""Keep a number and its interval in a line each.

    Examples
    --------
    >>> unbroken("44.0 (43.7 to 44.3)").split()
    ['44.0', '(43.7', 'to', '44.3)']
    >>> unbroken("44.0 (43.7 to 44.3)").split(" ")
    ['44.0', '(43.7\xa0to\xa044.3)']
    """
    return number.replace(" ", NO_BREAK).replace(f"{NO_BREAK}(", " (")
