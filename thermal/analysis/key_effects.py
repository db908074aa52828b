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


def effect_of_key(
    case: SimulationCase, without: Plan | None, heater: HeaterChoice, energy: WinterEnergy
) -> KeyEffect | None:
    """What a key changes: the plan of a case over the same plan without that key.

    Parameters
    ----------
    case : SimulationCase
        The plan and its climate.
    without : Plan or None
        The plan without the key, from one of the functions below; None where it has not got it.
    heater : HeaterChoice
        The heater that the plan needs.
    energy : WinterEnergy
        Its energy.

    Returns
    -------
    KeyEffect or None
        None where the plan has not got the key, or no heater would do without it.
    """
    if without is None:
        return None
    needed = needed_and_heating(without, case.weather, case.design, sum(heater.installed_w), energy.median)
    return effect_over(needed, heater, energy)


def without_openings(plan: Plan) -> Plan | None:
    """The plan with covers over all of the water; None where they cover all of it already."""
    if all(vessel.opening is None for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(replace(vessel, opening=None) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return replace(plan, tanks=tanks, beds=beds)


def without_pauses(plan: Plan) -> Plan | None:
    """The plan with a pump that runs without pause in its hours, its own heat with it; None where it does already."""
    pump = plan.pump
    if pump.duty is None:
        return None
    hours = tuple(share / pump.run_share for share in pump.hours)
    return replace(plan, pump=replace(pump, hours=hours, duty=None))


def with_sides_in_the_room(plan: Plan) -> Plan | None:
    """The plan with no side of a tank or bed to the house or outdoors; None where none faces them."""
    tanks, beds = (tuple(_all_in_the_room(vessel) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return None if (tanks, beds) == (plan.tanks, plan.beds) else replace(plan, tanks=tanks, beds=beds)


def standing_on_the_floor(plan: Plan) -> Plan | None:
    """The plan with sunk tanks and beds standing on the slab; None where none is sunk."""
    if not any(vessel.buried_m for vessel in plan.tanks + plan.beds):
        return None
    tanks, beds = (tuple(_on_the_floor(vessel) for vessel in vessels) for vessels in (plan.tanks, plan.beds))
    return replace(plan, tanks=tanks, beds=beds)


def with_hut_air_from_the_room(plan: Plan) -> Plan | None:
    """The plan with the air of its hut from the room; None where it is already, or there is no hut."""
    if plan.hut is None or plan.hut.air_from == "room":
        return None
    return replace(plan, hut=replace(plan.hut, air_from="room"))


def _all_in_the_room(vessel: Vessel) -> Vessel:
    """The vessel with all its sides above the floor in the air around it."""
    below = tuple(wall for wall in vessel.elsewhere if wall.faces == "ground")
    area = sum(wall.area_m2 for wall in vessel.elsewhere) - sum(wall.area_m2 for wall in below)
    return replace(vessel, wall_m2=vessel.wall_m2 + area, elsewhere=below)


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
