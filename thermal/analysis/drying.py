"""What a dehumidifier and a fan by humidity do and change: the plan simulated once without them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import INSTALLED, SimulationCase, case_in, group_by_topology, hours_of
from thermal.analysis.drying_results import Drying, drying_of_winter
from thermal.analysis.heater_sizing import size_heaters
from thermal.analysis.lighter_case import in_winters
from thermal.analysis.moisture import moisture_hours
from thermal.analysis.results import HeaterChoice, MoistureHours, WinterEnergy
from thermal.analysis.winter_totals import heater_months
from thermal.network.model import Control
from thermal.solver.results import SimulationResult


@dataclass(frozen=True)
class DryingEffect:
    """What the dehumidifier and the fan by humidity of a plan change over the same plan without them.

    Attributes
    ----------
    drying : Drying
        What they do.
    heater_w : float or None
        Change of the heater needed [W]; None where no heater is enough without them.
    heating_kwh, cost : float or None
        Change of the heating of a typical winter [kWh], and of what heating and both devices cost in it [currency];
        None likewise.
    mould_hours, mould_without_hours : int
        Hours of possible mould in it, with them and without [h].
    condensation_hours, condensation_without_hours : int
        Hours of condensation on the coldest surface, likewise [h].
    """

    drying: Drying
    heater_w: float | None
    heating_kwh: float | None
    cost: float | None
    mould_hours: int
    mould_without_hours: int
    condensation_hours: int
    condensation_without_hours: int


def drying_effect(
    case: SimulationCase, shown: SimulationResult, heater: HeaterChoice, energy: WinterEnergy, damp: MoistureHours
) -> DryingEffect | None:
    """What the devices that dry the air of a plan do and change; None where it has none.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its simulation, unheated and with the installed heaters, hour by hour.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    damp : MoistureHours
        Condensation and mould in its typical winter.
    """
    plan = case.plan
    if plan.dehumidifier is None and plan.fan is None:
        return None
    typical, installed_w = energy.winter_costs[energy.median], sum(heater.installed_w)
    drying = drying_of_winter(case, shown, energy.median)
    bare = replace(plan, dehumidifier=None, fan=None)
    sizing = size_heaters(group_by_topology([bare], case.weather)[0], case.design)
    needed_w = float(sizing.needed_w[0])
    is_enough = bool(np.isfinite(needed_w))
    watts = np.array([0.0, max(installed_w, needed_w) if is_enough else installed_w])
    without = in_winters(case_in(bare, case.climate, case.weather), np.array([energy.median]))
    run = without.simulate(Control(sizing.setpoint_c[:, [0, 0]], watts, np.zeros(2)), hourly_output=True)
    moisture = moisture_hours(without, hours_of(without, run, 0))
    assert run.hourly_output is not None
    heat_w = run.hourly_output.heater_w[: without.weather.winters[0].hours, INSTALLED]
    kwh, cost = heater_months(without, heat_w, 0)
    return DryingEffect(
        drying=drying,
        heater_w=heater.needed_w - needed_w if is_enough else None,
        heating_kwh=typical.kwh - float(kwh.sum()) if is_enough else None,
        cost=typical.cost + drying.cost - float(cost.sum()) if is_enough else None,
        mould_hours=damp.mould_hours,
        mould_without_hours=moisture.mould_hours,
        condensation_hours=damp.condensation_hours,
        condensation_without_hours=moisture.condensation_hours,
    )
