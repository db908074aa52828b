"""What sun and sky do to a plan: the same plan simulated once without them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from thermal.analysis.case import SimulationCase
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.analysis.winter_totals import JOULES_PER_KWH


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
    design = replace(design, columns=None) if design else None
    without = needed_and_heating(case.plan, weather, design, sum(heater.installed_w), energy.median)
    if without is None:
        return None
    return SunEffect(heater.needed_w - without[0], energy.winter_costs[energy.median].kwh - without[1] / JOULES_PER_KWH)
