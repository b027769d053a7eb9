"""``whirlwise sheet``: a page where it was asked for, over nothing that is there."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pypdfium2
import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise


def size_mm(path: Path) -> list[float]:
    # ISO 32000-1, 8.3.2.3: a unit of the page is 1/72 inch.
    return [side / 72 * 25.4 for side in pypdfium2.PdfDocument(path)[0].get_size()]


@pytest.mark.parametrize(
    ("options", "name", "expected_mm"),
    [
        # ISO 216; ANSI/ASME Y14.1.
        ([], "reference-sheet-a4.pdf", [210.0, 297.0]),
        (["--paper", "A4"], "reference-sheet-a4.pdf", [210.0, 297.0]),
        (["--paper=letter"], "reference-sheet-letter.pdf", [215.9, 279.4]),
        (["mine.PDF"], "mine.PDF", [210.0, 297.0]),
    ],
)
def test_a_page_is_written(
    whirlwise: Whirlwise,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    options: list[str],
    name: str,
    expected_mm: list[float],
) -> None:
    monkeypatch.chdir(tmp_path)
    found = whirlwise("sheet", *options)
    assert (found.status, found.err) == (0, "")
    assert found.out.startswith(f"Reference sheet: {name}\n\nPrint it at 100 %")
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert size_mm(tmp_path / name) == pytest.approx(expected_mm, abs=0.01)


def test_what_the_page_says(whirlwise: Whirlwise, tmp_path: Path) -> None:
    assert whirlwise("sheet", tmp_path / "a.pdf").status == 0
    text = pypdfium2.PdfDocument(tmp_path / "a.pdf")[0].get_textpage().get_text_range()
    for words in ("Print at 100 % (actual size), no fit to page.", "200 mm", "before the wheel turns"):
        assert words in text


def test_nothing_is_written_over(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    path.write_bytes(b"mine")
    found = whirlwise("sheet", path)
    assert (found.status, found.out, found.err) == (
        2,
        "",
        f"sheet got '{path}', which is there already; give another name, or --force to write over it.\n",
    )
    assert path.read_bytes() == b"mine"
    assert whirlwise("sheet", path, "--force").status == 0
    assert path.read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--paper=a3"], "--paper got 'a3' but expects a4 or letter."),
        (["sheet.png"], "sheet got 'sheet.png' but writes PDF pages; let the name end in .pdf."),
    ],
)
def test_wrong_usage(whirlwise: Whirlwise, arguments: list[str], sentence: str) -> None:
    found = whirlwise("sheet", *arguments)
    assert (found.status, found.out, found.err) == (2, "", f"{sentence}\n")


ON_A_FULL_DISK = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))
from whirlwise.cli.app import main
main(["sheet", *sys.argv[1:]])
"""


@pytest.mark.parametrize("force", [[], ["--force"]])
def test_where_the_page_does_not_fit_no_half_of_it_stays(tmp_path: Path, force: list[str]) -> None:
    path = tmp_path / "sheet.pdf"
    command = [sys.executable, "-c", ON_A_FULL_DISK, str(path), *force]
    found = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (found.returncode, found.stdout) == (2, "")
    assert found.stderr == (
        f"The reference sheet {path} could not be written (File too large); name a place that can be.\n"
    )
    assert list(tmp_path.iterdir()) == []
