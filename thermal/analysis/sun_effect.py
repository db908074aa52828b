"""What sun and sky do to a plan: the same plan simulated once without them."""

from __future__ import annotations

from dataclasses import replace

from thermal.analysis.case import SimulationCase
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.key_effect import KeyEffect, effect_over
from thermal.analysis.results import HeaterChoice, WinterEnergy


def sun_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
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
    KeyEffect or None
        None where neither is counted, or no heater would do without them.
    """
    if case.weather.columns is None:
        return None
    weather, design = replace(case.weather, columns=None), case.design
    design = replace(design, columns=None) if design else None
    without = needed_and_heating(case.plan, weather, design, sum(heater.installed_w), energy.median)
    return effect_over(without, heater, energy)
