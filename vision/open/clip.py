"""A clip file as upright gray pictures with exact times.

Times come from the file's presentation time stamps, kept as exact fractions; an index divided by a nominal
frame rate is never used, because phones vary their frame rate. Slow motion that is stored stretched is put
back to real time by the capture rate that the file states or the user gives.

What this cannot do: it holds all pictures in memory, so long clips are kept smaller
(see ``MEMORY_LIMIT_BYTES``). Each picture is made smaller as soon as it is decoded, so the size of the file's
pictures makes no difference to that.
"""

import math
import pathlib
import stat
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import av
import av.error
import cv2
import numpy as np
from numpy.typing import NDArray

from ..errors import UnreadableFileError
from .frame_rate import GIVEN, SAME_RATE, FrameRate

#: Wider pictures are halved until they fit: the angles gain nothing from more pixels.
WIDTH_LIMIT_PX = 960
#: All pictures of a clip together stay below this; a longer clip is kept smaller.
MEMORY_LIMIT_BYTES = 250_000_000
#: Tags in which cameras write the rate (pictures a second) at which slow motion was captured.
CAPTURE_RATE_TAGS = ("com.android.capture.fps",)
#: This tag marks slow motion whose time stamps are real already: it only asks the player to go slowly.
REAL_TIME_TAG = "com.apple.quicktime.full-frame-rate-playback-intent"
#: A gap of more than this many usual gaps is put down to lost pictures.
LOST_GAP = 1.6
#: Layouts whose first plane is the luma as it is: no conversion is needed.
LUMA_FIRST = ("yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "yuvj444p", "nv12", "nv21", "gray")
#: What OpenCV calls 0, 1, 2 and 3 quarter turns anticlockwise.
QUARTER_TURNS = (None, cv2.ROTATE_90_COUNTERCLOCKWISE, cv2.ROTATE_180, cv2.ROTATE_90_CLOCKWISE)
#: After so many pictures the reader says how far it is.
PICTURES_PER_TELLING = 32
RECORD_AGAIN = "record it again, or copy it again from the camera"
ONE_PICTURE = "film the wheel while it turns, or have the picture itself measured ('whirlwise photo')"
CHECK_NAME = "check the name and the folder"


@dataclass(frozen=True, slots=True)
class ClipFrames:
    """The pictures of one clip.

    Attributes
    ----------
    gray : (n, height, width) array of uint8
        Upright pictures, smaller than in the file by ``shrink``.
    times : tuple of Fraction
        Real time in s of each picture since the first, exact.
    shrink : int
        Pixels of the upright file picture per pixel of ``gray``, along each side.
    stored_s : float
        Length from the first to the last time stamp, as stored in the file.
    lost_frames : int
        Pictures that are missing: gaps in the time stamps and pictures that could not be decoded.
    rows_across : bool
        Whether the sensor's rows run up and down in the upright picture (a phone held upright).
    """

    file: str
    gray: NDArray[np.uint8]
    times: tuple[Fraction, ...]
    shrink: int
    stored_s: float
    lost_frames: int
    frame_rate: FrameRate
    rows_across: bool = False

    @property
    def times_s(self) -> NDArray[np.float64]:
        """Real time of each picture as floats, in s."""
        return np.array([float(t) for t in self.times])

    def to_gray(self, upright_px: tuple[float, float]) -> tuple[float, float]:
        """Point of the upright file picture -> point of ``gray`` (pixel centres at whole numbers)."""
        x, y = upright_px
        return ((x + 0.5) / self.shrink - 0.5, (y + 0.5) / self.shrink - 0.5)

    def to_upright(self, gray_px: tuple[float, float]) -> tuple[float, float]:
        """Point of ``gray`` -> point of the upright file picture."""
        x, y = gray_px
        return ((x + 0.5) * self.shrink - 0.5, (y + 0.5) * self.shrink - 0.5)


def read_clip(
    path: pathlib.Path, captured_at_per_s: float | None = None, tell: Callable[[float], None] | None = None
) -> ClipFrames:
    """Decode the first video track of a file.

    Parameters
    ----------
    path : pathlib.Path
        The clip.
    captured_at_per_s : float, optional
        True capture rate where the user knows it; overrules the file's tags.
    tell : callable, optional
        Called now and then with the share that is read, from 0 to 1.

    Raises
    ------
    UnreadableFileError
        If the file is missing, empty, no video, or cut off.
    """
    _check_place(path)
    try:
        # Absolute, so that a colon in the name is not taken for an address; tags may be in any old encoding.
        with av.open(str(path.absolute()), metadata_errors="replace") as container:
            if not container.streams.video:
                raise UnreadableFileError(_sentence(path, "a file without pictures"))
            stream = container.streams.video[0]
            if stream.codec_context is None:
                raise UnreadableFileError(_sentence(path, "pictures in an encoding that is not known here"))
            stream.thread_type = "AUTO"
            tags = {**stream.metadata, **container.metadata}
            expected = _expected(stream)
            shots = _Shots(_shrink(stream, expected), expected)
            for number, (stamp, frame) in enumerate(_decode(container, stream)):
                shots.add(stamp, frame)
                if tell is not None and number % PICTURES_PER_TELLING == 0:
                    tell(min(1.0, number / max(expected, number + 1)))
    except (av.error.FFmpegError, OSError) as error:
        if isinstance(error, UnreadableFileError):
            raise
        raise UnreadableFileError(_sentence(path, _what_is_wrong(error))) from error
    return _assemble(path, shots, tags, captured_at_per_s)


class _Shots:
    """The pictures as they come, in one growing array (so in memory once), and their time stamps."""

    def __init__(self, shrink: int, expected: int) -> None:
        self.shrink, self.expected = shrink, expected
        self.stamps: list[Fraction] = []
        self.quarter_turns = 0
        self._pictures: NDArray[np.uint8] | None = None

    def add(self, stamp: Fraction, frame: "av.VideoFrame") -> None:
        """Keep a picture, if it is whole and has the size of the others."""
        # Damage may also turn up as a picture of a few pixels.
        if frame.is_corrupt or min(frame.width, frame.height) < self.shrink:
            return
        # The display matrix gives whole quarter turns, anticlockwise positive.
        turns = round(frame.rotation / 90)
        gray = _turned(_small_gray(frame, self.shrink), turns)
        count = len(self.stamps)
        if self._pictures is None:
            self.quarter_turns = turns
            self._pictures = np.empty((max(self.expected, 2), *gray.shape), np.uint8)
        elif gray.shape != self._pictures.shape[1:]:
            return
        elif count == len(self._pictures):
            # Grows in place: two copies of a long clip would be too much.
            self._pictures.resize((count + count // 4 + 8, *gray.shape), refcheck=False)
        self._pictures[count] = gray
        self.stamps.append(stamp)

    def in_order(self) -> tuple[list[Fraction], NDArray[np.uint8]]:
        """Rising time stamps and their pictures; a stamp that stands still is dropped."""
        order = sorted(range(len(self.stamps)), key=lambda i: self.stamps[i])
        kept = order[:1] + [n for last, n in pairwise(order) if self.stamps[n] > self.stamps[last]]
        if self._pictures is None:
            return [], np.empty((0, 0, 0), np.uint8)
        stamps = [self.stamps[n] for n in kept]
        if kept == list(range(len(kept))):
            self._pictures.resize((len(kept), *self._pictures.shape[1:]), refcheck=False)
            return stamps, self._pictures
        return stamps, self._pictures[kept]


def _decode(
    container: "av.container.InputContainer", stream: "av.VideoStream"
) -> Iterator[tuple[Fraction, "av.VideoFrame"]]:
    """Every picture with its time stamp in s; damaged packets are passed over."""
    for packet in container.demux(stream):
        try:
            frames = packet.decode()
        except av.error.InvalidDataError:
            continue
        for frame in frames:
            if frame.pts is not None and frame.time_base is not None:
                yield frame.pts * frame.time_base, frame


def _small_gray(frame: "av.VideoFrame", shrink: int) -> NDArray[np.uint8]:
    """Luma of one picture, made smaller by area."""
    if frame.format.name in LUMA_FIRST:
        luma = frame.planes[0]
        rows = np.frombuffer(memoryview(luma), np.uint8).reshape(-1, luma.line_size)
        gray = rows[: frame.height, : frame.width]
    else:
        gray = np.asarray(frame.to_ndarray(format="gray"), dtype=np.uint8)
    if shrink == 1:
        return gray
    height, width = gray.shape[0] // shrink, gray.shape[1] // shrink
    whole = gray[: height * shrink, : width * shrink]
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _turned(gray: NDArray[np.uint8], quarter_turns: int) -> NDArray[np.uint8]:
    """Turn a picture anticlockwise."""
    way = QUARTER_TURNS[quarter_turns % 4]
    return gray if way is None else np.asarray(cv2.rotate(gray, way), dtype=np.uint8)


def _expected(stream: "av.VideoStream") -> int:
    """Pictures that the file claims to hold; 0 where it does not say."""
    seconds = float(stream.duration * stream.time_base) if stream.duration and stream.time_base else 0.0
    return int(stream.frames or seconds * float(stream.average_rate or 0))


def _shrink(stream: "av.VideoStream", expected: int) -> int:
    """How many times smaller the pictures are kept."""
    shrink = max(1, math.ceil(max(stream.width, stream.height) / WIDTH_LIMIT_PX))
    while expected * stream.width * stream.height / shrink**2 > MEMORY_LIMIT_BYTES:
        shrink += 1
    return shrink


def _assemble(
    path: pathlib.Path, shots: _Shots, tags: Mapping[str, str], captured_at_per_s: float | None
) -> ClipFrames:
    stamps, gray = shots.in_order()
    if len(stamps) == 1:
        raise UnreadableFileError(_sentence(path, "a single picture", ONE_PICTURE))
    if len(stamps) < 2:
        raise UnreadableFileError(_sentence(path, "a clip in which no picture can be decoded"))
    usual = _usual_gap(stamps)
    rate, stretch = _capture_rate(1 / usual, tags, captured_at_per_s)
    return ClipFrames(
        file=path.name,
        gray=gray,
        times=tuple((stamp - stamps[0]) / stretch for stamp in stamps),
        shrink=shots.shrink,
        stored_s=float(stamps[-1] - stamps[0]),
        lost_frames=_lost(stamps, usual),
        frame_rate=rate,
        rows_across=shots.quarter_turns % 2 == 1,
    )


def _usual_gap(stamps: list[Fraction]) -> Fraction:
    gaps = sorted(b - a for a, b in pairwise(stamps))
    return gaps[len(gaps) // 2]


def _lost(stamps: list[Fraction], usual: Fraction) -> int:
    """Pictures that the gaps leave room for. A damaged picture leaves such a gap too, so it counts once."""
    gaps = (b - a for a, b in pairwise(stamps))
    return sum(round(gap / usual) - 1 for gap in gaps if gap > LOST_GAP * usual)


def _capture_rate(
    stored_per_s: Fraction, tags: Mapping[str, str], captured_at_per_s: float | None
) -> tuple[FrameRate, Fraction]:
    """Capture rate with its source, and how many times longer the file plays than reality."""
    name, tagged = _tagged_rate(tags)
    if captured_at_per_s is not None:
        stretch = Fraction(captured_at_per_s).limit_denominator(1000) / stored_per_s
        return FrameRate(captured_at_per_s, GIVEN, tagged), _snapped(stretch)
    if tagged is not None and tagged > float(stored_per_s) * (1 + SAME_RATE):
        # A tag no higher than the stored rate means no slow motion.
        stretch = Fraction(tagged).limit_denominator(1000) / stored_per_s
        return FrameRate(tagged, f"the file's tag {name}", tagged), _snapped(stretch)
    note = f"; its tag {REAL_TIME_TAG} asks for slow play only" if tags.get(REAL_TIME_TAG) == "0" else ""
    return FrameRate(float(stored_per_s), f"the file's time stamps{note}", tagged), Fraction(1)


def _tagged_rate(tags: Mapping[str, str]) -> tuple[str, float | None]:
    """Name and value of the first tag that tells a capture rate."""
    for name in CAPTURE_RATE_TAGS:
        try:
            tagged = float(tags.get(name, ""))
        except ValueError:
            continue
        if math.isfinite(tagged) and tagged > 0:
            return name, tagged
    return "", None


def _snapped(stretch: Fraction) -> Fraction:
    """Take a stretch next to a whole number for that number: time stamps are rounded to ticks."""
    whole = Fraction(round(stretch))
    return whole if whole >= 1 and abs(stretch / whole - 1) < Fraction(1, 50) else stretch


def _check_place(path: pathlib.Path) -> None:
    """Refuse what cannot be a clip, before anything is read."""
    try:
        found = path.stat()
    except FileNotFoundError as error:
        raise UnreadableFileError(_sentence(path, "a name that no file has", CHECK_NAME)) from error
    except OSError as error:
        raise UnreadableFileError(_sentence(path, f"no file ({error.strerror})", CHECK_NAME)) from error
    if stat.S_ISDIR(found.st_mode):
        raise UnreadableFileError(_sentence(path, "a folder", "name one clip in it"))
    if not stat.S_ISREG(found.st_mode):
        raise UnreadableFileError(_sentence(path, "a device", CHECK_NAME))
    if found.st_size == 0:
        raise UnreadableFileError(_sentence(path, "an empty file"))


def _what_is_wrong(error: Exception) -> str:
    if isinstance(error, PermissionError):
        return "a file that you may not read"
    return "a file that cannot be decoded (another kind of file, or a clip that was cut off)"


def _sentence(path: pathlib.Path, got: str, remedy: str = RECORD_AGAIN) -> str:
    return f"{path}: got {got}, expected a whole video clip such as .mp4 or .mov; {remedy}."
