"""A plan with its calibration factors applied."""

from __future__ import annotations

from dataclasses import replace

from thermal.physics.wall_resistance import FILMS
from thermal.plan.model import Factors, Plan
from thermal.plan.structure import Side, Vessel


def apply_factors(plan: Plan, factors: Factors) -> Plan:
    """A plan with its air change, sides, heat capacities, walls of vessels and evaporation multiplied by factors.

    Parameters
    ----------
    plan : Plan
        The plan as written.
    factors : Factors
        The factors from a calibration [-].
    """
    room = plan.room
    changed = replace(
        room,
        air_changes_per_h=room.air_changes_per_h * factors.air_change,
        leakage_area_cm2=room.leakage_area_cm2 * factors.air_change,
        sides=tuple(_side(side, factors) for side in room.sides),
        bridges_w_per_m2k=room.bridges_w_per_m2k * factors.room,
        floor=replace(room.floor, mass_j_per_m2k=room.floor.mass_j_per_m2k * factors.mass),
    )
    tanks, beds = (tuple(_vessel(vessel, factors) for vessel in group) for group in (plan.tanks, plan.beds))
    return replace(plan, room=changed, tanks=tanks, beds=beds)


def _side(side: Side, factors: Factors) -> Side:
    """A side whose U-value, with its films, and heat capacity are multiplied."""
    outer = side.faces in ("outdoors", "attic")
    r = max((side.r_m2k_per_w + FILMS) / factors.room - FILMS, 0.0) if outer else side.r_m2k_per_w
    return replace(side, r_m2k_per_w=r, mass_j_per_m2k=side.mass_j_per_m2k * factors.mass)


def _vessel(vessel: Vessel, factors: Factors) -> Vessel:
    """A vessel whose heat loss and evaporation are multiplied.

    The factors are applied to its areas, since the films resist as much as a wall does.
    """
    return replace(
        vessel,
        surface_m2=vessel.surface_m2 * factors.vessels,
        wall_m2=vessel.wall_m2 * factors.water * factors.vessels,
        bottom_m2=vessel.bottom_m2 * factors.vessels,
        evaporation=vessel.evaporation * factors.cover,
        night_evaporation=vessel.night_evaporation * factors.cover,
    )
