"""What sun and sky do to a plan: the same plan simulated once without them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import SimulationCase, group_by_topology
from thermal.analysis.heater_sizing import size_heaters
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.analysis.winter_totals import JOULES_PER_KWH
from thermal.climate.cold_spells import take_winters
from thermal.network.model import Control
from thermal.solver.simulate import simulate


@dataclass(frozen=True)
class SunEffect:
    """What sun on the room and its radiation to the sky change, both together, at the likely inputs.

    Attributes
    ----------
    heater_w : float
        Change of the heater needed [W], more than 0 where they take more heat than they bring.
    kwh : float
        Change of the heating of a typical winter [kWh].
    """

    heater_w: float
    kwh: float


def sun_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> SunEffect | None:
    """What sun and sky change in the answer to a plan.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.

    Returns
    -------
    SunEffect or None
        None where neither is counted, or no heater would do without them.
    """
    if case.weather.columns is None:
        return None
    weather, design = replace(case.weather, columns=None), case.design
    batch = group_by_topology([case.plan], weather)[0]
    sizing = size_heaters(batch, replace(design, columns=None) if design else None)
    needed_w = float(sizing.needed_w[0])
    if not np.isfinite(needed_w):
        return None
    watts = np.array([max(needed_w, sum(heater.installed_w))])
    typical = take_winters(weather, np.array([energy.median]))
    control = Control(sizing.setpoint_c[:, :1], watts, np.zeros(1))
    run = simulate(batch.network, typical.forcing, control, case.plan.keep.floor_c)
    kwh = float(run.heater_j[0, 0]) / JOULES_PER_KWH
    return SunEffect(heater.needed_w - needed_w, energy.winter_costs[energy.median].kwh - kwh)
