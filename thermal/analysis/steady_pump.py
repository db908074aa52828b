"""The heater needed if the pump never stopped: what a stop at night costs in power."""

from __future__ import annotations

from dataclasses import replace

from thermal.analysis.case import SimulationCase, group_by_topology
from thermal.analysis.cold_beds import pump_starts
from thermal.analysis.heater_sizing import size_heaters
from thermal.core.schedule import ALWAYS


def needed_with_steady_pump(case: SimulationCase) -> float | None:
    """Heater needed with the pump always on; None without beds, or where the pump does not stop. [W]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.

    Raises
    ------
    ClosureError
        When a simulation does not conserve energy.
    """
    plan = case.plan
    if not plan.beds or plan.pump.flow_m3_s <= 0 or not pump_starts(plan):
        return None
    always = replace(plan, pump=replace(plan.pump, hours=ALWAYS, duty=None))
    return float(size_heaters(group_by_topology([always], case.weather)[0], case.design).needed_w[0])
