"""How well a band grips wheel and whirls, and where it slips first.

The law of Euler and Eytelwein: about to slip, the tight run's tension is e^(friction x contact angle) times
the slack run's. It takes a band that bends freely, the same dry friction all along the contact and no speed
that throws the band outwards (a cord of 4 g/m at 3 m/s loses 0.04 N of several N). Friction of a cord on
wood is seldom known better than by half, so what is compared here is trusted and what stands alone is
rough.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import degrees
from typing import Final, Literal

from uncertainties import nominal_value, umath

from .bands import crossed_contact_angle_rad, open_contact_angle_rad, tension_ratio
from .cord import BandPath
from .interval import interval_95
from .quantity import Quantity

#: Cord on wood: value and half-width of a 95 % interval. Textbook examples take 0.2-0.35; for a wheel: common
#: practice, no source.
USUAL_FRICTION: Final = (0.3, 0.1)
#: The part that is no whirl.
WHEEL: Final = "wheel"


@dataclass(frozen=True, slots=True)
class Grip:
    """How well the band holds one part.

    Attributes
    ----------
    label : str
        ``"wheel"`` or the whirl's name.
    contact_deg : Quantity
        How much of it the band wraps.
    tension_ratio : Quantity
        Tight over slack run when it is about to slip.
    pull_share : Quantity
        The most that the band can pull it with, as a share of both runs' tensions together:
        (e^x - 1) / (e^x + 1) = tanh(x / 2), x being friction x contact angle.
    holds_mm : Quantity
        That pull times the pitch radius: the torque that it holds, in N mm for each N of tension of both
        runs.
    """

    label: str
    contact_deg: Quantity
    tension_ratio: Quantity
    pull_share: Quantity
    holds_mm: Quantity


def grips(path: BandPath, friction: Quantity, wedges: Mapping[str, float] | None = None) -> tuple[Grip, ...]:
    """Give the grip on the wheel and on each whirl.

    Parameters
    ----------
    path : BandPath
    friction : Quantity
        Coefficient of friction between band and groove, of wood on cord say.
    wedges : mapping of str to float, optional
        By which factor a groove's flanks raise the friction, 1 / sin(half the angle) for a V; 1 where left
        out.

    Returns
    -------
    tuple of Grip
        The wheel's first. In double drive the wheel is wrapped twice, each time by about the same.
    """
    factors = wedges or {}
    found: dict[str, tuple[Quantity, Quantity]] = {}
    for label, whirl_mm in path.whirls_mm.items():
        if path.lay == "crossed":
            on_wheel = crossed_contact_angle_rad(path.wheel_mm, whirl_mm, path.centre_distance_mm)
            on_whirl = on_wheel
        else:
            on_wheel, on_whirl = open_contact_angle_rad(path.wheel_mm, whirl_mm, path.centre_distance_mm)
        found.setdefault(WHEEL, (on_wheel, path.wheel_mm))
        found[label] = (on_whirl, whirl_mm)
    return tuple(
        _grip(label, angle_rad, pitch_mm, friction * factors.get(label, 1.0))
        for label, (angle_rad, pitch_mm) in found.items()
    )


def _grip(label: str, angle_rad: Quantity, pitch_mm: Quantity, friction: Quantity) -> Grip:
    share = umath.tanh(friction * angle_rad / 2)
    return Grip(
        label, angle_rad * degrees(1), tension_ratio(friction, angle_rad), share, share * pitch_mm / 2
    )


@dataclass(frozen=True, slots=True)
class SlipsFirst:
    """Where the band slips first.

    Attributes
    ----------
    label : str
    rivals : tuple of str
        Others that the doubt does not let us tell from it.
    """

    label: str
    rivals: tuple[str, ...]


def slips_first(found: Sequence[Grip], *, by: Literal["pull", "torque"]) -> SlipsFirst:
    """Name the part on which a band slips first.

    Parameters
    ----------
    found : sequence of Grip
        At least one.
    by : str
        ``"pull"`` for wheel and whirl of one loop, which share the pull of its runs. ``"torque"`` for
        whirls that must bear the same torque: those of one flyer, used in turn, or flyer and bobbin in
        double drive, which the yarn between them turns against each other.
    """

    def held(grip: Grip) -> Quantity:
        return grip.pull_share if by == "pull" else grip.holds_mm

    ranked = sorted(found, key=lambda grip: float(nominal_value(held(grip))))
    first = ranked[0]
    rivals = [grip.label for grip in ranked[1:] if interval_95(held(grip) - held(first)).low <= 0]
    return SlipsFirst(first.label, tuple(rivals))
