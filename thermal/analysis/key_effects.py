"""What one key of a plan does: the plan simulated once without it."""

from __future__ import annotations

from dataclasses import replace

from thermal.analysis.case import SimulationCase
from thermal.analysis.heater_sizing import needed_and_heating
from thermal.analysis.key_effect import KeyEffect, effect_over
from thermal.analysis.results import HeaterChoice, WinterEnergy
from thermal.data.uncertain_inputs import uncertain_inputs
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
    if all(vessel == _all_in_the_room(vessel) for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(_all_in_the_room(vessel) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return _effect(case, replace(plan, tanks=tanks, beds=beds), heater, energy)


def _all_in_the_room(vessel: Vessel) -> Vessel:
    """The vessel with all its sides above the floor in the air around it."""
    below = tuple(wall for wall in vessel.elsewhere if wall.faces == "ground")
    area = sum(wall.area_m2 for wall in vessel.elsewhere) - sum(wall.area_m2 for wall in below)
    return replace(vessel, wall_m2=vessel.wall_m2 + area, elsewhere=below)


def buried_effect(case: SimulationCase, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What it changes that tanks and beds are sunk into the floor, over standing on it; None where none is.

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
    if not any(vessel.buried_m for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(_on_the_floor(vessel) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return _effect(case, replace(plan, tanks=tanks, beds=beds), heater, energy)


def _on_the_floor(vessel: Vessel) -> Vessel:
    """A sunk vessel as it would stand on the slab; any other as it is."""
    if not vessel.buried_m:
        return vessel
    sides = tuple(wall for wall in vessel.elsewhere if wall.faces != "ground")
    below = sum(wall.area_m2 for wall in vessel.elsewhere if wall.faces == "ground")
    contact = uncertain_inputs()["contact under vessels"].spread[1]
    return replace(
        vessel,
        wall_m2=vessel.wall_m2 + below,
        elsewhere=sides,
        buried_m=0.0,
        base="slab",
        base_r_m2k_per_w=vessel.base_r_m2k_per_w + contact,
    )


def _effect(case: SimulationCase, without: Plan, heater: HeaterChoice, energy: WinterEnergy) -> KeyEffect | None:
    """What the plan of a case has over another plan in the same weather."""
    needed = needed_and_heating(without, case.weather, case.design, sum(heater.installed_w), energy.median)
    return effect_over(needed, heater, energy)
