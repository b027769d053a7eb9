"""The template of a whirl as it comes out of a printer: drawn by a PDF library, then measured with a rule."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from uncertainties import nominal_value

from whirlwise.calc.groove import GrooveShape, groove_to_turn
from whirlwise.cli.show.whirl_shapes import (
    MOUTH_MM,
    gauge_of,
    groove_outline,
    groove_width_mm,
    whirl_outline,
)

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

DOTS_PER_MM = 8.0
ARGUMENTS = ("--wheel-groove=556mm", "--band=2.5mm", "--shape=v60,1mm")
SVG = "{http://www.w3.org/2000/svg}"


def page(path: Path) -> NDArray[np.uint8]:
    """The page as grey values, DOTS_PER_MM fine; ISO 32000-1: a unit of the page is 1/72 inch."""
    drawn = pypdfium2.PdfDocument(path)[0].render(scale=DOTS_PER_MM * 25.4 / 72).to_numpy()
    return np.asarray(drawn[..., :3].mean(axis=2), dtype=np.uint8)


def strokes_mm(line: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Middles of the dark strokes that a line across the page meets, in mm from its beginning."""
    dark = np.flatnonzero(line < 128)
    parts = np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1)
    return np.array([part.mean() + 0.5 for part in parts if len(part)]) / DOTS_PER_MM


def written(whirlwise: Whirlwise, path: Path, *more: str) -> Path:
    found = whirlwise("groove", "--ratio=18", *ARGUMENTS, "--template", path, *more)
    assert (found.status, found.err) == (0, "")
    assert found.out.endswith(
        f"\nTemplate in true size: {path}\nPrint it at 100 % (actual size), then hold a bank card against "
        "its line.\n"
    )
    return path


def test_the_line_is_as_long_as_a_bank_card(whirlwise: Whirlwise, tmp_path: Path) -> None:
    drawn = page(written(whirlwise, tmp_path / "whirl.pdf"))
    # The line to check lies 68 mm below the paper's top; just above it only its two ticks are met.
    ticks = strokes_mm(drawn[round(66.5 * DOTS_PER_MM), : round(120 * DOTS_PER_MM)])
    # ISO/IEC 7810, ID-1: 85.60 mm.
    assert len(ticks) == 2
    assert ticks[1] - ticks[0] == pytest.approx(85.60, abs=0.1)


def test_the_gauge_is_as_wide_as_the_limits(whirlwise: Whirlwise, tmp_path: Path) -> None:
    drawn = page(written(whirlwise, tmp_path / "whirl.pdf"))
    bottom = 556 + 2.5
    limits = [bottom / 18 / (1 + sign * 0.01) for sign in (-1, 1)]
    # From the band's middle down to the flat: 60 degrees, band 2.5 mm, flat 1 mm.
    down = 2 * (2.5 / (2 * np.sin(np.radians(30))) - 1 / (2 * np.tan(np.radians(30))))
    widths = set()
    for row in drawn[round(105 * DOTS_PER_MM) : round(160 * DOTS_PER_MM)]:
        edges = strokes_mm(row)
        if len(edges) == 4:
            widths.add(round(float(edges[2] - edges[1]), 1))
    # Four upright strokes: the card's own edges and the slot's, in the mouth and in the throat.
    for limit in limits:
        assert any(abs(width - (limit - down)) < 0.15 for width in widths), (limit - down, widths)


def test_the_whirl_is_drawn_in_true_size(whirlwise: Whirlwise, tmp_path: Path) -> None:
    drawn = page(written(whirlwise, tmp_path / "whirl.pdf"))
    document = pypdfium2.PdfDocument(tmp_path / "whirl.pdf")
    text = document[0].get_textpage().get_text_range()
    told = re.search(r"18 to 1: ([\d.]+) mm across the bottom,\s+the edges ([\d.]+) mm or more", text)
    assert told is not None
    # The whirl's outline begins 86 mm below the top; on a land the two edges are as far apart as told.
    edges = strokes_mm(drawn[round(87 * DOTS_PER_MM), : round(100 * DOTS_PER_MM)])
    assert edges[-1] - edges[0] == pytest.approx(float(told[2]), abs=0.15)
    # 558.5 / 18 - 2 (2.5 - 0.866), worked by hand.
    assert float(told[1]) == pytest.approx(27.76, abs=0.01)


@pytest.mark.parametrize(
    ("more", "size_mm"),
    # ISO 216; ANSI/ASME Y14.1.
    [((), (210.0, 297.0)), (("--paper=letter",), (215.9, 279.4))],
)
def test_pages_and_drawings_of_the_paper(
    whirlwise: Whirlwise, tmp_path: Path, more: tuple[str, ...], size_mm: tuple[float, float]
) -> None:
    pdf = written(whirlwise, tmp_path / "whirl.pdf", *more)
    in_points = [side * 72 / 25.4 for side in size_mm]
    assert pypdfium2.PdfDocument(pdf)[0].get_size() == pytest.approx(in_points, abs=0.03)
    drawing = written(whirlwise, tmp_path / "whirl.svg", *more)
    root = ET.fromstring(drawing.read_text(encoding="utf-8"))
    # SVG 1.1, 7.10: a pt is 1/72 inch.
    assert [float(root.attrib[side].removesuffix("pt")) for side in ("width", "height")] == pytest.approx(
        in_points, abs=0.01
    )
    assert 'href="http' not in drawing.read_text(encoding="utf-8")


def test_svg_and_pdf_say_the_same(whirlwise: Whirlwise, tmp_path: Path) -> None:
    pdf, svg = written(whirlwise, tmp_path / "a.pdf"), written(whirlwise, tmp_path / "a.svg")
    text = pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range()
    words = "".join("".join(node.itertext()) for node in ET.parse(svg).getroot().iter(f"{SVG}text"))
    for sentence in (
        "Print at 100 % (actual size), no fit to page.",
        "Turning is for people who have learnt it; the rules of the workshop come first.",
        "85.6 mm, the long side of a bank card",
    ):
        assert sentence in text
        assert sentence.replace(" ", "") in words.replace(" ", "").replace("\xa0", "")


def test_the_same_whirl_is_the_same_file(whirlwise: Whirlwise, tmp_path: Path) -> None:
    for ending in ("pdf", "svg"):
        one, two = (written(whirlwise, tmp_path / f"{name}.{ending}") for name in ("one", "two"))
        assert one.read_bytes() == two.read_bytes()


def test_sizes_in_inches(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = written(whirlwise, tmp_path / "whirl.pdf", "--units=imperial")
    text = pypdfium2.PdfDocument(path)[0].get_textpage().get_text_range()
    # 27.76 mm are 1.093 in.
    assert "18 to 1: 1.093 in across the bottom" in text


def test_two_grooves_on_one_whirl(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = written(whirlwise, tmp_path / "whirl.pdf", "--ratio=12")
    text = pypdfium2.PdfDocument(path)[0].get_textpage().get_text_range()
    assert "Whirl to turn, ratio 18 and 12" in text
    assert text.index("18 to 1:") < text.index("12 to 1:")


@pytest.mark.parametrize("shape", [GrooveShape("u"), GrooveShape("v", 60.0, 1.0), GrooveShape("v", 90.0)])
def test_a_band_lies_where_the_outline_says(shape: GrooveShape) -> None:
    groove = groove_to_turn(18, wheel_pitch_mm=558.5, band_mm=2.5, shape=shape)
    outline = groove_outline(groove, shape, 2.5)
    # A disc let down onto the drawn outline in its middle comes to rest at the pitch radius.
    middle = groove_width_mm(shape, 2.5) / 2
    across = np.linspace(middle - 1.25, middle + 1.25, 4001)
    # The upright sides of a U are not under the disc.
    order = np.argsort(outline[:, 0], kind="stable")
    heights = np.interp(across, outline[order, 0], outline[order, 1])
    resting = np.max(heights + np.sqrt(np.maximum(1.25**2 - (across - middle) ** 2, 0)))
    assert 2 * resting == pytest.approx(nominal_value(groove.pitch_mm), abs=0.02)
    # And it stays within the edges.
    assert outline[:, 1].max() * 2 == pytest.approx(groove.edge_mm)
    assert groove.edge_mm >= nominal_value(groove.pitch_mm) + 2.5


def test_the_outline_goes_along_the_axis() -> None:
    shape = GrooveShape("v", 60.0, 1.0)
    grooves = [groove_to_turn(r, wheel_pitch_mm=558.5, band_mm=2.5, shape=shape) for r in (18, 12)]
    outline = whirl_outline(grooves, shape, 2.5)
    assert (np.diff(outline[:, 0]) >= 0).all()
    assert outline[0, 0] == 0
    assert outline[-1, 0] == pytest.approx(2 * (groove_width_mm(shape, 2.5) + 6.0))


def test_the_gauge_stops_a_groove_that_is_large_enough() -> None:
    groove = groove_to_turn(18, wheel_pitch_mm=558.5, band_mm=2.5, shape=GrooveShape("u"))
    gauge = gauge_of(groove)
    assert gauge.throat_mm < nominal_value(groove.bottom_mm) < gauge.mouth_mm
    outline = gauge.outline()
    # Symmetric, and deep enough for the groove's middle to pass the throat's mouth.
    assert np.allclose(np.sort(outline[:, 0] + outline[::-1, 0]), gauge.size_mm[0])
    assert gauge.deep_mm > MOUTH_MM + gauge.mouth_mm / 2
