"""The sentence on a heater that sticks on behind a timer or an independent cut-out."""

from __future__ import annotations

from thermal.analysis.results import HeaterChoice
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.core.schedule import ALWAYS
from thermal.plan.model import Plan


def stuck_on_sentence(plan: Plan, heater: HeaterChoice) -> str:
    """How warm the water gets with one heater stuck on; empty without timer and cut-out.

    Parameters
    ----------
    plan : Plan
        The plan.
    heater : HeaterChoice
        Its heaters.
    """
    timer, cut_out = plan.heater.hours != ALWAYS, plan.heater.cut_out_c
    if not heater.installed_w or not (timer or cut_out is not None):
        return ""
    units = UNIT_SYSTEMS[plan.units]
    warmest, bare = (units.text("temperature", celsius) for celsius in (heater.stuck_on_c, heater.stuck_on_unguarded_c))
    text = f"If a heater sticks on, the water warms to {warmest}"
    if cut_out is not None:
        text += f" with the cut-out at {units.text('temperature', cut_out)} ({bare} without it). Try it once a month"
    if timer:
        text += f". The timer gives power for {sum(plan.heater.hours):g} h a day"
    return text + "."
