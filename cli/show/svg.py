"""A plot as SVG that can stand within a page, beside others, and says what it shows to who cannot see it."""

import io
import re
import textwrap
import xml.etree.ElementTree as ET
from typing import Final

from matplotlib.figure import Figure
from matplotlib.text import Text

from .language import SAID

#: Left out of the file: who made it and when.
NOBODY: Final = dict.fromkeys(("Creator", "Date", "Format", "Type"))
SVG: Final = "{http://www.w3.org/2000/svg}"
LINES: Final = "stroke-linejoin: round; stroke-linecap: butt"


def inline_svg(figure: Figure, *, name: str, title: str, description: str) -> str:
    """Give a figure as SVG without names of namespaces, so that nothing in it looks like an address.

    Parameters
    ----------
    figure : Figure
        Its ground is left out, so that the page's own shows.
    name : str
        One word; it begins every id, so that two plots of one page do not take each other's.
    title, description : str
    """
    _letter(figure)
    written = io.BytesIO()
    figure.savefig(written, format="svg", transparent=True, metadata=NOBODY)
    root = ET.fromstring(written.getvalue())
    for parent in root.iter():
        for child in list(parent):
            if child.tag in (f"{SVG}metadata", f"{SVG}style"):
                parent.remove(child)
    for element in root.iter():
        _stand_alone(element, name)
    size = root.get("viewBox", "")
    root.attrib = {"viewBox": size, "role": "img", "aria-labelledby": f"{name}-t {name}-d", "style": LINES}
    for place, (tag, words) in enumerate((("title", SAID.get()(title)), ("desc", SAID.get()(description)))):
        told = ET.Element(tag, {"id": f"{name}-{tag[0]}"})
        told.text = words
        root.insert(place, told)
    return ET.tostring(root, encoding="unicode")


def _letter(figure: Figure) -> None:
    """Say what is written in a figure in the language of the page, in as many lines as it had."""
    for each in figure.findobj(Text):
        words, lines = each.get_text().replace("\n", " "), each.get_text().count("\n") + 1
        said = SAID.get()(words)
        if said != words:
            # A line is given some letters more than its share, because words don't break.
            wrapped = textwrap.wrap(said, 6 * len(said) // (5 * lines) + 1) if lines > 1 else [said]
            each.set_text("\n".join(wrapped))


def _stand_alone(element: ET.Element, name: str) -> None:
    """Take namespaces off an element, and give its ids and what points at them the plot's name."""
    element.tag = element.tag.removeprefix(SVG)
    old = dict(element.attrib)
    element.attrib.clear()
    for key, text in old.items():
        bare = key.rpartition("}")[2]
        if bare == "id":
            text = f"{name}-{text}"
        elif bare == "href":
            text = text.replace("#", f"#{name}-", 1)
        element.attrib[bare] = re.sub(r"url\(#", f"url(#{name}-", text)
