"""The outage card: one page for the wall beside the tank."""

from __future__ import annotations

from thermal.analysis.power_outage import AIR_PUMP_W, BATTERY_H
from thermal.analysis.results import Outage, TimeToLimit
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.html import render
from thermal.report.sentences import slow_change
from thermal.report.table_data import Rows


def card(plan: Plan, outage: Outage) -> str:
    """The card as HTML; every text of the plan is escaped."""
    content = {"title": plan.title, "outage": outage, "rows": endurance_table(plan, outage)}
    said = {"steps": steps(plan), "battery": battery(outage), "slow_change": slow_change(plan)}
    return render("card.html", content | said)


def endurance_table(plan: Plan, outage: Outage) -> Rows:
    """One row a limit: hours from the worst day, one in ten, the usual day."""
    units = UNIT_SYSTEMS[plan.units]
    floor = units.text("temperature", plan.keep.floor_c, 0)
    rows = [_row(f"tank at the floor, {floor}", outage.to_floor)]
    if outage.lethal_c is not None:
        rows.append(_row(f"tank deadly, {units.text('temperature', outage.lethal_c, 0)}", outage.to_lethal))
    rows.append(_row("tank freezing", outage.to_freezing))
    if plan.beds:
        rows += [_row("beds at the floor", outage.bed_to_floor), _row("beds freezing", outage.bed_to_freezing)]
    rows += [
        _row("tank at the floor, with a foam lid", outage.with_lid),
        _row("tank at the floor, wrapped in blankets", outage.with_blanket),
        _row("tank at the floor, lid and blankets", outage.with_both),
    ]
    return Rows(("hours until", "worst day", "one day in ten", "usual day"), tuple(rows))


def steps(plan: Plan) -> list[str]:
    """What to do, first things first."""
    said = [
        "Start the battery air pump. Without one, dip water and pour it back from a height, again and again.",
        "Stop feeding.",
        "Cover the tank with foam or boards, leaving a gap for air; wrap its sides in blankets.",
        "Keep doors shut. Unplug heaters before any of them stands dry.",
        "No unvented burner, grill or generator indoors: carbon monoxide kills people first.",
    ]
    if plan.beds:
        said.insert(
            3, "Beds that drain cool much faster than the tank: leave them drained, let the tank keep its heat."
        )
    return said


def battery(outage: Outage) -> str:
    """What a day costs in watt-hours."""
    worst, usual = outage.heat_wh_worst / 1000, outage.heat_wh_median / 1000
    return (
        f"A {AIR_PUMP_W:.0f} W air pump takes {outage.air_pump_wh:.0f} Wh in {BATTERY_H} h. Holding the floor takes"
        f" {worst:.1f} kWh on the worst day and {usual:.1f} kWh on a usual one:"
        " batteries are for air, lids are for heat."
    )


def _row(label: str, hours: TimeToLimit) -> tuple[str, str, str, str]:
    return label, _hours(hours.worst), _hours(hours.tenth), _hours(hours.median)


def _hours(value: float | None) -> str:
    if value is None:
        return "over a week"
    return f"{value:.1f}" if value < 10 else f"{value:.0f}"
