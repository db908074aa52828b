"""The outage card: one page to hang beside the tank."""

from __future__ import annotations

import math
from functools import partial

from thermal.analysis.power_outage import AIR_PUMP_W, BATTERY_H
from thermal.analysis.results import Outage, TimeToLimit
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits
from thermal.plan.model import Plan
from thermal.report.how_made import HowMade, short_facts
from thermal.report.html import render_page
from thermal.report.sentences import slow_change
from thermal.report.table_data import Rows, hours

NO_BURNER = "Never run an unvented burner, a grill or a generator indoors: carbon monoxide kills people."
LETTERS = ((10, "10.4pt"), (13, "10pt"), (99, "9.6pt"))  # most lines of table and warnings on a sheet, letters then
LINE = 75  # characters of a warning in a line


def card(plan: Plan, outage: Outage, made: HowMade) -> str:
    """The outage card as HTML; every text of the plan is escaped.

    Parameters
    ----------
    plan : Plan
        The plan.
    outage : Outage
        Result of `outage`.
    made : HowMade
        What the card is made from.
    """
    rows = endurance_table(plan, outage)
    content = {"title": plan.title, "outage": outage, "rows": rows, "made_from": short_facts(made, plan)}
    text = {"steps": steps(plan), "battery": battery(outage), "slow_change": slow_change(plan)}
    lines = len(rows.cells) + len(plan.title) // LINE
    lines += sum(math.ceil(len(warning.text) / LINE) for warning in outage.warnings)
    letters = next((size for most, size in LETTERS if lines <= most), LETTERS[-1][1])
    return render_page("card.html", content | text | {"letters": letters})


def endurance_table(plan: Plan, outage: Outage) -> Rows:
    """Table of the hours until each limit on the worst day for it, one day in ten, and a typical day.

    Parameters
    ----------
    plan : Plan
        The plan, for its limits and units.
    outage : Outage
        Result of `outage`.
    """
    units = UNIT_SYSTEMS[plan.units]
    minimum, row = _limit(units, plan.keep.floor_c), partial(_row, units)
    rows = [row(f"tank at its minimum, {minimum}", outage.to_floor)]
    if outage.lethal_c is not None:
        rows.append(row(f"tank at the lethal limit, {_limit(units, outage.lethal_c)}", outage.to_lethal))
    rows.append(row("tank begins to freeze", outage.to_freezing))
    if plan.beds:
        rows += [row("beds at the minimum", outage.bed_to_floor), row("beds begin to freeze", outage.bed_to_freezing)]
    rows += [
        row("tank at its minimum, with a foam lid", outage.with_lid),
        row("tank at its minimum, wrapped in blankets", outage.with_blanket),
        row("tank at its minimum, with lid and blankets", outage.with_both),
    ]
    heads = ("hours until", "worst day", "power fails at", "one day in ten", "typical day")
    return Rows(heads, tuple(rows))


def steps(plan: Plan) -> list[str]:
    """What to do in a power cut, in order."""
    sentences = [
        "Start the battery air pump. Without one, dip out water and pour it back from a height, again and again.",
        "Stop feeding.",
        "Cover the tank with foam or boards, leaving a gap for air; wrap its sides in blankets.",
        "Keep doors shut. Unplug every heater before it can stand dry.",
        NO_BURNER,
    ]
    if plan.beds:
        sentences.insert(3, "Leave the beds drained: they cool much faster than the tank, and would take its heat.")
    return sentences


def battery(outage: Outage) -> str:
    """Energy for the air pump, and energy that keeps the tank at its minimum, as a sentence."""
    worst, usual = outage.heat_wh_worst / 1000, outage.heat_wh_median / 1000
    return (
        f"A {AIR_PUMP_W:.0f} W air pump uses {outage.air_pump_wh:,.0f} Wh in {BATTERY_H} h. Keeping the tank at its"
        f" minimum takes {worst:.1f} kWh on the worst day and {usual:.1f} kWh on a typical one. Use batteries for the"
        " air pump; use lids to keep heat in."
    )


def _limit(units: DisplayUnits, celsius: float) -> str:
    """A limit of temperature as text, to whole degrees where it is whole in either unit."""
    whole = float(celsius).is_integer() or abs(1.8 * celsius - round(1.8 * celsius)) < 1e-6
    return units.text("temperature", celsius, 0 if whole else 1)


def _row(units: DisplayUnits, label: str, time: TimeToLimit) -> tuple[str, str, str, str, str]:
    """Label and hours of one limit, with the start of the shortest."""
    start = "—" if time.worst_start is None else units.moment(time.worst_start)
    return label, hours(time.worst), start, hours(time.tenth), hours(time.median)
