"""The sentences on the warm-up of a newly filled tank."""

from __future__ import annotations

import math

from thermal.analysis.harms import TOLERATED_SOURCE
from thermal.analysis.plan_words import MAX_TEMPERATURE_CHANGE_K_PER_DAY
from thermal.analysis.warm_up import HORIZON_H, WarmUp
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits, watts_text
from thermal.plan.model import Plan


def warm_up_sentence(warm: WarmUp, system: str) -> str:
    """How long the heaters take to warm a newly filled tank, how fast, and which heater does it in a day.

    Parameters
    ----------
    warm : WarmUp
        The warm-up.
    system : str
        Units of the answer: metric, us or imperial.
    """
    units = UNIT_SYSTEMS[system]
    start, target = (units.text("temperature", celsius) for celsius in (warm.start_c, warm.target_c))
    text = f"Warm-up of newly filled water from {start} to {target} with heaters of {watts_text(warm.heater_w)}:"
    text += f" {_time(warm.hours, warm.kwh)} in a typical week of winter, {_time(warm.hours_worst, warm.kwh_worst)}"
    text += f" from the slowest start, {units.day(warm.worst_start)}."
    if warm.heater_for_a_day_w is not None:
        needed = math.ceil(warm.heater_for_a_day_w / 10.0) * 10
        text += f" Heaters of {watts_text(needed)} would do it in 24 h from every start."
    return text + _pace(warm, units)


def warm_up_left_out(plan: Plan) -> list[str]:
    """That the warm-up by a heater in the room is not worked out; empty for heaters in the water.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    if plan.heater.where == "water":
        return []
    return [
        "Warm-up of newly filled water is worked out for heaters in the water only. A heater in the room warms it too,"
        " but far more slowly: fill with tempered water, or lend the tank a heater for the first days."
    ]


def _time(hours: float | None, kwh: float | None) -> str:
    """Hours and heat as text."""
    if hours is None or kwh is None:
        return f"more than {HORIZON_H // 24} days"
    return f"{hours:.0f} h and {kwh:.0f} kWh" if hours >= 10 else f"{hours:.1f} h and {kwh:.1f} kWh"


def _pace(warm: WarmUp, units: DisplayUnits) -> str:
    """How fast the water warms beside what fish tolerate."""
    slow = MAX_TEMPERATURE_CHANGE_K_PER_DAY[-1]
    pace = f"The water rises by up to {units.difference(warm.rise_in_hour_k)} in an hour"
    pace += f" and {units.difference(warm.rise_in_day_k)} in a day"
    if warm.rise_in_day_k <= slow:
        return f" {pace}, no faster than fish tolerate."
    return (
        f" {pace}; fish tolerate about {units.difference(slow, 0)} a day ({TOLERATED_SOURCE}): put them in when the"
        " water is warm, or warm it in steps of the thermostat."
    )
