"""Measure a wheel from one picture: sizes, and the ratio of its pitch circles.

Reads top to bottom: open the picture, make it small enough, find the rim and the band's runs, find what has
a known size, fit all of it at once from either pose of the rim, and report only what both poses leave
standing. What was found once of a picture may be handed in again (`remembered.py`).
"""

from collections.abc import Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import compress
from pathlib import Path

import numpy as np

from .errors import WrongHintError
from .find.rim import RimEdge, clearest_edge, edge_pointed_at, find_rim_edges
from .find.rim_beyond import edge_seen_beyond, with_edges_beyond
from .find.rim_colour import wood_outside
from .find.runs import BandRun, RunPair
from .fit.cord_check import as_thick_as_told
from .fit.hypothesis import Hypothesis, standing, surely_strained
from .fit.joint import Fit
from .fit.reference_choice import Choice, chosen_references
from .fit.rim_sides import ANOTHER_EDGE, front_of
from .fit.wheel_fit import WheelPicture, fit_rim, rim_poses
from .fit.wheel_scene import UNSCALED_RIM_RADIUS_MM
from .geometry.circle_pose import CirclePose
from .measured import NotMeasured
from .open.picture import Picture, Size, open_picture
from .open.reduced import reduced, resized
from .photo_answer import answer, nothing_found
from .photo_band import Band, band_along, likelier, likeliest_pair
from .photo_pose import Begun, explaining_all, with_parts, with_runs
from .photo_reading import PhotoReading, Point
from .photo_references import edge_to_look_round, looked_for, requests_of
from .photo_settings import PhotoSettings
from .references.search import LookedFor
from .remembered import Remembered

__all__ = ["PhotoSettings", "measure_photo"]

#: Threads: one for either pose, and one for the band, which has nothing to do with them. What waits for
#: something else is handed in after it, so that it waits for what is at work already.
THREADS = 3
#: A band that is its tangent tells that something round is a rim. Without one an edge must be seen on so much
#: of its outline: a rim's and the grain of a board may make an ellipse together. In 160 pictures and rooms of
#: known truth one of 0.62 was none; of true rims whose bands are painted out all have 0.7 and more.
LEAST_COVER_ALONE = 0.66


def measure_photo(
    path: Path, settings: PhotoSettings | None = None, remembered: Remembered | None = None
) -> PhotoReading:
    """Measure the wheel in one picture.

    Parameters
    ----------
    path : Path
    settings : PhotoSettings, optional
    remembered : Remembered, optional
        What was found before, if the same picture is measured again with other settings. It makes that
        quicker and changes no number; what is found is added to it.

    Returns
    -------
    PhotoReading
        What could not be measured stands in it with reason and remedy.

    Raises
    ------
    UnreadableFileError
        If the file is no picture that can be read.
    WrongHintError
        If a click lies outside the picture.

    Notes
    -----
    Large pictures are measured on a reduced copy; all pixels in and out are those of the file's picture.
    """
    settings = settings or PhotoSettings()
    remembered = remembered or Remembered()
    seen = opened(path, remembered)
    _check_clicks(seen.size, settings)
    asked = resized(settings, seen.size, seen.picture.size)
    return resized(_measured(seen.picture, asked, remembered), seen.picture.size, seen.size)


@dataclass(frozen=True, slots=True)
class Opened:
    """A picture, small enough to be measured, and the size of the one in the file."""

    picture: Picture
    size: Size


def opened(path: Path, remembered: Remembered) -> Opened:
    """Read a picture, unless it is remembered.

    Raises
    ------
    UnreadableFileError
        If the file is no picture that can be read.
    """

    def read() -> Opened:
        whole = open_picture(path)
        return Opened(reduced(whole), whole.size)

    remembered.begin(path)
    return remembered.once("opened", path.name, read)


def _measured(picture: Picture, settings: PhotoSettings, remembered: Remembered) -> PhotoReading:
    once, hub_px = remembered.once, settings.hub_px
    # What has nothing to do with each other is done side by side; the libraries let go of the lock at times.
    with ThreadPoolExecutor(THREADS) as side_by_side:
        lab = side_by_side.submit(lambda: picture.lab)
        edges = once("edges", hub_px, lambda: _rim_edges(picture, hub_px))
        if not edges:
            return nothing_found(picture)
        pointed_at = edge_pointed_at(edges, np.array(settings.rim_px)) if settings.rim_px else None
        chosen = pointed_at or clearest_edge(edges)
        tried = [chosen, *([edges[0]] if _wider(edges[0], chosen) else [])]
        pairs = [side_by_side.submit(_pair, picture, edge, settings, remembered) for edge in tried]

        def search(edge: RimEdge) -> Future[LookedFor]:
            return side_by_side.submit(_references, picture, edge, settings, remembered, side_by_side)

        # What is named is found quickly; rings of a coin want the plane as well as it is known.
        unasked = None if settings.references else search(edge_to_look_round(edges, chosen))
        outermost = chosen if pointed_at else edges[0]
        lab.result()
        rim = once("rim", (chosen, outermost), lambda: front_of(picture, chosen, outermost))
        references = unasked or search(rim)
        # Of an inner edge no band is a tangent, and what seems to be one is none.
        inner = not pointed_at and once("inner", rim, lambda: wood_outside(picture.bgr, rim))
        pairs = [] if inner else pairs
        seen = WheelPicture(picture, rim, (), settings.offset_mm, UNSCALED_RIM_RADIUS_MM)
        hypotheses, missing = _hypotheses(seen, pairs, references, settings, remembered, side_by_side)
    left = standing(hypotheses)
    if pointed_at is None and left[0].band is None and rim.cover < LEAST_COVER_ALONE:
        return nothing_found(picture)
    is_outermost = pointed_at is not None or not (inner or _wider(edges[0], rim))
    if is_outermost and pointed_at is None and left[0].band is None:
        # No band tells that the rim ends there.
        is_outermost = not once("beyond", rim, lambda: edge_seen_beyond(picture.bgr, rim))
    return answer(picture, rim, left, settings, missing, outermost=is_outermost)


def _hypotheses(
    unscaled: WheelPicture,
    pairs: Sequence[Future[RunPair | None]],
    references: Future[LookedFor],
    settings: PhotoSettings,
    remembered: Remembered,
    side_by_side: Executor,
) -> tuple[list[Hypothesis], tuple[NotMeasured, ...]]:
    """What is fitted from either pose of the rim, and why something that was asked for was not found."""
    once, requests, picture = remembered.once, settings.references, unscaled.picture
    poses = rim_poses(picture, unscaled.rim)
    fits = once("rim fits", unscaled.rim, lambda: [fit_rim(unscaled, pose) for pose in poses])
    # How thick the cords are in the picture is known only with a scale, and if the spinner measured them.
    early = settings.band_mm is None
    band_alone = side_by_side.submit(_band, picture, pairs, (), settings, remembered) if early else None
    looked = references.result()

    def choice(pose: CirclePose, fit: Fit) -> Choice:
        return once(
            "choice",
            (unscaled, pose, looked.found, requests),
            lambda: chosen_references(unscaled, pose, fit, looked.found, requests),
        )

    choices = list(side_by_side.map(choice, poses, fits))
    choices = _with_cords_as_told(unscaled, choices, fits, pairs, settings, remembered)
    band = band_alone.result() if band_alone else _band(picture, pairs, choices, settings, remembered)
    asked = (settings.whirls_px, settings.band_mm)

    def begun(choice: Choice, pose: CirclePose) -> Begun:
        return once("runs", (choice, pose, band, asked), lambda: with_runs(choice, pose, band, settings))

    starts = list(side_by_side.map(begun, choices, poses))
    surely_double = band is not None and band.surely_double
    stand = explaining_all(starts, surely_double=surely_double)
    # Where no pose explains both cords, a loop made of one of each would tell a wrong ratio.
    mixed = surely_double and not any(start.double for start in starts)
    hopeless = [mixed or _hopeless(*both) for both in ((starts, choices), (starts[::-1], choices[::-1]))]

    def hypothesis(choice: Choice, alone: Fit, pose: CirclePose, start: Begun, out: bool) -> Hypothesis:
        fitted = once("fit", (choice, pose, band, asked, out), lambda: with_parts(choice, start, out))
        # What a reference adds to the misfit would speak against the pose that explains it.
        return replace(fitted, reference_cost=max(choice.fit.cost - alone.cost, 0.0))

    each = compress(zip(choices, fits, poses, starts, hopeless, strict=True), stand)
    return list(side_by_side.map(hypothesis, *zip(*each, strict=True))), looked.missing


def _references(
    picture: Picture, edge: RimEdge, settings: PhotoSettings, remembered: Remembered, side_by_side: Executor
) -> LookedFor:
    """What of known size lies about an edge of the rim."""
    requests = requests_of(settings)
    return remembered.once(
        "references", (edge.ellipse, requests), lambda: looked_for(picture, edge, requests, side_by_side)
    )


def _with_cords_as_told(
    unscaled: WheelPicture,
    choices: list[Choice],
    fits: Sequence[Fit],
    pairs: Sequence[Future[RunPair | None]],
    settings: PhotoSettings,
    remembered: Remembered,
) -> list[Choice]:
    """The choices, without references that may be something else and make the band of another thickness."""
    doubted = [one for each in choices for one in each.seen.references if not one.certain]
    told_mm = settings.band_mm
    if told_mm is None or not doubted:
        return choices
    band = _band(unscaled.picture, pairs, (), settings, remembered)
    if band is None:
        return choices
    both = zip(choices, fits, strict=True)
    return [as_thick_as_told(choice, unscaled, fit, band.cords, told_mm) for choice, fit in both]


def _hopeless(starts: Sequence[Begun], choices: Sequence[Choice]) -> bool:
    """Whether the first pose will not stand beside the second, whatever the spindle's parts say.

    A pose that explains a reference which the other one does not may have to stand alone.
    """
    alone = bool(choices[0].seen.references) and not choices[1].seen.references
    return not alone and surely_strained(starts[0].strains, starts[1].strains)


def _rim_edges(picture: Picture, hub_px: Point | None) -> list[RimEdge]:
    """Round edges about the hub, the outermost first."""
    return with_edges_beyond(picture.bgr, find_rim_edges(picture.bgr, hub_px))


def _wider(edge: RimEdge, other: RimEdge) -> bool:
    return edge.ellipse.mean_radius_px > ANOTHER_EDGE * other.ellipse.mean_radius_px


def _check_clicks(size: Size, settings: PhotoSettings) -> None:
    clicks = [("--hub", settings.hub_px), *(("--whirl", click) for click in settings.whirls_px)]
    clicks += [("--rim", click) for click in settings.rim_px]
    clicks += [("--band-at", click) for click in settings.band_px]
    clicks += [
        (f"--reference {each.kind}", point) for each in settings.references for point in each.points_px
    ]
    for option, click in clicks:
        if click is not None and not size.contains(click):
            raise WrongHintError(
                f"{option} {click[0]:g},{click[1]:g} lies outside the picture, which is "
                f"{size.width_px} x {size.height_px} pixels. Point at a place inside it."
            )


def _pair(picture: Picture, edge: RimEdge, settings: PhotoSettings, remembered: Remembered) -> RunPair | None:
    """The band's two runs, as tangents of one of the rim's edges."""
    rim, whirl_px = edge.ellipse, settings.whirls_px[0] if settings.whirls_px else None
    told = (rim, whirl_px, settings.band_px)
    return remembered.once("pair", told, lambda: likeliest_pair(picture, *told))


def _band(
    picture: Picture,
    pairs: Sequence[Future[RunPair | None]],
    choices: Sequence[Choice],
    settings: PhotoSettings,
    remembered: Remembered,
) -> Band | None:
    """Where the cords run in the picture; the wheel's pose matters only for how thick they are in it."""
    pair = likelier(each.result() for each in pairs)
    if pair is None:
        return None
    scaled = next((choice.fit for choice in choices if choice.seen.references), None)
    thick_px = [_cord_px(scaled, run, settings) for run in pair.runs]
    return remembered.once("band", (pair, thick_px), lambda: band_along(picture, pair, thick_px))


def _cord_px(scaled: Fit | None, run: BandRun, settings: PhotoSettings) -> float | None:
    """The cord's thickness in the picture, if it and the scale are known."""
    if settings.band_mm is None or scaled is None:
        return None
    plane = scaled.scene.plane
    middle = plane.plane_from_pixels(0.5 * (run.start_px + run.end_px)[None])[0]
    return float(settings.band_mm.nominal_value) * plane.px_per_mm((float(middle[0]), float(middle[1])))
