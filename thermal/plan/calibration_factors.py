"""A plan with factors on its heat loss and heat capacity applied: those of a calibration, and those of a sample."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from thermal.core.distributions import TriangularRange, lognormal
from thermal.data.uncertain_inputs import uncertain_inputs
from thermal.physics.wall_resistance import FILMS
from thermal.plan.model import Factors, Plan
from thermal.plan.structure import FacingWall, Side, Vessel


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
    """A side whose heat loss, with its films, and heat capacity are multiplied.

    Where its resistance is too small to be lowered that far, as that of a bare door, the rest is applied to its area.
    """
    outer = side.faces in ("outdoors", "attic")
    r = max((side.r_m2k_per_w + FILMS) / factors.room - FILMS, 0.0) if outer else side.r_m2k_per_w
    stretch = factors.room * (r + FILMS) / (side.r_m2k_per_w + FILMS) if outer else 1.0
    return replace(
        side,
        area_m2=side.area_m2 * stretch,
        r_m2k_per_w=r,
        mass_j_per_m2k=side.mass_j_per_m2k * factors.mass / stretch,
        bridges_w_per_m2k=side.bridges_w_per_m2k * factors.room / stretch,
    )


def _vessel(vessel: Vessel, factors: Factors) -> Vessel:
    """A vessel whose wall loss and evaporation are multiplied.

    The factor is applied to the wall area, since the films resist as much as the wall does.
    """
    if factors.water == factors.cover == 1.0:
        return vessel
    opening = vessel.opening
    return replace(
        vessel,
        wall_m2=vessel.wall_m2 * factors.water,
        elsewhere=_scaled_walls(vessel, factors.water),
        evaporation=vessel.evaporation * factors.cover,
        night_evaporation=vessel.night_evaporation * factors.cover,
        opening=opening
        and replace(
            opening,
            evaporation=opening.evaporation * factors.cover,
            night_evaporation=opening.night_evaporation * factors.cover,
        ),
    )


CALIBRATED = {  # factor of a calibration: the input that stands for what is left unknown of it, and inputs it replaces
    "air_change": ("calibrated air change", ("air changes",)),
    "room": ("calibrated sides of the room", ("side", "thermal bridges", "attic", "heat loss of the room")),
    "mass": ("calibrated heat capacity of the room", ("heat capacity of the room",)),
    "water": ("calibrated walls of tanks and beds", ("heat loss of the water",)),
    "cover": ("calibrated evaporation", ("top", "wet bed", "evaporation formula")),
}


def inputs_replaced_by_calibration(plan: Plan) -> tuple[str, ...]:
    """How the names of those uncertain inputs begin that a calibration of the plan has settled."""
    known = [key for key in CALIBRATED if getattr(plan.fit_spread, f"{key}_sd") is not None]
    return tuple(beginning for key in known for beginning in CALIBRATED[key][1])


def with_uncertain_factors(plan: Plan, sampler: Callable[[str, TriangularRange], float]) -> Plan:
    """A plan with the factors of one sample; they are 1 at their likely values.

    What is left unknown after a calibration is a lognormal factor, as wide as the calibration says.

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
    spread = {key: getattr(plan.fit_spread, f"{key}_sd") for key in CALIBRATED}
    left = {key: sampler(CALIBRATED[key][0], lognormal(sd)) for key, sd in spread.items() if sd is not None}
    scaled = apply_factors(scaled, Factors(**left))
    if plan.room.temperature_c is not None:
        return scaled
    return apply_factors(
        scaled, Factors(room=factor("heat loss of the room"), mass=factor("heat capacity of the room"))
    )


def _scale_areas(vessel: Vessel, factor: float) -> Vessel:
    """A vessel that gives off more heat by surface, walls and bottom alike: a factor on its areas."""
    if factor == 1.0:
        return vessel
    return replace(
        vessel,
        surface_m2=vessel.surface_m2 * factor,
        wall_m2=vessel.wall_m2 * factor,
        elsewhere=_scaled_walls(vessel, factor),
        bottom_m2=vessel.bottom_m2 * factor,
    )


def _scaled_walls(vessel: Vessel, factor: float) -> tuple[FacingWall, ...]:
    """The sides of a vessel that face something else than the air around it, with a factor on their areas."""
    return tuple(replace(wall, area_m2=wall.area_m2 * factor) for wall in vessel.elsewhere)
