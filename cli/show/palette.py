"""The colours of every drawing.

Chosen so that people with any kind of colour vision tell them apart on wood, wall and wool (after Okabe and
Ito, Color Universal Design, 2008; from memory).
"""

from typing import Final

SKY: Final = "#56B4E9"
YELLOW: Final = "#F0E442"
ROSE: Final = "#CC79A7"
GREEN: Final = "#009E73"
BLUE: Final = "#0072B2"
RUST: Final = "#D55E00"
INK: Final = "#282C32"
PAPER: Final = "#F8F6F4"
#: Undyed wool, for fields behind lines.
WOOL: Final = "#E4D8C4"
#: Wool from light to dark, for fields that lie one above the other.
WOOLS: Final = ("#EFE7DA", "#E4D7C2", "#D8C6A9")
WOOD: Final = "#8A6A4B"
#: The same by lamplight, on a screen that is to be dark: words, ground, thin lines and strong ones.
LAMP_INK: Final = "#F2E8D9"
LAMP_PAPER: Final = "#1D1712"
LAMP_WOOL: Final = "#4F4234"
LAMP_WOOD: Final = "#A8845A"


def bgr(colour: str) -> tuple[int, int, int]:
    """Give a colour in OpenCV's order.

    Examples
    --------
    >>> bgr(RUST)
    (0, 94, 213)
    """
    red, green, blue = bytes.fromhex(colour.removeprefix("#"))
    return blue, green, red
