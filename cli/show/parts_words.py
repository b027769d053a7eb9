"""A wheel's parts, in plain words and as JSON."""

from typing import Final

from ...calc.parts import Band, Bobbin, Flyer, Head, Parts, Whirl
from ..keep.parts_text import parts_document
from .answer import between
from .as_json import as_text

DRIVES: Final = {
    "flyer-led": "One band, round the flyer's whirl: the flyer leads.",
    "bobbin-led": "One band, round the bobbin's whirl: the bobbin leads.",
    "double": "Double drive: the band runs twice round, over the flyer's whirl and the bobbin's.",
    None: "How it is driven is not noted: --drive flyer-led, bobbin-led or double.",
}
NO_PARTS: Final = "No whirls, flyers, bobbins, heads or bands are noted; 'whirlwise parts --help' tells how."


def parts_text(file: str, parts: Parts, *, as_json: bool) -> str:
    """Write the parts as lines of text, or as JSON under the keys of the wheel's file."""
    if as_json:
        return as_text({"file": file, **parts_document(parts), "remarks": []})
    lines = [
        *map(_whirl, parts.whirls),
        *map(_flyer, parts.flyers),
        *map(_bobbin, parts.bobbins),
        *map(_head, parts.heads),
        *map(band_words, parts.bands),
    ]
    return "\n".join([DRIVES[parts.drive], *(lines or [NO_PARTS])])


def _whirl(whirl: Whirl) -> str:
    return f"Whirl {whirl.name}" + (f", with the grooves {', '.join(whirl.steps)}" if whirl.steps else "")


def _flyer(flyer: Flyer) -> str:
    return f"Flyer {flyer.name}, " + (
        f"takes {', '.join(flyer.whirls)}" if flyer.whirls else "takes any whirl"
    )


def _bobbin(bobbin: Bobbin) -> str:
    return f"Bobbin {bobbin.name}" + (f", with {', '.join(bobbin.whirls)}" if bobbin.whirls else "")


def _head(head: Head) -> str:
    turned = ", ".join(head.whirls) or "any whirl"
    return f"Accelerating head {head.name}, turned by way of {turned}"


def band_words(band: Band) -> str:
    """Say what a band is: its name, how thick it is, and of what."""
    thick = f", {between(band.thickness_mm, 'mm')} thick" if band.thickness_mm else ""
    return f"Band {band.name}{thick}" + (f", {band.material}" if band.material else "")
