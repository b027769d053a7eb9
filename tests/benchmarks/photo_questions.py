"""What a person at the wheel would tell the program about a picture, and what is asked of its answer.

A truth file NAME.json lies beside its picture and says: ``file``; ``kind``, "wheel" or "closeup_..."
(side-on); ``geometry``, true diameters in mm; ``image_truth``, where things are in the upright picture;
``references``.
"""

import zlib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment
from tests.benchmarks.score_table import Answer

Json = Mapping[str, Any]

#: How far from its mark a tap lands at the most: in rim radii, and in whirl radii.
HUB_TAP, WHIRL_TAP = 0.1, 0.5
#: A reference as near to the plane of the band as this is said to lie in it.
IN_PLANE_MM = 2.0
#: An outer diameter that differs by more is that of another step (natural logarithm).
SAME_STEP = 0.5


def words(truth: Json, picture: str, *, hints: bool) -> list[str]:
    """The command line, as somebody types it who has a ruler, a caliper and a finger."""
    command = "photo" if truth["kind"] == "wheel" else "profile"
    band = f"--band={truth['geometry']['cord_diameter_mm']:.1f}mm"
    typed = [command, picture, "--json", band, *_reference_words(truth)]
    return typed + (_taps(truth) if hints and command == "photo" else [])


def _reference_words(truth: Json) -> list[str]:
    references = truth["references"]
    if not references:
        return ["--reference=none"]
    first = references[0]
    kind = _kind_word(first)
    if len({_kind_word(reference) for reference in references}) > 1:
        # Two markers of unlike sizes: only a distance between two points says which one is meant.
        (x1, y1), (x2, y2) = np.round(first["corners_px"], 1)[[0, 2]].tolist()
        across_mm = np.linalg.norm(np.subtract(first["corners_world_mm"][0], first["corners_world_mm"][2]))
        kind = f"points={x1},{y1},{x2},{y2},{across_mm:.2f}mm"
    offset_mm = first["plane_offset_mm"]
    return [f"--reference={kind}", *([f"--offset={offset_mm:.0f}mm"] if abs(offset_mm) > IN_PLANE_MM else [])]


def _kind_word(reference: Json) -> str:
    size = reference["size"]
    plain = {"id1_card": "card", "a4_sheet": "a4", "ruler_mm": "rule"}
    if reference["type"] in plain:
        return plain[reference["type"]]
    return f"coin={size['diameter_mm']}mm" if reference["type"] == "disc" else f"marker={size['side_mm']}mm"


def _taps(truth: Json) -> list[str]:
    """Taps that miss the axle and the whirl's middle as a finger does, the same ones each time."""
    rng, seen = np.random.default_rng(zlib.crc32(truth["file"].encode()) + 1), truth["image_truth"]
    aims = [
        ("--hub", seen["hub_centre_px"], HUB_TAP * seen["rim_outer_band_plane"]["ellipse"]["b"]),
        ("--whirl", seen["whirl_centre_px"], WHIRL_TAP * seen["whirl_outer_active_step"]["ellipse"]["b"]),
    ]
    taps = []
    for option, middle_px, reach_px in aims:
        turn, share = rng.uniform(0, 2 * np.pi), np.sqrt(rng.uniform())
        x, y = np.rint(middle_px + share * reach_px * np.array([np.cos(turn), np.sin(turn)]))
        if _in_view(truth, [(x, y)])[0]:
            taps.append(f"{option}={x:.0f},{y:.0f}")
    return taps


def answers(truth: Json, told: Json) -> Iterator[Answer]:
    """Every number asked of a picture; ``told`` is what the program printed, or empty."""
    if truth["kind"] != "wheel":
        yield from _steps(truth, told)
        return
    wheel, drive = truth["geometry"]["drive_wheel"], truth["geometry"]["whirl"]
    ratio = _flyer(told.get("ratios"), "whirl").get("ratio")
    whirl_seen = _in_view(truth, [truth["image_truth"]["whirl_centre_px"]])[0]
    rim_seen = _in_view(truth, truth["image_truth"]["rim_outer_band_plane"]["points"]).mean() > 0.5
    yield Answer(
        "ratio", truth["geometry"]["ratio_pitch"], _number(ratio), asked=bool(whirl_seen and rim_seen)
    )
    if truth["references"]:
        sizes, whirl = told.get("wheel") or {}, _flyer(told.get("whirls"), "label")
        pitch_mm = drive["steps"][drive["active_step"]]["pitch_diameter_mm"]
        yield Answer(
            "wheel outer", wheel["outer_diameter_mm"], _number(sizes.get("outer_mm")), bool(rim_seen)
        )
        yield Answer(
            "wheel pitch", wheel["pitch_diameter_mm"], _number(sizes.get("pitch_mm")), bool(rim_seen)
        )
        yield Answer("whirl pitch", pitch_mm, _number(whirl.get("pitch_mm")), bool(whirl_seen))


def sizes_from_nowhere(truth: Json, told: Json) -> list[str]:
    """Lengths that were told of a picture without anything of known size in it."""
    wheel, whirls = told.get("wheel") or {}, told.get("whirls") or []
    lengths = {"wheel outer": wheel.get("outer_mm"), "wheel pitch": wheel.get("pitch_mm")}
    lengths |= {"centre distance": told.get("centre_distance_mm")}
    lengths |= {f"{whirl.get('label')} pitch": whirl.get("pitch_mm") for whirl in whirls}
    return [] if truth["references"] else [name for name, told_mm in lengths.items() if told_mm is not None]


def _steps(truth: Json, told: Json) -> Iterator[Answer]:
    """Steps of a whirl seen side-on, each told one paired with the true one that it is most like."""
    geometry = truth["geometry"]
    true = [*geometry["whirl"]["steps"], *([geometry["bobbin_whirl"]] if "bobbin_whirl" in geometry else [])]
    seen = [step for step in told.get("steps") or [] if _number(step.get("outer_mm"))]
    unlike = np.array(
        [[abs(np.log(s["outer_mm"]["value"] / t["outer_diameter_mm"])) for s in seen] for t in true]
    ).reshape(len(true), len(seen))
    pairs = dict(zip(*(indices.tolist() for indices in linear_sum_assignment(unlike)), strict=True))
    for k, step in enumerate(true):
        paired = k in pairs and unlike[k, pairs[k]] < SAME_STEP
        got = seen[pairs[k]] if paired else {}
        for name, key in (("outer", "outer"), ("groove", "groove_bottom"), ("pitch", "pitch")):
            yield Answer(f"step {name}", step[f"{key}_diameter_mm"], _number(got.get(f"{name}_mm")))


def _flyer(entries: Sequence[Json] | None, name: str) -> Json:
    """The flyer's entry; in double drive the bobbin has one too."""
    rest = [entry for entry in entries or [] if "bobbin" not in str(entry.get(name))]
    return rest[0] if rest else {}


def _number(told: Json | None) -> tuple[float, float, float] | None:
    return (told["value"], told["low"], told["high"]) if told else None


def _in_view(truth: Json, points_px: Sequence[Sequence[float]]) -> NDArray[np.bool_]:
    size = [truth["image"]["upright_width"], truth["image"]["upright_height"]]
    points = np.asarray(points_px, dtype=float)
    return np.asarray(((points >= 0) & (points < size)).all(axis=1))
