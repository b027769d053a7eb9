"""A random wheel in a random room for each seed, drawn with known truth.

Everything in it is invented; what is random is drawn within what wheels, rooms and hands are like (common
practice, no source). Lengths in mm, angles in rad, the axle at the origin of the plane of the band.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from tests.vision.drawn_backdrops import Backdrop
from tests.vision.drawn_canvas import Canvas, Colour, Face, photographed, shaded
from tests.vision.drawn_drive_wheels import DriveWheel
from tests.vision.drawn_heads import STEP, Head
from tests.vision.drawn_known_sizes import KnownSize
from tests.vision.drawn_loops import Loop
from tests.vision.drawn_pictures import Bgr, Points
from tests.vision.drawn_room_layout import framed, reference_drawn
from tests.vision.drawn_scenes import seen_by_opencv, unit
from tests.vision.drawn_solids import Axis, Lamp, Stuff, finely

WOODS: tuple[Colour, ...] = (
    (62, 92, 138),
    (34, 50, 78),
    (96, 140, 180),
    (130, 170, 205),
    (40, 44, 90),
    (70, 84, 96),
    (84, 104, 60),
)
CORDS: tuple[Colour, ...] = (
    (226, 232, 236),
    (170, 196, 208),
    (120, 150, 172),
    (60, 84, 104),
    (44, 44, 150),
    (60, 58, 56),
    (190, 150, 90),
)


@dataclass(frozen=True, slots=True)
class Room:
    """Everything that is drawn, and the camera that sees it."""

    seed: int
    camera: Mapping[str, float]
    size: tuple[int, int]
    focal_35mm: int | None
    wheel: DriveWheel
    head: Head
    loops: tuple[Loop, ...]
    cord: Stuff
    post: Stuff
    down: float
    post_in_front: bool
    reference: KnownSize | None
    backdrop: Backdrop
    lamp: Lamp
    blur_px: float
    noise: float

    def pixels(self, places: Points) -> Points:
        """Pixels (n, 2) of places (n, 3)."""
        return seen_by_opencv(places[:, :2], places[:, 2], self.camera)

    def faces(self) -> list[Face]:
        """All solids, back to front."""
        faces = list(self.backdrop.things(1.6 * float(np.hypot(*self.head.axis.foot))))
        faces += self.wheel.faces(self.lamp)
        faces += self.wheel.posts(self.lamp, self.post, self.down, in_front=self.post_in_front)
        faces += self.head.faces(self.lamp)
        for loop in self.loops:
            faces += loop.faces(self.lamp, self.cord)
        if self.reference is not None:
            faces += self.reference.faces(self.lamp)
        return sorted(faces, key=lambda face: face.order)

    def seen(self, faces: Iterable[Face]) -> list[Face]:
        """Faces with their outlines in pixels."""
        faces = list(faces)
        outlines = [finely(outline) for face in faces for outline in face.outlines]
        # All in one, because that is many times quicker.
        ends = np.cumsum([len(outline) for outline in outlines])
        pixels = iter(np.split(self.pixels(np.concatenate(outlines)), ends[:-1]))
        return [replace(face, outlines=tuple(next(pixels) for _ in face.outlines)) for face in faces]

    def in_pixels(self, share: float) -> "Room":
        """The same room by a camera with so many times as many pixels along each side."""
        size = (round(share * self.size[0]), round(share * self.size[1]))
        camera = dict(self.camera)
        camera["log_focal"] += float(np.log(share))
        for name in ("centre_x_px", "centre_y_px"):
            camera[name] = (camera[name] + 0.5) * share - 0.5
        return replace(self, camera=camera, size=size, backdrop=replace(self.backdrop, size=size))

    def photograph(self) -> Bgr:
        """The picture as a phone stores it."""
        backdrop = self.backdrop
        canvas = Canvas.of(backdrop.wall())
        behind = canvas.lay(backdrop.flat_faces())
        canvas.lay(self.seen(self.faces()))
        shadow = backdrop.shadow_of([face.outlines[0] for face in self.seen(self.wheel.outlines(self.lamp))])
        light = canvas.light(shadow, behind) * backdrop.falloff()
        return photographed(light, self.blur_px, self.noise, np.random.default_rng([self.seed, 9]))


def room(seed: int) -> Room:
    """The room of a seed."""
    rng = np.random.default_rng([seed, 0])
    roll = float(rng.normal(0, 0.06))
    double = bool(rng.uniform() < 0.25)
    wheel = _wheel(rng, double=double)
    above = bool(rng.uniform() < 0.35)
    turn = rng.uniform(1.2, 1.9) if above else rng.choice([1, -1]) * rng.uniform(0.95, 1.4) + np.pi / 2
    axis = _spindle(rng, wheel, float(turn) + roll)
    head = _head(rng, wheel, axis, roll, double=double)
    pitch = dict(head.steps)[0]
    loops = [Loop(wheel, axis, pitch)]
    if head.bobbin_pitch is not None:
        loops.append(Loop(wheel, axis, head.bobbin_pitch, wheel.grooves[1], head.bobbin_height))
    down = -np.pi / 2 + roll
    reference = reference_drawn(rng, wheel, axis, down)
    camera, size, focal_35mm = framed(rng, wheel, axis, reference)
    lamp = _lamp(rng)
    cord = CORDS[rng.integers(len(CORDS))]
    return Room(
        seed=seed,
        camera=camera,
        size=size,
        focal_35mm=focal_35mm,
        wheel=wheel,
        head=head,
        loops=tuple(loops),
        cord=Stuff(shaded(cord, 1.1), 0.05),
        post=wheel.wood if rng.uniform() < 0.6 else _wood(rng),
        down=down,
        post_in_front=bool(rng.uniform() < 0.6),
        reference=reference,
        backdrop=_backdrop(rng, size, seed, roll),
        lamp=lamp,
        blur_px=float(rng.uniform(0.55, 1.1)),
        noise=float(rng.uniform(1.5, 6.0)),
    )


def _wood(rng: np.random.Generator) -> Stuff:
    return Stuff(
        shaded(WOODS[rng.integers(len(WOODS))], rng.uniform(0.8, 1.2)), float(rng.uniform(0.01, 0.07))
    )


def _wheel(rng: np.random.Generator, *, double: bool) -> DriveWheel:
    rim, cord = float(rng.uniform(210, 330)), float(rng.uniform(1.8, 4.0))
    deep = float(rng.uniform(1.5, 6.0))
    gap = float(rng.uniform(8, 11)) * (rng.choice([1, -1]) if double else 1)
    grooves = (0.0, gap) if double else (0.0,)
    half = min(float(rng.uniform(0.8, 1.6)) * cord + 0.7, 4.0)
    front = max(max(grooves) + half + 2, float(rng.uniform(0.028, 0.06)) * rim)
    back = max(-min(grooves) + half + 2, float(rng.uniform(0.03, 0.06)) * rim)
    wood, lines = _wood(rng), rng.uniform(0.15, 0.85, rng.integers(0, 4))
    return DriveWheel(
        rim=rim,
        pitch=rim - deep,
        cord=cord,
        front=front,
        back=back,
        inner=rim - float(rng.uniform(28, 60)),
        groove_half=half,
        grooves=grooves,
        oval=abs(float(rng.normal(0, 0.0015))),
        oval_turn=float(rng.uniform(0, np.pi)),
        spokes=int(rng.integers(6, 17)),
        spoke=float(rng.uniform(5, 8)),
        hub=float(rng.uniform(24, 42)),
        turn=float(rng.uniform(0, 2 * np.pi)),
        bevel=float(rng.uniform(0.3, 2.5)),
        lines=tuple(map(float, lines)),
        wood=wood,
        metal=Stuff(shaded((150, 160, 165), rng.uniform(0.4, 1.0))),
    )


def _spindle(rng: np.random.Generator, wheel: DriveWheel, turn: float) -> Axis:
    foot = wheel.rim * float(rng.uniform(1.3, 1.75)) * unit(turn)
    lean = float(np.radians(rng.uniform(0, 1.5))) * unit(rng.uniform(0, 2 * np.pi))
    return Axis((float(foot[0]), float(foot[1])), (float(lean[0]), float(lean[1])))


def _head(rng: np.random.Generator, wheel: DriveWheel, axis: Axis, roll: float, *, double: bool) -> Head:
    pitch, side = wheel.pitch / float(rng.uniform(5.0, 15.0)), int(rng.choice([1, -1]))
    count = int(rng.integers(1, 4))
    used = int(rng.integers(count))
    if double:
        used = max(used, count - 2)
        # The bobbin's whirl stands on the side of the second groove; at most one step is between.
        side = int(np.sign(wheel.grooves[1]))
    steps = tuple((side * (k - used), pitch + float(rng.uniform(4, 9)) * (used - k)) for k in range(count))
    steps = tuple((place, max(radius, 9.0)) for place, radius in steps)
    last = max(side * place for place, _ in steps) * STEP
    turn = float(np.arctan2(axis.foot[1], axis.foot[0]))
    # The maidens stand beside the runs, never between them: on the lower side.
    stands = turn + float(rng.uniform(1.35, 2.0)) * (1 if np.cos(turn - roll) < 0 else -1)
    return Head(
        axis=axis,
        side=side,
        steps=steps,
        flange=float(rng.uniform(1.5, 5.5)),
        cord=wheel.cord,
        bobbin_pitch=pitch * float(rng.uniform(0.6, 0.85)) if double else None,
        bobbin_height=side * (last + float(rng.uniform(10, 15))) if double else 0.0,
        bobbin=(float(rng.uniform(22, 42)), float(rng.uniform(9, 20)), float(rng.uniform(70, 115))),
        arms=float(rng.uniform(42, 62)),
        turn=float(rng.uniform(0, 2 * np.pi)),
        stands=stands,
        wood=_wood(rng),
        other_wood=_wood(rng),
        yarn=Stuff(shaded((150, 175, 190), rng.uniform(0.3, 1.2)), 0.1),
        metal=Stuff((120, 130, 135)),
    )


def _lamp(rng: np.random.Generator) -> Lamp:
    turn, high = rng.uniform(0.2, 2.9), rng.uniform(0.5, 1.1)
    x, y = np.sin(high) * unit(turn)
    return Lamp((float(x), float(y), float(np.cos(high))))


def _backdrop(rng: np.random.Generator, size: tuple[int, int], seed: int, roll: float) -> Backdrop:
    off_x, off_y, dark, soft = rng.uniform((-60, -60, 0, 2), (60, 60, 0.35, 10)).tolist()
    return Backdrop(
        size=size,
        floor_from=float(rng.uniform(0.62, 0.95)),
        slope=float(-np.tan(roll) * size[0] / size[1]),
        boards=int(rng.integers(4, 9)) if rng.uniform() < 0.3 else 0,
        clutter=int(rng.integers(0, 6)),
        shadow=(off_x, off_y, dark, soft),
        seed=seed,
    )
