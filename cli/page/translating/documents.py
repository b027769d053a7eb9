"""What a worker tells is JSON; what of it people read, is said in the language of the page.

A kept reading stays English in its file, so that it is shown in whatever language the page has later.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, Final, TypeVar

T = TypeVar("T")

#: What stands under these names is for people, all of it. A drawing was lettered where it was drawn.
READ: Final = {
    *("says", "rows", "trust", "better", "mind", "heading", "sentences", "tables", "texts", "points"),
    *("brief", "title", "quarrels", "did", "taken_back", "hints"),
}  # fmt: skip
#: What was typed, and what is for a wheel's file.
LEFT_AS_IT_IS: Final = {"given", "kept"}
#: Of a report: the wheel's name, what was lettered where it was drawn, and what the browser goes by.
LEFT_IN_REPORTS: Final = {"name", "svg", "uri", "place"}


def names_in(order: Mapping[str, Any]) -> list[str]:
    """Give the names of what an order to a worker is about, as somebody gave them.

    Examples
    --------
    >>> names_in({"media": {"clip": {"name": "a.mp4"}}, "wheels": [{"name": "Attic", "media": []}]})
    ['a.mp4', 'Attic']
    """
    wheels = order.get("wheels") or []
    media = [*(order.get("media") or {}).values()]
    return [each["name"] for each in (*media, *wheels, *(m for wheel in wheels for m in wheel["media"]))]


def document_said(document: T, said: Callable[[str], str]) -> T:
    """Say what people read of a document in another language.

    Examples
    --------
    >>> document_said({"id": "a", "answer": {"says": ["one", "two"]}, "given": {"title": "x"}}, str.upper)
    {'id': 'a', 'answer': {'says': ['ONE', 'TWO']}, 'given': {'title': 'x'}}
    """
    told: T = _said(document, said, is_read=False)
    return told


def _said(document: Any, said: Callable[[str], str], *, is_read: bool) -> Any:
    if isinstance(document, dict):
        return {
            name: value if name in LEFT_AS_IT_IS else _said(value, said, is_read=is_read or name in READ)
            for name, value in document.items()
        }
    if isinstance(document, list):
        return [_said(each, said, is_read=is_read) for each in document]
    return said(document) if is_read and isinstance(document, str) else document


def report_said(report: T, said: Callable[[str], str]) -> T:
    """Say what people read of a report, or of a part of one, in another language."""
    told: T = _report_said(report, said)
    return told


def _report_said(part: Any, said: Callable[[str], str]) -> Any:
    if isinstance(part, str):
        return said(part)
    if isinstance(part, tuple):
        return tuple(_report_said(each, said) for each in part)
    if not is_dataclass(part) or isinstance(part, type):
        return part
    read = [each.name for each in fields(part) if each.name not in LEFT_IN_REPORTS]
    return replace(part, **{name: _report_said(getattr(part, name), said) for name in read})
