"""The report of a wheel: one page that stands alone and says what the other commands say."""

from __future__ import annotations

import base64
import io
import json
import re
from collections import Counter
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from PIL import Image
from uncertainties import UFloat, ufloat

from whirlwise.calc.wheel import Dimension, reading_of
from whirlwise.cli.keep.entries import KeptReading, KeptSession
from whirlwise.cli.keep.kept import KeptWheel
from whirlwise.cli.keep.store import change_wheel
from whirlwise.cli.show import palette

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise

VOID = {"meta", "img", "br", "link", "input", "hr"}
ODD = "<b>Lace & \"fine\" 'one'</b>"


class Page(HTMLParser):
    """A page read by the standard library: every element is closed in its turn."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.words: list[tuple[str, str]] = []
        self.tables: dict[str, list[list[str]]] = {}
        self.feed(text)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {key: value or "" for key, value in attrs}))
        if tag == "table":
            self.tables["?"] = []
        if tag == "tr":
            self._last().append([])
        if tag in ("th", "td"):
            self._last()[-1].append("")
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {key: value or "" for key, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        data = data.replace("\u00a0", " ")
        if not self.open:
            return
        if self.open[-1] == "caption":
            self.tables[data.strip()] = self.tables.pop("?")
        if self.open[-1] in ("th", "td"):
            self._last()[-1][-1] += data.strip()
        self.words.append((self.open[-1], data))

    def _last(self) -> list[list[str]]:
        return list(self.tables.values())[-1]

    def of(self, tag: str) -> list[dict[str, str]]:
        return [attributes for each, attributes in self.elements if each == tag]

    def text(self, *tags: str) -> str:
        return " ".join(" ".join(words for tag, words in self.words if not tags or tag in tags).split())


def reading(name: str, file: str, numbers: dict[Dimension, UFloat], **how: Any) -> KeptReading:
    checksum = name.encode().hex().rjust(64, "0")
    kind, day = name.partition("-")[0], "2026-03-01T10:00:00"
    return KeptReading(kind, file, checksum, day, "the camera's note", how, reading_of(name, numbers))


def session(name: str, day: str, spread_percent: float) -> KeptSession:
    turn_s = 1 + spread_percent / 100 * np.sqrt(2) * np.cos(np.arange(61) * 2.4)
    told = {"rhythm": {"turn_times_s": turn_s.round(4).tolist(), "within_turn_percent": None}}
    return KeptSession(
        name, f"{name}.mp4", name.encode().hex().rjust(64, "0"), day, "the file's date", {}, told
    )


def wheel_of(path: Path, *entries: KeptReading | KeptSession) -> Path:
    def build(wheel: KeptWheel) -> KeptWheel:
        for entry in entries:
            wheel, _, _ = wheel.with_reading(entry, "2026-03-04T10:00:00+00:00")
        return wheel

    change_wheel(path, build)
    return path


@pytest.fixture
def file(tmp_path: Path, whirlwise: Whirlwise) -> Path:
    """A wheel with two grooves, seen, filmed by hand and at work, its band and flyer noted, two sittings."""
    scale, ratio = ufloat(1, 0.002), ufloat(12.61, 0.06)
    pitch = ufloat(555.2, 0.5) * scale
    path = wheel_of(
        tmp_path / "birch.json",
        reading(
            "photo-1",
            "whole <i>.jpg",
            {
                Dimension("outer_mm"): ufloat(560.2, 0.6) * scale,
                Dimension("pitch_mm"): pitch,
                Dimension("pitch_mm", "small"): pitch / ratio,
                Dimension("ratio", "small"): ratio,
                Dimension("centre_distance_mm"): ufloat(431, 2) * scale,
            },
        ),
        reading("clip-1", "slowly.mp4", {Dimension("ratio", "small"): ufloat(12.642, 0.004)}),
        reading("clip-2", "work.mp4", {Dimension("ratio_at_work", "small"): ufloat(12.51, 0.004)}),
        reading("profile-1", "whirl.jpg", {Dimension("pitch_mm", "large"): ufloat(61.2, 0.2)}),
        session("rhythm-1", "2026-03-05T10:00:00", 3.1),
        session("rhythm-2", "2026-04-05T10:00:00", 1.2),
    )
    noted = ("--whirl", "lace: small, large", "--flyer", f"{ODD}: lace", "--band", "old: 2.5mm, linen")
    assert whirlwise("parts", path, "--drive", "flyer-led", *noted).status == 0
    return path


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """A large picture that a camera held on its side, with its notes: red to the left when it is upright."""
    pixels = np.full((1600, 1000, 3), (40, 90, 160), np.uint8)
    pixels[:, :300] = (200, 30, 30)
    picture = Image.fromarray(pixels)
    exif = picture.getexif()
    exif[0x010F], exif[0x0112] = "Camera & Sons", 6
    path = tmp_path / "seen.jpg"
    # Stored lying: the tag says that the first row of what is stored is the right side of the picture.
    picture.transpose(Image.Transpose.ROTATE_90).save(path, exif=exif, quality=95)
    return path


def report(whirlwise: Whirlwise, file: Path, *arguments: object) -> tuple[Page, str]:
    to = file.with_name("report.html")
    found = whirlwise("report", file, "--to", to, "--force", *arguments)
    assert (found.status, found.err) == (0, "")
    assert found.out.startswith(f"Report: {to}\n")
    text = to.read_text(encoding="utf-8")
    return Page(text), text


def test_the_page_stands_alone(whirlwise: Whirlwise, file: Path, photo: Path) -> None:
    page, text = report(whirlwise, file, "--drafting=2.6m", "--picture", photo)
    names = {tag for tag, _ in page.elements}
    assert names.isdisjoint({"script", "link", "iframe", "object", "form"})
    assert {"svg", "img", "table", "style"} <= names
    addresses = [each[key] for _, each in page.elements for key in ("src", "href", "action") if key in each]
    assert all(address.startswith(("data:image/jpeg;base64,", "#")) for address in addresses)
    assert all(target == "#" for target in re.findall(r"url\(['\"]?(.)", text))
    assert "//" not in re.sub(r"data:image/jpeg;base64,[\w+/=]*", "", text)
    assert "@import" not in text
    assert page.of("meta")[2]["content"].startswith("default-src 'none'")


def test_it_can_be_read_by_everybody(whirlwise: Whirlwise, file: Path, photo: Path) -> None:
    page, _ = report(whirlwise, file, "--drafting=2.6m", "--picture", photo, "--name=Birch")
    assert page.of("html") == [{"lang": "en"}]
    assert page.text("title").startswith("Birch: report of a spinning wheel ")
    assert [tag for tag, _ in page.elements if tag in ("h1", "h2", "h3")] == ["h1", *["h2"] * 8]
    assert all(each["alt"] for each in page.of("img"))
    assert len(page.of("table")) == len(page.of("caption")) == 6
    assert all(each["scope"] in ("col", "row") for each in page.of("th"))
    ids = [each["id"] for _, each in page.elements if "id" in each]
    assert max(Counter(ids).values()) == 1
    for drawing in page.of("svg"):
        assert drawing["role"] == "img"
        assert set(drawing["aria-labelledby"].split()) <= set(ids)
    pointed_at = {each["href"][1:] for _, each in page.elements if "href" in each}
    assert pointed_at <= set(ids)
    assert "From slow to fast: large 9.072, small 12.6419." in page.text("desc")


def test_words_are_told_from_the_ground() -> None:
    """Contrast of at least 4.5 to 1 (WCAG 2.2, 1.4.3), by its formula for relative luminance."""

    def luminance(colour: str) -> float:
        shares = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
        linear = np.where(shares <= 0.04045, shares / 12.92, ((shares + 0.055) / 1.055) ** 2.4)
        return float(linear @ (0.2126, 0.7152, 0.0722))

    for ground in (palette.PAPER, palette.WOOL, *palette.WOOLS, "#FFFFFF"):
        assert (luminance(ground) + 0.05) / (luminance(palette.INK) + 0.05) > 4.5


def test_words_of_the_user_are_escaped(whirlwise: Whirlwise, file: Path, photo: Path) -> None:
    page, text = report(whirlwise, file, "--name", ODD, "--picture", f"<u>{ODD}={photo}")
    assert page.text("h1") == ODD
    assert ODD in page.text("td")
    assert page.text("figcaption") == f"<u>{ODD}"
    assert page.of("img")[0]["alt"] == f"Picture of the wheel: <u>{ODD}"
    assert not page.of("b")
    assert not page.of("i")
    assert "<u>" not in text


def agrees(cells: tuple[str, str], number: dict[str, float]) -> None:
    """Hold value and interval, as they are shown, against JSON: as near, and never a narrower interval."""
    value = float(cells[0])
    low, high = map(float, re.findall(r"[\d.]+", cells[1]))
    half = (number["high"] - number["low"]) / 2
    assert value == pytest.approx(number["value"], abs=0.1 * half)
    assert number["low"] - 0.2 * half <= low <= number["low"] + 0.02 * half
    assert number["high"] - 0.02 * half <= high <= number["high"] + 0.2 * half


def test_its_numbers_are_those_of_the_wheels_command(whirlwise: Whirlwise, file: Path) -> None:
    page, _ = report(whirlwise, file, "--cadence=65")
    told = json.loads(whirlwise("wheel", file, "--json").out)
    rows = page.tables["Turns of flyer or bobbin for one turn of the wheel"]
    assert rows[0] == ["whirl", "turns the", "ratio", "95 % sure", "turns a minute at 65"]
    assert [row[0] for row in rows[1:]] == ["lace, large", "lace, small"]
    for row, number in zip(rows[1:], told["table"], strict=True):
        agrees((row[2], row[3]), number["ratio"])
        speeds = [float(each) for each in re.findall(r"\d+", row[4])]
        assert speeds == pytest.approx(
            [65 * number["ratio"][end] for end in ("value", "low", "high")], abs=0.5
        )
    sizes = page.tables["Diameters in mm, with 95 % certainty"]
    assert sizes[0] == ["part", "across the edge", "in the groove", "where the band runs"]
    assert [row[0] for row in sizes[1:]] == ["wheel", "large", "small"]
    small, large = (next(w for w in told["whirls"] if w["label"] == name) for name in ("small", "large"))
    for row, part in zip(sizes[1:], (told["wheel"], large, small), strict=True):
        for cell, what in zip(row[1:], ("outer_mm", "groove_mm", "pitch_mm"), strict=True):
            number = part.get(what)
            assert (cell == "") == (number is None)
            if number is not None:
                agrees((cell.split()[0], cell.partition(" ")[2]), number)
    apart = re.search(r"From axle to spindle it is ([\d.]+) mm \(95 % sure: ([\d. to]+)\)", page.text("p"))
    assert apart is not None
    agrees((apart[1], apart[2]), told["centre_distance_mm"])
    readings = page.tables["What was measured, and from what"][1:]
    assert [row[0] for row in readings] == [each["id"] for each in told["readings"]]
    assert f"The ratios go from {rows[1][2]} (95 % sure: {rows[1][3]}) to {rows[2][2]}" in page.text("p")
    slipped = re.search(r"the band slipped by ([\d.]+) % \(95 % sure: ([\d. to]+)\)", page.text("p"))
    assert slipped is not None
    agrees((slipped[1], slipped[2]), told["slip_percent"])


def test_its_yarns_and_band_are_those_of_their_commands(whirlwise: Whirlwise, file: Path) -> None:
    page, _ = report(whirlwise, file, "--cadence=65", "--drafting=3.0yd", "--wish=6-18")
    mapped = json.loads(whirlwise("map", "--wheel", file, "--cadence=65", "--drafting=3.0yd", "--json").out)
    rows = page.tables["Twist of each whirl, and the singles that it suits"]
    assert rows[0][1:3] == ["turns/in", "singles, yd/lb"]
    for row, each in zip(rows[1:], mapped["whirls"], strict=True):
        assert row[0] == each["whirl"]
        assert float(row[1].split()[0]) == pytest.approx(each["twist_per_inch"]["value"], abs=0.006)
        assert float(row[2]) == pytest.approx(each["yd_per_lb"]["value"], rel=0.05)
    laid = json.loads(whirlwise("band", "--wheel", file, "--json").out)["bands"]
    # In inches, because the drafting was typed in yards.
    found = page.tables["The band's length in use, and how far it wraps the whirl"][1:]
    lengths_mm = {row[0]: 25.4 * float(row[1]) for row in found}
    assert lengths_mm == pytest.approx(
        {each["whirls"][0]: each["in_use_mm"]["value"] for each in laid}, abs=0.3
    )
    groove = json.loads(whirlwise("groove", "--ratio=18", "--wheel", file, "--json").out)["grooves"][0]
    turned = re.search(
        r"For a ratio of 6.00 turn a groove of [\d.]+ in.*ratio of 18.00 turn .*?([\d.]+) in", page.text("p")
    )
    assert turned is not None
    assert 25.4 * float(turned[1]) == pytest.approx(groove["bottom_mm"]["value"], abs=0.03)


def test_cadence_comes_from_the_last_sitting(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    page, _ = report(whirlwise, file, "--drafting=2.6m")
    assert "Yarn at 60 treadles a minute" in page.text("h2")
    assert "rhythm-2.mp4 (rhythm-2) against rhythm-1.mp4 (rhythm-1): calmer" in page.text("p")
    assert [row[0] for row in page.tables["Sittings at the wheel"][1:]] == ["rhythm-1", "rhythm-2"]
    without = whirlwise("report", file, "--to", tmp_path / "a.html")
    assert "give --drafting 250cm" in without.out
    assert "Yarn at" not in (tmp_path / "a.html").read_text()
    bare = wheel_of(
        tmp_path / "b.json", reading("clip-1", "a.mp4", {Dimension("ratio", "whirl"): ufloat(9, 1e-3)})
    )
    assert "give --cadence 65" in whirlwise("report", bare, "--to", tmp_path / "b.html").out


def test_pictures_are_small_upright_and_without_notes(whirlwise: Whirlwise, file: Path, photo: Path) -> None:
    before = photo.read_bytes()
    page, _ = report(whirlwise, file, "--picture", photo, "--picture", f"From the left={photo}")
    assert photo.read_bytes() == before
    assert b"Camera & Sons" in before
    first = page.of("img")[0]
    stored = base64.b64decode(first["src"].removeprefix("data:image/jpeg;base64,"))
    assert b"Camera" not in stored
    with Image.open(io.BytesIO(stored)) as picture:
        assert picture.size == (750, 1200) == (int(first["width"]), int(first["height"]))
        assert not picture.getexif()
        assert picture.getpixel((100, 600)) == pytest.approx((200, 30, 30), abs=6)
        assert picture.getpixel((600, 600)) == pytest.approx((40, 90, 160), abs=6)
    assert page.text("figcaption") == "seen.jpg From the left"


def test_a_picture_that_was_measured_is_called_by_its_reading(
    whirlwise: Whirlwise, photo: Path, tmp_path: Path
) -> None:
    from whirlwise.cli.keep.facts import sha256_of

    kept = reading("photo-1", photo.name, {Dimension("ratio", "whirl"): ufloat(9, 0.1)})
    entry = KeptReading("photo", photo.name, sha256_of(photo), kept.taken, kept.taken_from, {}, kept.reading)
    page, _ = report(whirlwise, wheel_of(tmp_path / "a.json", entry), "--picture", photo)
    assert page.text("figcaption") == "seen.jpg, read as photo-1"
    equals = photo.rename(tmp_path / "a=b.jpg")
    page, _ = report(whirlwise, tmp_path / "a.json", "--picture", equals)
    assert page.text("figcaption") == "a=b.jpg, read as photo-1"


def test_nothing_is_written_over(whirlwise: Whirlwise, file: Path, tmp_path: Path) -> None:
    to, before = tmp_path / "there.html", file.read_bytes()
    to.write_text("mine")
    found = whirlwise("report", file, "--to", to)
    assert (found.status, found.out) == (2, "")
    assert "is there already; give another name, or --force" in found.err
    assert to.read_text() == "mine"
    assert whirlwise("report", file, "--to", tmp_path / "page.pdf").status == 2
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"no picture")
    for text, status in ((broken, 4), (tmp_path / "none.jpg", 4), ("", 4)):
        found = whirlwise("report", file, "--to", tmp_path / "new.html", "--picture", text)
        assert (found.status, found.out) == (status, "")
        assert "Traceback" not in found.err
    for wrong in ("--cadence=no", "--drafting=no", "--wish=18-6", "--use=rope"):
        assert whirlwise("report", file, "--to", tmp_path / "new.html", wrong).status == 2
    assert not (tmp_path / "new.html").exists()
    assert file.read_bytes() == before


def test_a_file_that_tells_nothing(whirlwise: Whirlwise, tmp_path: Path) -> None:
    file = tmp_path / "empty.json"
    whirlwise("parts", file, "--drive", "double")
    found = whirlwise("report", file, "--to", tmp_path / "empty.html")
    assert (found.status, found.err) == (3, "")
    assert "There is no reading to go by" in found.out
    assert not (tmp_path / "empty.html").exists()


def test_readings_that_contradict_each_other_are_named(whirlwise: Whirlwise, file: Path) -> None:
    assert whirlwise("hand", file, "--turns", "small=10:120").status == 0
    page, _ = report(whirlwise, file)
    assert "what was measured by hand (hand-1) says 12.0" in page.text("li")
    assert "the intervals were widened" in page.text("li")


def test_a_bobbin_that_leads_has_a_ladder(whirlwise: Whirlwise, tmp_path: Path) -> None:
    numbers = {Dimension("ratio", "slow"): ufloat(8.0, 0.01), Dimension("ratio", "quick"): ufloat(12, 0.01)}
    file = wheel_of(tmp_path / "a.json", reading("photo-1", "a.jpg", numbers))
    whirlwise("parts", file, "--drive", "bobbin-led")
    found = json.loads(whirlwise("ladder", "--wheel", file, "--json").out)
    assert [rung["whirl"] for rung in found["rungs"]] == ["slow", "quick"]


@pytest.mark.parametrize(
    ("drive", "parts"),
    [
        ("double", ("flyer", "bobbin")),
        ("bobbin-led", ("bobbin",)),
        ("unknown", ("whirl",)),
        ("unknown", ("flyer", "bobbin")),
    ],
)
def test_other_drives(whirlwise: Whirlwise, tmp_path: Path, drive: str, parts: tuple[str, ...]) -> None:
    sizes = {"flyer": 60.0, "bobbin": 46.0, "whirl": 44.0}
    numbers = {Dimension("pitch_mm", part): ufloat(sizes[part], 0.2) for part in parts}
    numbers |= {Dimension("pitch_mm"): ufloat(556, 1), Dimension("centre_distance_mm"): ufloat(430, 2)}
    file = wheel_of(tmp_path / "a.json", reading("photo-1", "a.jpg", numbers))
    whirlwise("parts", file, "--drive", drive, "--band", "cord: 2.5mm")
    page, _ = report(whirlwise, file, "--cadence=60", "--drafting=2m")
    rows = page.tables["Turns of flyer or bobbin for one turn of the wheel"][1:]
    assert [row[1] for row in rows] == ["flyer" if part in ("flyer", "whirl") else "bobbin" for part in parts]
    band = next(table for caption, table in page.tables.items() if caption.startswith("The band's length"))
    assert [row[0] for row in band[1:]] == [" and ".join(parts)]
    assert f"The one ratio is {rows[0][2]} (95 % sure: {rows[0][3]})." in page.text("p")
    assert parts[0] in page.text("desc")
    yarns = page.tables["Twist of each whirl, and the singles that it suits"][1:]
    assert [row[0] for row in yarns] == [parts[0]]


def test_a_ratio_alone_makes_a_report(whirlwise: Whirlwise, tmp_path: Path) -> None:
    numbers = {Dimension("ratio", "\u8f6e $x^{"): ufloat(12.6, 0.01)}
    file = wheel_of(tmp_path / "a.json", reading("clip-1", "a.mp4", numbers))
    page, _ = report(whirlwise, file, "--cadence=60", "--drafting=2m")
    assert "The one ratio is 12.6" in page.text("p")
    assert "it hangs on the yarns that are wished for" in page.text("p")
    assert "How long a band must be can be told once" in page.text("p")
    assert not any(caption.startswith("Diameters") for caption in page.tables)


def test_the_same_report_is_the_same_page(whirlwise: Whirlwise, file: Path) -> None:
    assert report(whirlwise, file, "--drafting=2m")[1] == report(whirlwise, file, "--drafting=2m")[1]
