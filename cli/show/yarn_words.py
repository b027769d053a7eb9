"""A yarn in every count and what it takes to spin it, in plain words and as JSON."""

from typing import Final

from ...calc.interval import interval_95
from ...calc.quantity import Quantity
from ...calc.twist import per_inch
from ...calc.wool import grades_of
from ...calc.yarn import metric_twist_factor
from ...calc.yarn_counts import CountSystem, count_of
from ...calc.yarn_facts import TwistUse
from ...calc.yarn_plan import Grist, YarnPlan, uses_of
from .answer import Answer, Row
from .as_json import Json, number
from .table import table
from .units import Units, amount, count_amount, plus_minus, said

#: Count, key in the JSON, and what it is called in a table.
COUNTS: Final[tuple[tuple[CountSystem, str, str], ...]] = (
    ("tex", "tex", "tex (g/km)"),
    ("m/100g", "m_per_100g", "m per 100 g"),
    ("Nm", "Nm", "metric count, Nm"),
    ("yd/lb", "yd_per_lb", "yards per pound"),
    ("Ne", "Ne", "cotton count, Ne"),
    ("worsted", "worsted", "worsted count"),
    ("run", "run", "woollen run"),
)
WRAPS_DOUBT: Final = (
    "Wraps on a ruler depend on the hand that winds: packed tight there are more than twice as many. They "
    "tell a yarn's count to a factor of two at best; weigh a measured length instead."
)
THICK_DOUBT: Final = (
    "Thickness, angle and loss of length take the yarn for a round rod with fibres on helices, from lofty to "
    "firm. Crimp, felting and washing are left out."
)
BALANCE: Final = (
    "Plied the other way with 60 to 70 % of the singles' twist, a yarn hangs about straight: a spinners' "
    "rule without firm source. So plied it keeps its length, give or take a few percent."
)
SAMPLE: Final = "Spin a sample, ply it, wash it, and count its twist: 'whirlwise sample' tells how."


def yarn_document(plan: YarnPlan, usual: TwistUse | None, micron: Quantity | None) -> Json:
    """Give the plan under stable keys."""
    ply = plan.ply_twist_per_cm
    return {
        "plies": plan.plies,
        "finished": _grist_document(plan.finished),
        "singles": {
            **_grist_document(plan.singles),
            "twist_per_cm": number(plan.twist_per_cm),
            "twist_per_inch": number(per_inch(plan.twist_per_cm)),
            "twist_multiplier": number(plan.multiplier),
            "metric_twist_factor": number(metric_twist_factor(plan.twist_per_cm, plan.singles.tex)),
            "surface_angle_deg": number(plan.surface_angle_deg),
            "length_lost_percent": number(plan.length_lost_percent),
            "fibres": None if plan.fibres is None else number(plan.fibres),
        },
        "ply_twist_per_cm": None if ply is None else number(ply),
        "ply_twist_per_inch": None if ply is None else number(per_inch(ply)),
        "wool_grades": [] if micron is None else [grade.name for grade in grades_of(micron)],
        "usual_for": [f"{use.fibre} {use.use}" for use in uses_of(plan.multiplier)],
        "remarks": [*_source(usual), WRAPS_DOUBT, THICK_DOUBT, *((BALANCE,) if ply is not None else ())],
    }


def _grist_document(grist: Grist) -> Json:
    return {
        **{key: number(count_of(grist.tex, system)) for system, key, _ in COUNTS},
        "diameter_mm": number(grist.diameter_mm),
        "wraps_per_inch_on_ruler": number(grist.wraps_on_ruler),
        "wraps_per_inch_pressed": number(grist.wraps_pressed),
    }


def yarn_answer(plan: YarnPlan, usual: TwistUse | None, micron: Quantity | None, units: Units) -> Answer:
    """Put the plan into words."""
    return Answer(
        says=(*_spin_sentences(plan, usual, units), *_fibre_sentences(plan, micron)),
        rows=_rows(plan, units),
        tables=(_counts_table(plan, units),),
        trust=(THICK_DOUBT, *_source(usual)),
        better=(SAMPLE, WRAPS_DOUBT, *((BALANCE,) if plan.plies > 1 else ())),
    )


def _spin_sentences(plan: YarnPlan, usual: TwistUse | None, units: Units) -> tuple[str, ...]:
    count, unit = count_amount(plan.singles.tex, units)
    twist = said(plan.twist_per_cm, "twist", units)
    what = "the yarn" if plan.plies == 1 else f"each of the {plan.plies} singles"
    number_of_it = f"{count.value:.0f}" if count.value >= 100 else f"{count.value:.3g}"
    if usual is not None:
        spin = (
            f"Spin {what} at {number_of_it} {unit}, with {twist}, as {usual.fibre} {usual.use} yarn has it."
        )
    else:
        uses = ", ".join(f"{use.fibre} {use.use}" for use in uses_of(plan.multiplier))
        spin = (
            f"With {twist}, {what} of {number_of_it} {unit} would have a twist multiplier of "
            f"{plus_minus(interval_95(plan.multiplier))}, usual for {uses or 'none of the uses known here'}."
        )
    if plan.ply_twist_per_cm is None:
        return (spin,)
    return (spin, f"Ply them the other way with {said(plan.ply_twist_per_cm, 'twist', units)}.")


def _fibre_sentences(plan: YarnPlan, micron: Quantity | None) -> tuple[str, ...]:
    if plan.fibres is None or micron is None:
        return ()
    grades = [grade.name for grade in grades_of(micron)]
    graded = f"grade {' or '.join(grades)}" if grades else "beyond the grades"
    fibres = f"{interval_95(plan.fibres).value:.0f}"
    told = f"Of this wool ({graded}) about {fibres} fibres lie side by side in the singles."
    if plan.too_few_fibres:
        told += " That is too few to hold together; take finer wool, or spin thicker."
    return (told,)


def _rows(plan: YarnPlan, units: Units) -> tuple[Row, ...]:
    small = amount(plan.finished.diameter_mm, "small", units)
    rows = [
        Row("thickness of the finished yarn", *small),
        Row("wraps an inch, on a ruler", interval_95(plan.finished.wraps_on_ruler)),
        Row("wraps an inch, packed", interval_95(plan.finished.wraps_pressed)),
        Row("twist multiplier of the singles", interval_95(plan.multiplier)),
        Row("angle of their surface", interval_95(plan.surface_angle_deg), "deg"),
        Row("length that twist takes", interval_95(plan.length_lost_percent), "%"),
    ]
    return tuple(rows)


def _counts_table(plan: YarnPlan, units: Units) -> str:
    """Every count, those of the preferred units first."""
    imperial = {"yd/lb", "Ne", "worsted", "run"}
    ordered = sorted(COUNTS, key=lambda each: (each[0] in imperial) != (units == "imperial"))
    columns = [("finished", plan.finished)] + ([("singles", plan.singles)] if plan.plies > 1 else [])
    return table(
        ["count", *(name for name, _ in columns)],
        [
            [name, *(plus_minus(interval_95(count_of(grist.tex, system))) for _, grist in columns)]
            for system, _, name in ordered
        ],
    )


def _source(usual: TwistUse | None) -> tuple[str, ...]:
    return () if usual is None else (f"Where the usual twist comes from: {usual.source}.",)
