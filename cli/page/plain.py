"""Sentences of the commands, for people without a command line: options become what they see."""

import re
from typing import Final

from .words import Words, words

_POINTS: Final = r"--reference points=X1,Y1,X2,Y2,\d+mm"
#: What stands in sentences, and the name of the words that take its place; None: it is left out.
SPOKEN: Final = (
    (r"add one with: whirlwise photo PICTURE --add-to FILE", "no_reading"),
    (r"leave it out with --without [\w-]+, or for good with 'whirlwise withdraw'", "leave_out"),
    (r"measure each again with a name of its own: --label small", "label"),
    (r": give (?:that|it) as --(?:around|across)", None),
    (r": --slip 1\+-1 takes that off", None),
    (r": 'whirlwise whirls' tells what that costs", "whirls"),
    (r"; give --plying to tell your own pace", None),
    (r" unless you give your own: --hook-every, --hook-takes, --join-every, --join-takes", None),
    (r"give it as --drafting", "drafting"),
    (
        r"give --cadence 65, or keep a session with 'whirlwise rhythm CLIP --add-to [^']*'",
        "cadence_for_report",
    ),
    (r"give --drafting 250cm, the yarn that you make in a minute", "drafting_for_report"),
    (r"give --ratio small=12\.5 or --wheel FILE", "ratio_first"),
    (r"--wheel got '(?:[^']*)', in which no ratio is known; add --ratio 12\.5", "no_ratio"),
    (r"or point at the axle with --hub X,Y\.", "hub"),
    (r"or point at the wheel's middle with --hub X,Y and at the whirl with --whirl X,Y\.", "hub"),
    (r"or point at its outer edge with --rim X,Y", "rim"),
    (
        r"Or give the depth of the wheel's groove, such as --groove 5mm, and measure the whirl in a picture "
        r"from the side with 'whirlwise profile': both in one file, by --add-to, tell the ratio\.",
        "no_band",
    ),
    (r"points past you, and point at the whirl with --whirl X,Y", "whirl_first"),
    (r", and point at the whirl with --whirl X,Y", "whirl"),
    (r"click on it with --whirl X,Y", "whirl_alone"),
    (rf"or name two points and their distance with {_POINTS}", "two_points"),
    (rf"name two marks on it with {_POINTS}", "two_marks"),
    (rf"give {_POINTS}, two points with a known distance", "two_points_alone"),
    (r"Point at its middle: --reference coin=[\w.]+,at=X,Y, in pixels of the upright picture\.", "coin"),
    (r"give --reference card", "card"),
    (r"--reference card", "card"),
    (r"give it as --band [\w.]+", "band"),
    (r"'whirlwise slip' tells the slip from the two", "slip"),
    (r"say so: --drive double, --drive bobbin-led\.", "drive"),
    (r"--(?:hub|whirl|rim|band-at|reference \w+)(?= [\d.,-]+ lies outside the picture)", "outside"),
    # What a library says of a damaged file tells nothing to people.
    (r"(?<=damaged or broken off): .*?(?=\. |\.$)", None),
    (r"--offset[= ](?=-?\d)", None),
    (r" \(--(?:offset|captured-at|by-hand)\)", None),
    (r"; 'whirlwise guide \w+' shows how", None),
    (r" \('whirlwise \w+'\)", None),
)
#: An option at the start of a complaint, such as ``--band got 'x' but expects``.
OPTION: Final = re.compile(
    r"^--(offset|band|groove|reference|ratio|captured-at|cadence|drafting|yarn|length|wish|wished|label|head)\b"
)
#: How a terminal writes a doubt behind a number, as in ``2.16 +-0.02``.
DOUBT: Final = re.compile(r"(?<=\d) \+-(?=\d)")
LENGTHS: Final = re.compile(r"(\d+(?:\.\d+)?)(?: x (\d+(?:\.\d+)?))? mm\b")
MM_PER_INCH: Final = 25.4


def plain(sentence: str, spoken: Words | None = None) -> str:
    """Say a sentence without options and commands.

    Examples
    --------
    >>> plain("Take another, or point at the axle with --hub X,Y.")
    "Take another, or put the mark 'axle' on the axle."
    >>> plain("2.16 +-0.02")
    '2.16 ±0.02'
    """
    said = spoken or words()
    for pattern, name in SPOKEN:
        sentence = re.sub(pattern, said(f"plain.{name}") if name else "", sentence)
    sentence = DOUBT.sub(" ±", sentence)
    return OPTION.sub(lambda match: said(f"plain.{match[1]}_name"), sentence)


def in_inches(sentence: str, inches: str = "inches") -> str:
    """Turn the lengths in a sentence from mm to inches, or what those are called.

    Examples
    --------
    >>> in_inches("A card (85.60 x 53.98 mm) stands 12 mm in front, give or take 2.0 mm.")
    'A card (3.3701 x 2.1252 inches) stands 0.47 inches in front, give or take 0.079 inches.'
    """
    return LENGTHS.sub(
        lambda match: " x ".join(_inches(mm) for mm in match.groups() if mm) + f" {inches}", sentence
    )


def _inches(mm: str) -> str:
    """As finely as it was told: a hundredth of an inch for a whole mm."""
    decimals = len(mm.partition(".")[2]) + 2
    return f"{float(mm) / MM_PER_INCH:.{decimals}f}"
