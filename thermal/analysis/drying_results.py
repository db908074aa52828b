"""What devices that dry the air take and use in a winter."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.analysis.case import INSTALLED, SimulationCase
from thermal.analysis.winter_totals import JOULES_PER_KWH, load_cost, monthly_sums, other_months
from thermal.core.arrays import Array
from thermal.physics.constants import RHO_WATER
from thermal.plan.model import Plan
from thermal.solver.results import SimulationResult

L_PER_KG = 1000.0 / RHO_WATER


@dataclass(frozen=True)
class Drying:
    """What a dehumidifier and a fan by humidity do in a typical winter.

    Attributes
    ----------
    litres : float
        Water that the dehumidifier takes from the air [L].
    most_l_per_day : float
        The most in one day [L].
    dehumidifier_hours, fan_hours : float
        Hours that the dehumidifier and the fan run [h].
    kwh, cost : float
        Electricity of both [kWh] and its cost [currency].
    """

    litres: float
    most_l_per_day: float
    dehumidifier_hours: float
    fan_hours: float
    kwh: float
    cost: float


def drying_of_design(plan: Plan, run: SimulationResult, design: int, winter: int) -> Drying | None:
    """What the devices of a design do in one winter; None without any.

    Parameters
    ----------
    plan : Plan
        The design.
    run : SimulationResult
        A simulation.
    design, winter : int
        Its index in it, and that of the winter. Without prices among its weights the cost is 0.
    """
    if plan.dehumidifier is None and plan.fan is None:
        return None
    dryer_j, fan_j = float(run.dryer_j[design, winter]), float(run.fan_j[design, winter])
    return Drying(
        litres=float(run.removed_kg[design, winter]) * L_PER_KG,
        most_l_per_day=float(run.most_removed_kg[design, winter]) * L_PER_KG,
        dehumidifier_hours=_hours(dryer_j, plan.dehumidifier.power_w if plan.dehumidifier else 0.0),
        fan_hours=_hours(fan_j, plan.fan.power_w if plan.fan else 0.0),
        kwh=(dryer_j + fan_j) / JOULES_PER_KWH,
        cost=float(run.device_weighted_j[:1, :, design, winter].max(initial=0.0)) / JOULES_PER_KWH,  # to the last month
    )


def paid_run(run: SimulationResult, plan: Plan, pays_drying: bool) -> SimulationResult:
    """A simulation in which the heat of a design has the electricity that is paid with it.

    Parameters
    ----------
    run : SimulationResult
        The simulation.
    plan : Plan
        The design.
    pays_drying : bool
        Whether that of a dehumidifier and a fan by humidity is.
    """
    if not pays_drying or (plan.dehumidifier is None and plan.fan is None):
        return run
    heater_j, marked_j = run.heater_j + (run.dryer_j + run.fan_j), run.marked_j + run.device_marked_j
    return replace(run, heater_j=heater_j, marked_j=marked_j, weighted_j=run.weighted_j + run.device_weighted_j)


def _hours(joules: float, power_w: float) -> float:
    """Hours that a device runs, from its energy and its power while it runs. [h]"""
    return joules / power_w / 3600.0 if power_w else 0.0


def drying_of_winter(case: SimulationCase, shown: SimulationResult, winter: int) -> Drying:
    """What the devices of a plan do in one winter with the installed heaters.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate, with a dehumidifier or a fan by humidity.
    shown : SimulationResult
        Its hourly simulation (unheated, installed, ...).
    winter : int
        Index of the winter.
    """
    drying = drying_of_design(case.plan, shown, INSTALLED, winter)
    assert drying is not None
    return replace(drying, cost=drying_cost(case, shown, winter))


def drying_cost(case: SimulationCase, shown: SimulationResult, winter: int) -> float:
    """Cost of a dehumidifier's and a fan's electricity in a winter, after heating in tiers. [currency]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its hourly simulation (unheated, installed, ...).
    winter : int
        Index of the winter.
    """
    times, output = case.weather.winters[winter].times(), shown.hourly_output
    assert output is not None
    heat_w = output.heater_w[: len(times), INSTALLED * len(case.weather.winters) + winter]
    before_kwh = other_months(case.plan, times) + monthly_sums(times, heat_w / 1000.0)
    return load_cost(case.plan, times, drying_w(case, shown, winter), before_kwh)


def drying_w(case: SimulationCase, shown: SimulationResult, winter: int) -> Array:
    """Electric power of a dehumidifier and a fan by humidity in each hour of a winter, (hour,). [W]

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    shown : SimulationResult
        Its hourly simulation (unheated, installed, ...).
    winter : int
        Index of the winter.
    """
    hours, column = case.weather.winters[winter].hours, INSTALLED * len(case.weather.winters) + winter
    total, output = np.zeros(hours), shown.hourly_output
    if output is not None and case.plan.dehumidifier is not None:
        total += output.drying_w[:hours, column]
    if output is not None and case.plan.fan is not None:
        total += output.fan_w[:hours, column]
    return total
