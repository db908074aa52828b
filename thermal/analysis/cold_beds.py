"""Beds that cool while the pump is off: the heater must warm their water at once when the pump starts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from thermal.analysis.case import INSTALLED
from thermal.core.display_units import watts_text
from thermal.plan.model import Plan

if TYPE_CHECKING:
    from thermal.analysis.advice import AdviceInput

RAISED, RAISED_W = 1.1, 50.0  # rise of the heater needed, by factor and by power, that is worth a warning


def exceeds_steady(steady_w: float, stopped_w: float) -> bool:
    """Whether the heater needed is much larger with the pump stopped at night [W] than with it always on [W]."""
    return stopped_w > max(RAISED * steady_w, steady_w + RAISED_W)


def pump_starts(plan: Plan) -> list[int]:
    """Local hours at which the pump starts after a stop. [h]"""
    hours = plan.pump.hours
    return [hour for hour in range(24) if hours[hour] > 0 and hours[hour - 1] <= 0]


def cold_beds(inputs: AdviceInput, steady_w: float | None) -> str | None:
    """Warning that cold beds raise the heater needed, with both powers; None where they do not.

    Parameters
    ----------
    inputs : AdviceInput
        The parts of the answer that it depends on.
    steady_w : float or None
        Heater needed with the pump always on [W]; None where the pump does not stop.
    """
    case, units = inputs.case, inputs.units
    if steady_w is None or not exceeds_steady(steady_w, inputs.heater.needed_w):
        return None
    winter, hour, bed_c, tank_c = _coldest_start(inputs, pump_starts(case.plan))
    time = case.weather.winters[winter].times()[hour]
    when = f"{units.day(time.isoformat())} at {time:%H:%M}"
    bed, tank = (units.text("temperature", celsius) for celsius in (bed_c, tank_c))
    return (
        f"The pump's stop raises the heater needed from {watts_text(steady_w)} to {watts_text(inputs.heater.needed_w)}:"
        " the beds cool while the pump is off, and the heater must warm their water at once when it starts. On"
        f" {when} beds of {bed} meet a tank of {tank}. Let the pump run all day and night, or cover"
        " and insulate the beds."
    )


def _coldest_start(inputs: AdviceInput, starts: list[int]) -> tuple[int, int, float, float]:
    """Winter and hour of the pump start at which beds are coldest beside the tank, and both temperatures [degC]."""
    nodes = inputs.case.network.nodes
    water_nodes = inputs.case.network.vessels.water_nodes if inputs.case.network.vessels else ()
    coldest = []
    for winter, hours in enumerate(inputs.winters(INSTALLED)):
        bed, tank = (hours.end(nodes.index(name), water_nodes) for name in ("bed", "tank"))
        due = np.flatnonzero(np.isin(hours.hour_of_day, starts))
        due = due[due > 0]
        hour = int(due[np.argmax((tank - bed)[due - 1])])
        coldest.append((winter, hour, float(bed[hour - 1]), float(tank[hour - 1])))
    return max(coldest, key=lambda item: item[3] - item[2])
