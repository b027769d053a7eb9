"""A report's section on yarn: what each whirl spins at the spinner's own cadence, as a map and a table."""

from collections.abc import Mapping
from typing import Final

from uncertainties import nominal_value

from ...calc.quantity import Quantity
from ...calc.spinnable import spinnable
from ...calc.yarn_facts import TwistUse
from .map_words import OTHER_YARNS, RULE, YarnMap, counted
from .report_contents import Drawing, ReportTable, Section
from .units import Units, amount, count_unit, few_digits, plus_minus, said, to

SOURCE: Final = "Where the usual twist comes from: {source}."


def yarn_map(
    ratios: Mapping[str, Quantity], cadence_per_min: Quantity, drafting_cm_per_min: Quantity, use: TwistUse
) -> YarnMap:
    """Reckon which yarns the whirls spin.

    Raises
    ------
    ValueError
        If a twist may as well be none.
    """
    whirls = spinnable(
        ratios,
        cadence_per_min=cadence_per_min,
        drafting_cm_per_min=drafting_cm_per_min,
        multiplier=use.multiplier,
    )
    return YarnMap(cadence_per_min, drafting_cm_per_min, use, whirls)


def yarn_section(found: YarnMap, units: Units, *, drawn: bool = True) -> Section:
    """Tell which singles each whirl spins, with the map beside it."""
    cadence = nominal_value(found.cadence_per_min)
    return Section(
        f"Yarn at {cadence:.0f} treadles a minute",
        (
            f"Drafting {said(found.drafting_cm_per_min, 'speed', units)}, for {found.use.fibre} "
            f"{found.use.use}.",
        ),
        tables=(_table(found, units),),
        drawing=_drawing(found, units) if drawn else None,
        place="left",
        points=(RULE, OTHER_YARNS, SOURCE.format(source=found.use.source)),
    )


def _table(found: YarnMap, units: Units) -> ReportTable:
    system = count_unit(units)
    headings = (
        "whirl",
        f"turns{amount(1.0, 'twist', units)[1]}",
        f"singles, {system}",
        "from thick to fine",
    )
    rows = tuple(
        (
            each.label,
            plus_minus(amount(each.twist_per_cm, "twist", units)[0]),
            few_digits(counted(each.tex, system).value, 2),
            to(counted(each.tex, system), digits=2),
        )
        for each in found.whirls
    )
    return ReportTable("Twist of each whirl, and the singles that it suits", headings, rows)


def _drawing(found: YarnMap, units: Units) -> Drawing:
    # Imported here because the plotting library takes longer to load than all else together.
    from .map_plot import map_figure
    from .plot import drawing
    from .svg import inline_svg

    system = count_unit(units)
    told = "; ".join(
        f"{each.label} {to(counted(each.tex, system), digits=2)} {system}" for each in found.whirls
    )
    with drawing():
        return Drawing(
            inline_svg(
                map_figure(found, units),
                name="map",
                title="Map of the yarns that the wheel spins at this cadence",
                description=f"Grist across, twist up, a line for each whirl. Singles of usual twist: {told}.",
            )
        )
