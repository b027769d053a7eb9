"""The commands as a person meets them: what they print, how they end, what they say when it goes wrong."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

import av
import numpy as np
import pytest
from PIL import Image

from whirlwise.calc.interval import interval_95
from whirlwise.cli.commands import clip as clip_command
from whirlwise.cli.commands import photo as photo_command
from whirlwise.vision.clip import ClipSettings
from whirlwise.vision.clip_reading import ClipReading
from whirlwise.vision.photo import PhotoSettings
from whirlwise.vision.photo_reading import PhotoReading

if TYPE_CHECKING:
    from tests.cli.conftest import Whirlwise


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """A picture file without a wheel."""
    path = tmp_path / "wheel.jpg"
    Image.fromarray(np.full((600, 800, 3), 128, np.uint8)).save(path)
    return path


def test_version(whirlwise: Whirlwise) -> None:
    found = whirlwise("--version")
    assert (found.status, found.out, found.err) == (0, f"whirlwise {version('whirlwise')}\n", "")


COMMANDS = (
    *("photo", "profile", "clip", "slip"),
    *("rhythm", "live", "practice"),
    *("wheel", "hand", "parts", "withdraw", "undo", "report", "export", "import", "collection"),
    *("ladder", "steps", "groove", "band", "compare"),
    *("yarn", "twist", "whirls", "sample", "bobbin", "map", "time"),
    *("guide", "tour", "sheet"),
)


def test_alone_it_tells_what_it_can(whirlwise: Whirlwise) -> None:
    found = whirlwise()
    assert found.status == 0
    assert re.findall(r"^  ([a-z]+) ", found.out.partition("Measuring:")[2], re.MULTILINE) == [*COMMANDS]
    for command in COMMANDS:
        assert re.search(rf"^  {command} ", found.out, re.MULTILINE)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_is_plain_text(whirlwise: Whirlwise, command: str) -> None:
    found = whirlwise(command, "--help")
    assert found.status == 0
    assert found.out.isascii()


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["photo"], "Missing argument 'file'; 'whirlwise photo --help' tells what can be asked."),
        (["spin"], "No such command 'spin'; 'whirlwise --help' tells what can be asked."),
        (
            ["gide"],
            "No such command 'gide'. Did you mean 'guide'? 'whirlwise --help' tells what can be asked.",
        ),
        (
            ["tour", "now"],
            "Got unexpected extra argument(s) (now); 'whirlwise tour --help' tells what can be asked.",
        ),
        (
            ["photo", "a.jpg", "--colour"],
            "No such option: --colour; 'whirlwise photo --help' tells what can be asked.",
        ),
        (
            ["clip", "a.mp4", "--ratio"],
            "Option '--ratio' requires an argument; 'whirlwise --help' tells what can be asked.",
        ),
        (
            ["photo", "a.jpg", "--offset", "17"],
            "--offset got '17' but expects a length with its unit (mm, cm or in), such as 17mm.",
        ),
        (
            ["photo", "a.jpg", "--band=thin"],
            "--band got 'thin' but expects a length with its unit (mm, cm or in), such as 2.4mm.",
        ),
        (
            ["photo", "a.jpg", "--groove", "0mm"],
            "--groove got '0mm' but expects a length above zero, such as 5mm.",
        ),
        (
            ["photo", "a.jpg", "--hub", "middle"],
            "--hub got 'middle' but expects a point X,Y in pixels of the upright picture, such as 812,640.",
        ),
        (
            ["clip", "a.mp4", "--captured-at", "-240"],
            "--captured-at got '-240' but expects a number above zero, such as 240.",
        ),
        (
            ["clip", "a.mp4", "--ratio", "12:1"],
            "--ratio got '12:1' but expects a number above zero, such as 12.5.",
        ),
        (
            ["twist", "--ratio", "12.5"],
            "twist expects three of --ratio, --cadence, --drafting and --wish; "
            "it works out the one left out.",
        ),
        (
            ["whirls", "--ratio=a=6", "--ratio=a=7", "--cadence=60", "--drafting=150cm", "--wish=3/cm"],
            "--ratio got 'a=7' but expects a name of its own for each whirl, such as small=12.5.",
        ),
        (["guide", "loom"], "guide got 'loom' but expects one of clip, photo, questions."),
        (
            ["compare", "--also", "birch=6,x"],
            "--also got 'x' but expects a number above zero, such as 12.5, or 12x6 for two stages.",
        ),
        (
            ["steps", "--range", "6-18", "--whirls", "two"],
            "--whirls expects a whole number, such as 2; 'whirlwise steps --help' tells what can be asked.",
        ),
        (
            ["whirls", "--ratio=12", "--cadence=65", "--yarn=8Ne", "--plies=0"],
            "--plies expects a whole number from 1; 'whirlwise whirls --help' tells what can be asked.",
        ),
        (
            ["compare", "--also", "birch=6,9", "--units", "miles"],
            "--units got 'miles' but expects one of metric, imperial; 'whirlwise compare --help' tells what "
            "can be asked.",
        ),
    ],
)
def test_wrong_usage_is_one_sentence(whirlwise: Whirlwise, arguments: list[str], sentence: str) -> None:
    found = whirlwise(*arguments)
    assert (found.status, found.out, found.err) == (2, "", f"{sentence}\n")


def test_files_that_are_no_picture(whirlwise: Whirlwise, tmp_path: Path) -> None:
    missing, empty, text = tmp_path / "gone.jpg", tmp_path / "empty.jpg", tmp_path / "text.jpg"
    empty.write_bytes(b"")
    text.write_text("a wheel, honestly")
    for path, sentence in [
        (missing, f"There is no file {missing}. Check the name and the folder."),
        (empty, f"{empty} is empty (0 bytes). Copy it from the camera once more."),
        (
            text,
            f"{text} is not a picture that can be read here. Give a photo as the camera saved it, for "
            "example a JPEG or PNG file.",
        ),
        (tmp_path, f"{tmp_path} is a folder, not a picture. Name one picture file in it."),
    ]:
        found = whirlwise("photo", path, "--json")
        assert (found.status, found.out, found.err) == (4, "", f"{sentence}\n")


def test_files_that_are_no_clip(whirlwise: Whirlwise, tmp_path: Path) -> None:
    missing, empty, text = tmp_path / "gone.mp4", tmp_path / "empty.mp4", tmp_path / "text.mp4"
    empty.write_bytes(b"")
    text.write_text("a wheel that turns, honestly")
    again, check = "record it again, or copy it again from the camera", "check the name and the folder"
    undecodable = "a file that cannot be decoded (another kind of file, or a clip that was cut off)"
    for path, got, remedy in [
        (missing, "a name that no file has", check),
        (empty, "an empty file", again),
        (text, undecodable, again),
        (tmp_path, "a folder", "name one clip in it"),
    ]:
        found = whirlwise("clip", path, "--json")
        assert (found.status, found.out) == (4, "")
        assert found.err == (
            f"{path}: got {got}, expected a whole video clip such as .mp4 or .mov; {remedy}.\n"
        )


@pytest.mark.parametrize("name", ["text.png", "text.txt", "text.gif", "text.h264"])
def test_text_under_any_name_is_no_clip(whirlwise: Whirlwise, tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_text("mine\n")
    found = whirlwise("clip", path)
    assert (found.status, found.out, found.err.count("\n")) == (4, "", 1)
    assert found.err.startswith(f"{path}: got ")


def test_the_decoders_own_complaints_stay_off_the_screen(tmp_path: Path) -> None:
    path = tmp_path / "wheel.tif"
    Image.new("RGB", (8, 8)).save(path)
    # TIFF 6.0: tag 277, SamplesPerPixel, here a SHORT of 3; the decoder logs an error if it is far too large.
    samples = (277).to_bytes(2, "little") + (3).to_bytes(2, "little") + (1).to_bytes(4, "little")
    spoilt = path.read_bytes().replace(samples + b"\3\0", samples + b"\0\x20")
    assert spoilt != path.read_bytes()
    path.write_bytes(spoilt)
    command = [sys.executable, "-c", "from whirlwise.cli.app import main; main()", "photo", str(path)]
    found = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (found.returncode, found.stdout, found.stderr.count("\n")) == (4, "", 1)


def test_a_clip_in_which_nothing_turns(whirlwise: Whirlwise, tmp_path: Path) -> None:
    path = tmp_path / "still.mp4"
    picture = np.random.default_rng(0).integers(0, 255, (240, 320, 3), np.uint8)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=30)
        stream.width, stream.height, stream.pix_fmt = 320, 240, "yuv420p"
        frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
        for packet in [packet for _ in range(60) for packet in stream.encode(frame)] + stream.encode():
            container.mux(packet)
    found = whirlwise("clip", path, "--json", "--proof", tmp_path / "proof.png")
    assert (found.status, found.err) == (3, "")
    document = json.loads(found.out)
    assert document["wheel"] is document["flyer"] is document["ratio"] is None
    assert document["frames"] == 60
    assert document["remarks"]
    assert (tmp_path / "proof.png").read_bytes().startswith(b"\x89PNG")


def test_half_a_picture(whirlwise: Whirlwise, picture: Path) -> None:
    rng = np.random.default_rng(1)
    Image.fromarray(rng.integers(0, 255, (600, 800, 3), np.uint8)).save(picture)
    picture.write_bytes(picture.read_bytes()[: picture.stat().st_size // 2])
    found = whirlwise("photo", picture)
    assert (found.status, found.out) == (4, "")
    assert "is damaged or broken off" in found.err
    assert found.err.count("\n") == 1


def test_a_picture_without_a_wheel(whirlwise: Whirlwise, picture: Path) -> None:
    found = whirlwise("photo", picture, "--json")
    assert found.status == 3
    document = json.loads(found.out)
    assert document["wheel"] is None
    assert document["ratios"] == []
    assert document["remarks"]


@pytest.fixture
def photo_settings(monkeypatch: pytest.MonkeyPatch, photo_reading: PhotoReading) -> list[PhotoSettings]:
    """Settings with which the measurement was called; it gives the reading built by hand."""
    calls: list[PhotoSettings] = []

    def measured(path: Path, settings: PhotoSettings) -> PhotoReading:
        calls.append(settings)
        return photo_reading

    monkeypatch.setattr(photo_command, "measure_photo", measured)
    return calls


@pytest.fixture
def clip_settings(monkeypatch: pytest.MonkeyPatch, clip_reading: ClipReading) -> list[ClipSettings]:
    """The same for a clip."""
    calls: list[ClipSettings] = []

    def measured(path: Path, settings: ClipSettings, tell: object) -> ClipReading:
        calls.append(settings)
        return clip_reading

    monkeypatch.setattr(clip_command, "measure_clip", measured)
    return calls


def test_photo_hands_on_what_was_typed(
    whirlwise: Whirlwise, picture: Path, photo_settings: list[PhotoSettings]
) -> None:
    typed = "--reference card --reference marker=6cm --offset -5mm --band 2.4mm --groove 5mm --hub 400,300"
    found = whirlwise(
        "photo", picture, *typed.split(), "--whirl", "90,200", "--whirl", "95,210", "--band-at", "70,90"
    )
    assert found.status == 0
    settings = photo_settings[0]
    assert [request.kind for request in settings.references] == ["card", "marker"]
    assert settings.references[1].length_mm is not None
    assert settings.references[1].length_mm.n == 60
    assert not settings.no_reference
    assert settings.offset_mm.n == -5
    assert interval_95(settings.offset_mm).half_width == pytest.approx(2)
    assert settings.band_mm is not None
    assert interval_95(settings.band_mm).half_width == pytest.approx(0.2)
    assert settings.groove_depth_mm is not None
    assert settings.groove_depth_mm.n == 5
    assert settings.hub_px == (400, 300)
    assert settings.whirls_px == ((90, 200), (95, 210))
    assert settings.band_px == ((70, 90),)


def test_photo_without_options(
    whirlwise: Whirlwise, picture: Path, photo_settings: list[PhotoSettings]
) -> None:
    whirlwise("photo", picture)
    whirlwise("photo", picture, "--reference", "none")
    plain, without = photo_settings
    assert plain.references == ()
    assert not plain.no_reference
    assert without.no_reference
    assert plain.offset_mm.n == 0
    assert interval_95(plain.offset_mm).half_width == pytest.approx(5)
    assert plain.band_mm is plain.groove_depth_mm is plain.hub_px is None


def test_clip_hands_on_what_was_typed(whirlwise: Whirlwise, clip_settings: list[ClipSettings]) -> None:
    found = whirlwise(
        "clip", "wheel.mp4", "--hub", "60,40", "--flyer=90,20", "--captured-at", "240", "--ratio", "12.8"
    )
    assert found.status == 0
    assert clip_settings == [ClipSettings(hub_px=(60, 40), flyer_px=(90, 20), captured_at_per_s=240)]
    assert "the band slips by 1.04 %" in " ".join(found.out.split())


def test_by_hand_changes_the_advice(whirlwise: Whirlwise, clip_settings: list[ClipSettings]) -> None:
    assert "hardly slips" in whirlwise("clip", "wheel.mp4", "--by-hand").out
    assert "hardly slips" not in whirlwise("clip", "wheel.mp4").out
    assert len(clip_settings) == 2


def test_proof_is_written_where_asked(
    whirlwise: Whirlwise, picture: Path, photo_settings: list[PhotoSettings], tmp_path: Path
) -> None:
    proof = tmp_path / "proof.png"
    found = whirlwise("photo", picture, "--proof", proof)
    assert found.status == 0
    assert found.out.endswith(f"\nProof picture: {proof}\n")
    with Image.open(proof) as shown:
        assert shown.width >= 800
    assert len(photo_settings) == 1


def test_no_proof_over_the_input_or_another_file(
    whirlwise: Whirlwise, picture: Path, photo_settings: list[PhotoSettings], tmp_path: Path
) -> None:
    proof = tmp_path / "proof.png"
    proof.write_bytes(b"mine")
    found = whirlwise("photo", picture, "--proof", proof)
    assert (found.status, found.err) == (
        2,
        f"--proof got '{proof}', which is there already; give another name, or --force to write over it.\n",
    )
    assert proof.read_bytes() == b"mine"
    found = whirlwise("photo", proof, "--proof", proof, "--force")
    assert (found.status, found.err) == (
        2,
        f"--proof got '{proof}', which is the file to be measured; give the proof another name.\n",
    )
    assert proof.read_bytes() == b"mine"
    assert photo_settings == []
    assert whirlwise("photo", picture, "--proof", proof, "--force").status == 0
    assert proof.read_bytes().startswith(b"\x89PNG")


def test_json_is_all_there_is(
    whirlwise: Whirlwise, picture: Path, photo_settings: list[PhotoSettings], tmp_path: Path
) -> None:
    found = whirlwise("photo", picture, "--json", "--proof", tmp_path / "proof.png")
    assert json.loads(found.out)["file"] == "wheel.jpg"
    assert found.err == ""
    assert len(photo_settings) == 1


def test_twist_works_out_the_one_left_out(whirlwise: Whirlwise) -> None:
    # GATE 2005, question 49, in a spinner's terms: 200 x 1000 turns a minute on 250 m are 8 turns per cm.
    known = {"--ratio": "200", "--cadence": "1000", "--drafting": "250m", "--wish": "8/cm"}
    for left_out, key, value in [
        ("--wish", "twist_per_cm", 8),
        ("--cadence", "cadence_per_min", 1000),
        ("--drafting", "drafting_cm_per_min", 25_000),
        ("--ratio", "ratio", 200),
    ]:
        typed = [part for option, text in known.items() if option != left_out for part in (option, text)]
        found = whirlwise("twist", *typed, "--json")
        assert found.status == 0
        assert json.loads(found.out)[key]["value"] == pytest.approx(value)
        assert whirlwise("twist", *typed).status == 0


def test_twist_says_both_units(whirlwise: Whirlwise) -> None:
    found = whirlwise("twist", "--ratio=12.5", "--cadence=60", "--drafting=150cm")
    assert found.out.startswith(
        "The yarn gets 5.000 (95 % sure: 4.950 to 5.050) turns per cm, that is 12.70 (95 % sure:"
    )


def test_whirls(whirlwise: Whirlwise) -> None:
    typed = ["--ratio=small=12", "--ratio=6.5", "--cadence=60", "--drafting=240cm", "--wish=3/cm"]
    document = json.loads(whirlwise("whirls", *typed, "--json").out)
    assert document["best"] == "small"
    assert [each["whirl"] for each in document["whirls"]] == ["small", "6.5"]
    assert whirlwise("whirls", *typed).out.startswith("Take the whirl small:")


@pytest.mark.parametrize(("name", "words"), [("photo", "Tape a bank card"), ("clip", "Ten seconds at least")])
def test_guides(whirlwise: Whirlwise, name: str, words: str) -> None:
    found = whirlwise("guide", name)
    assert found.status == 0
    assert words in found.out
    assert max(map(len, found.out.splitlines())) <= 88
    assert f"whirlwise guide {name}" in whirlwise("guide").out


LIBRARY = """
import sys, importlib.abc
class Missing(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        if name == "cv2":
            raise ImportError("{message}")
sys.meta_path.insert(0, Missing())
from whirlwise.cli.app import main
main(["--version"])
"""


@pytest.mark.parametrize(
    ("library", "package"),
    [("libGL.so.1", "libgl1"), ("libgthread-2.0.so.0", "libglib2.0-0"), ("libxcb.so.1", "libxcb1")],
)
def test_a_missing_system_library_is_named(library: str, package: str) -> None:
    script = LIBRARY.format(message=f"{library}: cannot open shared object file: No such file or directory")
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert (found.returncode, found.stdout) == (4, "")
    assert found.stderr == (
        f"The system library {library} is missing; on Debian install it with: apt-get install {package}\n"
    )


def test_any_other_failing_import_is_no_secret() -> None:
    script = LIBRARY.format(message="something else")
    found = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert found.returncode == 1
    assert "something else" in found.stderr
