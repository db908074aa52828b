"""A plan with factors on its heat loss and heat capacity applied: those of a calibration, and those of a sample."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from thermal.core.distributions import TriangularRange
from thermal.data.uncertain_inputs import uncertain_inputs
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
    """A vessel whose wall loss and evaporation are multiplied.

    The factor is applied to the wall area, since the films resist as much as the wall does.
    """
    return replace(
        vessel,
        wall_m2=vessel.wall_m2 * factors.water,
        evaporation=vessel.evaporation * factors.cover,
        night_evaporation=vessel.night_evaporation * factors.cover,
    )


def with_uncertain_factors(plan: Plan, sampler: Callable[[str, TriangularRange], float]) -> Plan:
    """A plan with the factors of one sample; they are 1 at their likely values.

    Parameters
    ----------
    plan : Plan
        The plan.
    sampler : callable
        Returns the value of each input from its name and range, as in `thermal.plan.presets.resolve_plan`.
    """

    def factor(name: str) -> float:
        return sampler(name, uncertain_inputs()[name].spread)

    vessels = factor("heat loss of the water")
    tanks, beds = (tuple(_scale_areas(vessel, vessels) for vessel in group) for group in (plan.tanks, plan.beds))
    scaled = replace(plan, tanks=tanks, beds=beds)
    if plan.room.temperature_c is not None:
        return scaled
    return apply_factors(
        scaled, Factors(room=factor("heat loss of the room"), mass=factor("heat capacity of the room"))
    )


def _scale_areas(vessel: Vessel, factor: float) -> Vessel:
    """A vessel that gives off more heat by surface, walls and bottom alike: a factor on its areas."""
    return replace(
        vessel,
        surface_m2=vessel.surface_m2 * factor,
        wall_m2=vessel.wall_m2 * factor,
        bottom_m2=vessel.bottom_m2 * factor,
    )
