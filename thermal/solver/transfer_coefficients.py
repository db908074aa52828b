"""What water and the air round it exchange in an hour: evaporation, convection, longwave, walls, vapour.

These are the equations of the model that depend on temperature. The march evaluates them once a period of some
hours; the reference integrator of the tests evaluates the very same functions at every instant.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.network.model import RoomAir, Vessels
from thermal.physics.constants import CONDENSATION_J_PER_KG, EMISSIVITY_WALL, EMISSIVITY_WATER
from thermal.solver import tuned_laws

ONE, HALF, WALL_TO_WATER = (
    tuned_laws.constant(1.0),
    tuned_laws.constant(0.5),
    tuned_laws.constant(EMISSIVITY_WALL / EMISSIVITY_WATER),
)
CONDENSATION = tuned_laws.constant(CONDENSATION_J_PER_KG)


class Coefficients(NamedTuple):
    """Transfer coefficients of each vessel, shape (vessel, design)."""

    mass_kg_s: Array  # vapour for each unit of humidity ratio
    convection_w_per_k: Array  # open surface to air
    longwave_w_per_k: Array  # open surface to the room's surfaces
    wall_w_per_k: Array  # walls to air
    water_ratio: Array  # saturated humidity ratio at the water
    wall_excess: Array  # (outer wall surface - air)/(water - air), carried to the next hour


def coefficients(
    vessels: Vessels,
    water_c: Array,
    air_c: Array,
    radiant_c: Array,
    ratio: Array,
    wall_excess: Array,
    pressure_pa: Numbers,
) -> Coefficients:
    """Every transfer coefficient of the vessels at one state. In place: fresh memory would double a batch's time.

    Parameters
    ----------
    water_c : Array, shape (vessel, design)
    air_c, radiant_c, ratio : Array, shape (design,)
        Air temperature, temperature of the room's surfaces, humidity ratio of the air.
    wall_excess : Array, shape (vessel, design)
        As left by the previous call; the wall film depends on it but weakly.
    """
    w_water = tuned_laws.humidity_ratio(tuned_laws.water_saturation_pressure(water_c), pressure_pa)
    rho_water = tuned_laws.dry_air_density(water_c, w_water, pressure_pa)
    rho_room = tuned_laws.dry_air_density(air_c, ratio, pressure_pa)
    g = tuned_laws.mass_transfer_coefficient(rho_water, rho_room, w_water, ratio, pressure_pa)
    h_c = tuned_laws.convective_coefficient(g)
    mean_c = water_c + radiant_c
    mean_c *= HALF
    h_r = tuned_laws.radiative_coefficient(mean_c, EMISSIVITY_WATER)
    lid = h_c + h_r
    lid *= vessels.lid_r
    lid += ONE
    through_lid = vessels.surface_m2 / lid

    excess_k = water_c - air_c
    excess_k *= wall_excess
    h_film = tuned_laws.root(np.abs(excess_k, out=excess_k), 6)
    h_film *= vessels.film_b
    h_film += vessels.film_a
    h_film *= h_film
    h_wall = h_r * WALL_TO_WATER
    h_wall += h_film
    wall = vessels.wall_r * h_wall
    wall += ONE
    excess = ONE / wall
    h_wall *= vessels.wall_m2
    h_wall *= excess
    h_c *= through_lid
    h_r *= through_lid
    g *= vessels.surface_m2
    g *= vessels.evaporation
    return Coefficients(
        mass_kg_s=g,
        convection_w_per_k=h_c,
        longwave_w_per_k=h_r,
        wall_w_per_k=h_wall,
        water_ratio=w_water,
        wall_excess=excess,
    )


class VapourBalance(NamedTuple):
    """The vapour balance of the room's air, its coefficients fixed for some steps; shape (design,).

    evaporation - air change - condensation = change of what the air holds, implicit in the air's humidity. Solved
    for that with a dry coldest side, the new humidity ratio is a share of the old plus what the hour brings; a wet
    side leaves a share of that and feeds back what its own temperature keeps in the air.
    """

    dry_share: Array
    dry_gain: Array  # (hour, design)
    wet_share: Array
    wet_gain: Array
    ceiling: Array  # humidity ratio at which the air itself is saturated
    demand_w: Array  # all that takes vapour, for each unit of the air's humidity ratio, as heat

    def advance(self, ratio: Array, hours: Sequence[int], news: list[Array], dries: list[Array]) -> None:
        """Humidity ratio after each step into `news`, what it would be without condensation into `dries`.

        The air gives up vapour to the coldest side when that lies below its dew point, and as fog all that it
        cannot hold; of the three balances the driest is the true one. `hours` tells each step's hour.
        """
        multiply, add, minimum = np.multiply, np.add, np.minimum
        dry_share, wet_share, wet_gain, ceiling = self.dry_share, self.wet_share, self.wet_gain, self.ceiling
        gain = list(self.dry_gain)
        for hour, new, dry in zip(hours, news, dries, strict=True):
            multiply(dry_share, ratio, dry)
            add(dry, gain[hour], dry)
            multiply(wet_share, dry, new)
            add(new, wet_gain, new)
            minimum(new, ceiling, out=new)
            minimum(new, dry, out=new)
            ratio = new


def total(rows: Array) -> Array:
    """Sum over the first axis, row after row, so that no column's sum depends on how many stand beside it.

    A reduction pairs rows as memory lies. May return the only row itself.
    """
    if len(rows) == 2:
        both: Array = rows[0] + rows[1]  # the usual case, in half the loop's time
        return both
    result: Array = rows[0]
    for row in rows[1:]:
        result = result + row
    return result


def vapour_balance(
    room: RoomAir,
    c: Coefficients,
    cold_c: Array,
    change_kg_s: Array,
    outside_ratio: Array,
    held_kg_s: Array,
    pressure_pa: Numbers,
) -> VapourBalance:
    """The vapour balance for steps of one length.

    Parameters
    ----------
    cold_c : Array, shape (2, design)
        Coldest inner surface and air, whose saturation the balance is held to.
    change_kg_s : Array, shape (design,)
        Dry outside air taken in.
    outside_ratio : Array, shape (hour, design)
        Its humidity ratio in the hours the balance is for.
    held_kg_s : Array, shape (design,)
        Dry air in the room over the length of a step.
    """
    w_side, w_air = tuned_laws.humidity_ratio(tuned_laws.saturation_pressure(cold_c), pressure_pa)
    demand = held_kg_s + change_kg_s
    demand += total(c.mass_kg_s)
    share = ONE / demand
    wet_share = demand / (demand + room.condensing_kg_s)
    w_side *= ONE - wet_share
    dry_gain = (change_kg_s * share) * outside_ratio
    dry_gain += total(c.mass_kg_s * c.water_ratio) * share
    share *= held_kg_s
    demand *= CONDENSATION
    return VapourBalance(share, dry_gain, wet_share, wet_gain=w_side, ceiling=w_air, demand_w=demand)
