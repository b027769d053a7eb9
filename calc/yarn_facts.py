"""What is usual for yarn, each figure with its source and its doubt.

A range is held as a number whose 95 % interval it is, so that its width goes along into what is reckoned
from it. Most of this is custom, not physics: it differs between mills, fibres and hands.
"""

from dataclasses import dataclass
from typing import Final, Literal

from uncertainties import UFloat

from .interval import from_half_width_95

Fibre = Literal["wool", "cotton", "long cotton", "short cotton"]


def usual(low: float, high: float) -> UFloat:
    """Make a number of which a usual range is the 95 % interval."""
    return from_half_width_95((low + high) / 2, (high - low) / 2)


@dataclass(frozen=True, slots=True)
class TwistUse:
    """What a yarn is twisted for.

    Attributes
    ----------
    fibre : str
    use : str
        In a word or two.
    multiplier : UFloat
        Twist multiplier: turns per inch over the square root of the cotton count.
    source : str
        Where the range comes from, and how far to trust it.
    """

    fibre: Fibre
    use: str
    multiplier: UFloat
    source: str


USES_OF_COTTON: Final = {"knitting": "knitting", "weft": "weft", "semi_warp": "semi-warp", "warp": "warp"}
#: The table's layout was lost in the copy that was read, so which label goes with which column is inferred.
_MILL: Final = (
    "mill practice, by staple (W. Klein, The Technology of Short-staple Spinning; its columns are inferred)"
)
_CREPE: Final = "mills call above 5 crepe, from memory; the upper end is a guess"


def _cotton(fibre: Fibre, **uses: UFloat) -> tuple[TwistUse, ...]:
    return tuple(
        TwistUse(fibre, USES_OF_COTTON[use], range_of_it, _MILL) for use, range_of_it in uses.items()
    )


#: Wool is spun in too many ways for one table: what stands here are three records that agree roughly.
TWIST_USES: Final = (
    TwistUse(
        "wool", "soft", usual(2.0, 2.6), "mill practice for worsted knitting singles, from memory: weak"
    ),
    TwistUse(
        "wool",
        "knitting",
        usual(2.7, 3.5),
        "two yarns that a hand spinner describes (2200 yd/lb at 4.5 and 5600 yd/lb at 9 turns an inch): weak",
    ),
    TwistUse(
        "wool",
        "weaving",
        usual(3.8, 4.3),
        "reckoned from a wool combers' class handout of 1995, which calls itself rough",
    ),
    *_cotton(
        "cotton",
        knitting=usual(2.5, 3.0),
        weft=usual(3.0, 3.5),
        semi_warp=usual(3.5, 3.8),
        warp=usual(3.8, 4.5),
    ),
    *_cotton(
        "long cotton",
        knitting=usual(2.1, 2.6),
        weft=usual(2.5, 3.0),
        semi_warp=usual(3.0, 3.4),
        warp=usual(3.4, 3.9),
    ),
    *_cotton("short cotton", weft=usual(3.3, 3.8), semi_warp=usual(3.7, 4.0), warp=usual(4.0, 5.0)),
    TwistUse("cotton", "crepe", usual(5.0, 7.0), _CREPE),
)

#: Twist of a balanced plied yarn as a share of the twist of its singles, put in the other way. Spinners' rule
#: of thumb, no firm source.
BALANCED_SHARE: Final = usual(0.60, 0.70)
#: Length of a balanced plied yarn over that of its singles. A counter-twisted two-ply first gets longer, up
#: to about 0.85 of the singles' turns (Textile Research Journal 2024, doi 10.1177/00405175241246269,
#: abstract): no loss is expected, and 3 % either way is a guess.
PLIED_LENGTH_SHARE: Final = usual(0.97, 1.03)

#: Threads side by side per inch over the square root of yards per pound (T. R. Ashenhurst's rule as in J. T.
#: Taylor, Cotton Weaving and Designing, 6th ed.: 0.84-0.86 soft, 0.90-0.91 firm, 0.95 cotton; the diameter of
#: F. T. Peirce, 1937, is as much as 0.966). Threads lie touching and pressed.
PRESSED_WRAPS: Final = usual(0.84, 0.966)
#: The same wound on a ruler by hand without pressing: hobby tables give 0.32 to 0.39, one spinner says half
#: the square root. Common practice, no firm source: less than half of the above.
RULER_WRAPS: Final = usual(0.31, 0.50)

#: Upper limits in micron of the US grades for wool, from fine to coarse, and the lower limit of the first
#: (New Mexico State University, extension bulletin B-409).
WOOL_GRADES: Final = (
    ("80s", 19.14),
    ("70s", 20.59),
    ("64s", 22.04),
    ("62s", 23.49),
    ("60s", 24.94),
    ("58s", 26.39),
    ("56s", 27.84),
    ("54s", 29.29),
    ("50s", 30.99),
    ("48s", 32.69),
    ("46s", 34.39),
    ("44s", 36.19),
)
FINEST_GRADED_MICRON: Final = 17.70

#: Density in g/cm3 of a yarn with the air in it, from lofty to firm: examination papers take 0.70 and 0.91,
#: Peirce's rule amounts to 0.914; the lower end, for soft wool, is a guess.
YARN_DENSITY: Final = usual(0.45, 0.91)

#: Density of wool in g/cm3, from textbooks (memory).
WOOL_DENSITY: Final = 1.31
#: Fewest fibres in the cross-section of an even combed yarn; a mill's limit, from memory. Hands need more.
FEWEST_FIBRES: Final = usual(35, 45)

#: Tension of a specimen whose twist is counted, in cN/tex; not for open-end yarn (ISO 2061).
TEST_TENSION_CN_PER_TEX: Final = usual(0.4, 0.6)
