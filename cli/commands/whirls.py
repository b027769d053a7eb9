"""``whirlwise whirls``: which of several whirls suits a wished twist."""

from typing import Annotated

import typer

from ...calc.quantity import Quantity
from ...calc.whirls import choose_whirl
from ..given.numbers import drafting_cm_per_min, plain_number, wished_twist_per_cm
from ..show.whirls_words import whirls_answer, whirls_document
from ..trouble import WrongUsageError
from .finish import finish
from .options import JSON


def whirls(
    ratio: Annotated[
        list[str],
        typer.Option(help="Drive ratio of a whirl, such as 12.5 or small=12.5; given once for each whirl."),
    ],
    cadence: Annotated[
        str, typer.Option(help="Turns of the wheel a minute that you keep, such as 60 or 60+-5.")
    ],
    drafting: Annotated[str, typer.Option(help="Yarn that you make in a minute, such as 150cm or 1.5m.")],
    wish: Annotated[str, typer.Option(help="Twist that you wish for, such as 3/cm or 8/in.")],
    as_json: JSON = False,
) -> None:
    """Choose the whirl that suits a wished twist, and tell what the others would cost."""
    choice = choose_whirl(
        _ratios(ratio),
        twist_per_cm_wished=wished_twist_per_cm(wish, "--wish"),
        cadence_per_min=plain_number(cadence, "--cadence", example="60"),
        drafting_cm_per_min=drafting_cm_per_min(drafting, "--drafting"),
    )
    finish(whirls_document(choice), whirls_answer(choice), as_json=as_json)


def _ratios(texts: list[str]) -> dict[str, Quantity]:
    ratios: dict[str, Quantity] = {}
    for text in texts:
        name, named, number = text.rpartition("=")
        label = name if named else number
        if not label or label in ratios:
            raise WrongUsageError(
                f"--ratio got '{text}' but expects a name of its own for each whirl, such as small=12.5."
            )
        ratios[label] = plain_number(number, "--ratio", example="12.5 or small=12.5")
    return ratios
