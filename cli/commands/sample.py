"""``whirlwise sample``: twist counted on the yarn itself, held against the reckoned twist."""

from typing import Annotated

import typer

from ...calc.plying import singles_twist_from_ply_back
from ...calc.sample import counted_twist
from ...calc.twist import TwistDirection
from ..given.numbers import SPECIMEN_HALF_WIDTH_MM, length_mm, number_with_unit
from ..given.yarn import twist_given, yarn_count
from ..show.sample_words import Sample, sample_answer, sample_document
from ..show.units import preferred, units_typed
from ..trouble import WrongUsageError
from .finish import finish
from .options import JSON, UNITS


def sample(
    turns: Annotated[
        list[str] | None,
        typer.Option(help="Turns that it took to untwist one specimen, such as 47; once for each specimen."),
    ] = None,
    length: Annotated[
        str | None, typer.Option(help="Length of every specimen before untwisting, such as 10cm or 4in.")
    ] = None,
    ply_back: Annotated[
        str | None,
        typer.Option(help="Twist of singles that were let fold back on themselves, such as 4/in."),
    ] = None,
    reckoned: Annotated[
        str | None, typer.Option(help="Twist that was reckoned, such as 6/in or 6+-0.5/in.")
    ] = None,
    count: Annotated[
        str | None, typer.Option(help="Count of the yarn, such as 1400yd/lb, to tell what weight to hang on.")
    ] = None,
    direction: Annotated[
        str | None, typer.Option(help="Z or S: which way the yarn lies, to tell which way to ply.")
    ] = None,
    units: UNITS = None,
    as_json: JSON = False,
) -> None:
    """Tell the twist of a yarn from specimens that were untwisted, or from a ply-back sample."""
    if not turns and ply_back is None:
        raise WrongUsageError(
            "sample expects --turns and --length of a specimen that was untwisted, or --ply-back 4/in."
        )
    if bool(turns) != (length is not None):
        raise WrongUsageError("--turns and --length belong together: give the length of a specimen too.")
    given = Sample(
        counted=counted_twist(
            [_turns(each) for each in turns],
            length_mm(length, "--length", half_width_mm=SPECIMEN_HALF_WIDTH_MM, example="10cm") / 10,
        )
        if turns and length
        else None,
        ply_back_per_cm=None if ply_back is None else twist_given(ply_back, "--ply-back").number,
        from_ply_back_per_cm=None
        if ply_back is None
        else singles_twist_from_ply_back(twist_given(ply_back, "--ply-back").number),
        reckoned_per_cm=None if reckoned is None else twist_given(reckoned, "--reckoned").number,
        tex=None if count is None else yarn_count(count, "--count").tex,
        direction=None if direction is None else _direction(direction),
    )
    shown = preferred(units, *units_typed(length, ply_back, reckoned))
    finish(sample_document(given), sample_answer(given, shown), as_json=as_json)


def _turns(text: str) -> float:
    found = number_with_unit(text, "--turns", {"": 1.0}, expected="turns above zero, such as 47 or 47.5")
    return float(found.number.nominal_value)


def _direction(text: str) -> TwistDirection:
    match text.strip().upper():
        case "Z":
            return "Z"
        case "S":
            return "S"
    raise WrongUsageError.of_option("--direction", text, "Z or S")
