"""What one key of a plan does: the plan simulated once without it."""

from __future__ import annotations

from dataclasses import replace

from thermal.analysis.case import SimulationCase
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.key_effect import KeyEffect, effect_over
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.plan.model import Plan
from thermal.plan.structure import Vessel


def opening_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the openings in the covers change; None where the covers cover all of the water.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    """
    plan = case.plan
    if all(vessel.opening is None for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(replace(vessel, opening=None) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return _effect(case, replace(plan, tanks=tanks, beds=beds), heater, energy)


def duty_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the pauses of the pump change, its own heat with them; None where it runs without pause.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    """
    pump = case.plan.pump
    if pump.duty is None:
        return None
    hours = tuple(share / pump.run_share for share in pump.hours)
    return _effect(case, replace(case.plan, pump=replace(pump, hours=hours, duty=None)), heater, energy)


def facing_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What sides of tanks and beds that face the house or outdoors change; None where all face the room.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    heater : HeaterChoice
        The heater that it needs.
    energy : WinterEnergy
        Its energy.
    """
    plan = case.plan
    if not any(vessel.elsewhere for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(_all_in_the_room(vessel) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return _effect(case, replace(plan, tanks=tanks, beds=beds), heater, energy)


def _all_in_the_room(vessel: Vessel) -> Vessel:
    """The vessel with all its sides in the air around it."""
    elsewhere = sum(wall.area_m2 for wall in vessel.elsewhere)
    return replace(vessel, wall_m2=vessel.wall_m2 + elsewhere, elsewhere=())


def _effect(case: SimulationCase, without: Plan, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the plan of a case has over another plan in the same weather."""
    needed = needed_and_heating(without, case.weather, case.design, sum(heater.installed_w), energy.median)
    return effect_over(needed, heater, energy)
