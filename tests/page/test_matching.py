"""A sentence is found in the patterns and said in another language; an answer, with all that it says."""

import re
import time
from pathlib import Path

import pytest
from matplotlib.text import Text
from tests.cli.conftest import clip_reading as clip_reading
from tests.cli.conftest import photo_reading as photo_reading
from tests.page.conftest import state as state
from tests.page.pseudo import changed, english_in, write_language
from uncertainties import ufloat

from whirlwise.calc.ladder import ladder_of
from whirlwise.cli.commands.slip import slip_reading
from whirlwise.cli.given.yarn import twist_use
from whirlwise.cli.page.plain import in_inches, plain
from whirlwise.cli.page.state import State
from whirlwise.cli.page.tasks.told import told
from whirlwise.cli.page.translating.documents import document_said
from whirlwise.cli.page.translating.folder import SENTENCES, Language, language_in, sections_in
from whirlwise.cli.page.translating.matching import Translation
from whirlwise.cli.page.translating.writing import write_folder
from whirlwise.cli.show.clip_words import clip_answer
from whirlwise.cli.show.ladder_plot import LadderShown, ladder_figure
from whirlwise.cli.show.language import SAID
from whirlwise.cli.show.map_plot import map_figure
from whirlwise.cli.show.photo_words import photo_answer
from whirlwise.cli.show.plot import drawing
from whirlwise.cli.show.report_yarn import yarn_map
from whirlwise.cli.show.slip_words import slip_answer
from whirlwise.cli.show.svg import inline_svg
from whirlwise.cli.show.units import Units
from whirlwise.vision.clip_reading import ClipReading
from whirlwise.vision.photo_reading import PhotoReading

#: Names of whirls in the readings, and sentences that those who wrote the readings invented.
INVENTED = (
    *("large", "small", "The focal length comes from the file."),
    "The groove's bottom lies under the band. Take the band off for one picture.",
)

DRAWN = "The ratios as the rungs of a ladder"


@pytest.fixture(scope="module")
def language(tmp_path_factory: pytest.TempPathFactory) -> Language:
    return language_in(write_language(tmp_path_factory.mktemp("language")))


GERMAN = Translation(
    {
        "The rim is {1} wide.": "Der Kranz ist {1} breit.",
        "It is {1} mm in front of the {2}.": "Es ist {1} mm vor {2}.",
        "{1} (95 % sure: {2} to {3})": "{1} (zu 95 % sicher: {2} bis {3})",
        "From {1} to {2}.": "Von {1} bis {2}.",
        "From {1} to {2}, named {3}.": "Von {1} bis {2}, genannt {3}.",
        "and": "und",
        "band": "Riemen",
        "whirl": "Wirtel",
        "turn it, {1} or {1}": "dreh es, {1} oder {1}",
        "wheel, across the rim": "Rad, über den Kranz",
    },
    "Zoll",
)


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("The rim is 3 wide.", "Der Kranz ist 3 breit."),
        # What fills a hole is said in its turn, and a bracket within it is not torn apart.
        ("The rim is 3 (95 % sure: 2 to 4) wide.", "Der Kranz ist 3 (zu 95 % sicher: 2 bis 4) breit."),
        (
            "From 6 (95 % sure: 5 to 7) to 12 (95 % sure: 11 to 13).",
            "Von 6 (zu 95 % sicher: 5 bis 7) bis 12 (zu 95 % sicher: 11 bis 13).",
        ),
        (
            "1 (95 % sure: 0 to 2) and 6 (95 % sure: 5 to 7)",
            "1 (zu 95 % sicher: 0 bis 2) und 6 (zu 95 % sicher: 5 bis 7)",
        ),
        # Two sentences, a list, and what stands around it.
        ("The rim is 3 wide. From 1 to 2.", "Der Kranz ist 3 breit. Von 1 bis 2."),
        ("band, whirl and band", "Riemen, Wirtel und Riemen"),
        (" (band)", " (Riemen)"),
        ("wheel, across the rim 12 mm", "Rad, über den Kranz 12 mm"),
        # The one that leaves least unexplained is taken, and a hole that comes twice is filled alike.
        ("From 1 to 2, named small.", "Von 1 bis 2, genannt small."),
        ("turn it, band or band", "dreh es, Riemen oder Riemen"),
        ("turn it, band or whirl", "turn it, band or whirl"),
        # Lengths may have become inches.
        ("It is 12 mm in front of the band.", "Es ist 12 mm vor Riemen."),
        ("It is 0.47 inches in front of the band.", "Es ist 0.47 Zoll vor Riemen."),
        # What nothing explains stays, be it next to something known.
        ("Nothing knows this and that.", "Nothing knows this and that."),
        ("Nothing knows this. From 1 to 2.", "Nothing knows this. Von 1 bis 2."),
        ("old wheel.jpg", "old wheel.jpg"),
        ("", ""),
    ],
)
def test_matching(english: str, german: str) -> None:
    assert GERMAN(english) == german


def test_names_stay() -> None:
    name = "From the attic, and old"
    sentence = f"From {name} to {name}."
    assert GERMAN.keeping([name, "Attic"])(sentence) == f"Von {name} bis {name}."
    assert GERMAN.keeping([])("The rim is 3 wide.") == "Der Kranz ist 3 breit."


def test_all_that_is_gathered_is_found_again_and_soon(language: Language, tmp_path: Path) -> None:
    write_folder(tmp_path)
    sentences = [each for part in sections_in(tmp_path / SENTENCES).values() for each in part]
    began_s = time.monotonic()
    for sentence in sentences:
        for text in (plain(said := re.sub(r"\{\w+\}", "12.5", sentence)), in_inches(said)):
            assert english_in([language.said(text)]) == [], text
    assert (time.monotonic() - began_s) / len(sentences) < 0.02


def test_an_answer_is_said_as_a_whole(
    language: Language, photo_reading: PhotoReading, clip_reading: ClipReading
) -> None:
    answers = [
        photo_answer(photo_reading),
        clip_answer(clip_reading, by_hand=True),
        clip_answer(clip_reading, side="behind"),
        slip_answer(slip_reading(clip_reading, clip_reading, "flyer-led", None)),
        slip_answer(slip_reading(clip_reading, clip_reading, "double", "orifice")),
        slip_answer(slip_reading(clip_reading, clip_reading, "bobbin-led", None)),
    ]
    for answer in answers:
        said = document_said(told(answer), language.said)
        for units in ("metric", "imperial"):
            texts = [each for part in ("says", "trust", "better", "mind") for each in said[units][part]]
            assert english_in(texts + [row["name"] for row in said[units]["rows"]], INVENTED) == []


def test_in_english_nothing_is_looked_at(state: State) -> None:
    document = {"answer": {"says": ["One turn."]}}
    assert state.told(document) is document
    assert state.said("One turn.") == "One turn."


def test_the_check_sees_english() -> None:
    # A check that cannot fail checks nothing.
    texts = ["Ţĥé řîɱ is 3 mm", "Ţĥé řîɱ 3 mm", "small 12.5", "EUR-2", ""]
    assert english_in(texts, ("small",)) == ["Ţĥé řîɱ is 3 mm"]


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_drawing_is_lettered_in_the_language(language: Language, units: Units) -> None:
    """Its letters are outlines in the end, so what is read here is what they were drawn from."""
    ratios = {"large": ufloat(6.0, 0.05), "small": ufloat(12.5, 0.1)}
    before = SAID.set(language.said)
    try:
        with drawing():
            yarns = yarn_map(ratios, ufloat(60, 1), ufloat(250, 9), twist_use("cotton", "warp"))
            ladders = [LadderShown("Attic", ladder_of(ratios), (ufloat(9, 0.1),))]
            for figure in (ladder_figure(ladders, (6.0, 18.0)), map_figure(yarns, units)):
                svg = inline_svg(figure, name="n", title=DRAWN, description="not measured")
                written = [each.get_text() for each in figure.findobj(Text)]
                assert sum(len(each) > 3 for each in written) > 4
                assert english_in(written, ("large", "small", "Attic")) == []
                assert f">{changed(DRAWN)}<" in svg
                assert f">{changed('not measured')}<" in svg
    finally:
        SAID.reset(before)
