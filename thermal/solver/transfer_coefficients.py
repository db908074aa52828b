"""What water and the air round it exchange in an hour: evaporation, convection, longwave, walls, vapour.

These are the equations of the model that depend on temperature. The solver evaluates them once in some hours; the
reference integrator of the tests evaluates the very same functions at every instant.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from thermal.core.arrays import Array, Numbers
from thermal.network.model import RoomAir, Vessels
from thermal.physics.constants import CONDENSATION_J_PER_KG, EMISSIVITY_WALL, EMISSIVITY_WATER
from thermal.solver import tuned_laws
from thermal.solver.drying import dryer_of
from thermal.solver.state import Coefficients, VapourBalance

ONE, HALF, SIXTH = (tuned_laws.constant(value) for value in (1.0, 0.5, 1.0 / 6.0))
WALL_TO_WATER = tuned_laws.constant(EMISSIVITY_WALL / EMISSIVITY_WATER)
CONDENSATION = tuned_laws.constant(CONDENSATION_J_PER_KG)


def coefficients(
    vessels: Vessels,
    water_c: Array,
    air_c: Array,
    radiant_c: Array,
    ratio: Array,
    wall_excess: Array,
    pressure_pa: Numbers,
) -> Coefficients:
    """Every transfer coefficient of the vessels at one state, worked out in place.

    Parameters
    ----------
    vessels : Vessels
        As covered now.
    water_c : Array, shape (vessel, column)
    air_c, radiant_c : Array, shape (column,)
        Temperature of the air and of the room's surfaces [degC].
    ratio : Array, shape (column,)
        Humidity ratio of the air [kg/kg].
    wall_excess : Array, shape (vessel, column)
        As left by the previous call; the wall film depends on it but weakly.
    pressure_pa : float or Array, shape ()

    Returns
    -------
    Coefficients
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
    h_film = np.abs(excess_k, out=excess_k) ** SIXTH
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


def vapour_balance(
    room: RoomAir,
    c: Coefficients,
    cold_c: Array,
    change_kg_s: Array,
    brought: tuple[Array, Array],
    held_kg_s: Array,
    pressure_pa: Numbers,
) -> VapourBalance:
    """The vapour balance of the room's air for steps of one length.

    Parameters
    ----------
    room : RoomAir
    c : Coefficients
        Of the vessels that evaporate into it.
    cold_c : Array, shape (2, column)
        Coldest inner surface and air, whose saturation the balance is held to [degC].
    change_kg_s : Array, shape (column,)
        Dry outside air taken in.
    brought : tuple of Array, shape (hour, column)
        Its humidity ratio [kg/kg], and the vapour of plants [kg/s], in the hours the balance is for.
    held_kg_s : Array, shape (column,)
        Dry air in the room over the length of a step.
    pressure_pa : float or Array, shape ()

    Returns
    -------
    VapourBalance
    """
    w_side, w_air = tuned_laws.humidity_ratio(tuned_laws.saturation_pressure(cold_c), pressure_pa)
    demand = held_kg_s + change_kg_s
    demand += sum_rows(c.mass_kg_s)
    dryer = None if room.dryer is None else dryer_of(room, cold_c[1], demand.copy(), w_side.copy(), pressure_pa)
    share = ONE / demand
    wet_share = demand / (demand + room.condensing_kg_s)
    w_side *= ONE - wet_share
    outside_ratio, plants_kg_s = brought
    dry_gain = (change_kg_s * share) * outside_ratio
    dry_gain += sum_rows(c.mass_kg_s * c.water_ratio) * share
    dry_gain += plants_kg_s * share
    share *= held_kg_s
    demand *= CONDENSATION
    return VapourBalance(
        dry_share=share,
        dry_gain=dry_gain,
        wet_share=wet_share,
        wet_gain=w_side,
        saturation_ratio=w_air,
        demand_w=demand,
        dryer=dryer,
    )


def advance_humidity(
    vapour: VapourBalance, ratio: Array, hours: Sequence[int], new_ratios: Array, dry_ratios: Array
) -> None:
    """Step the air's humidity through some steps.

    The air gives up vapour to the coldest side when that lies below its dew point, and as fog all that it cannot
    hold; of the three balances the driest is the true one.

    Parameters
    ----------
    vapour : VapourBalance
        The balance of the interval.
    ratio : Array, shape (column,)
        Humidity ratio before the first step [kg/kg].
    hours : sequence of int
        Each step's hour, as row of `dry_gain`.
    new_ratios, dry_ratios : Array, shape (step, column)
        Receive the humidity ratio after each step, and what it would be without condensation.
    """
    multiply, add, minimum = np.multiply, np.add, np.minimum
    dry_share, wet_share, wet_gain, saturated = (
        vapour.dry_share,
        vapour.wet_share,
        vapour.wet_gain,
        vapour.saturation_ratio,
    )
    for hour, new, dry in zip(hours, new_ratios, dry_ratios, strict=True):
        multiply(dry_share, ratio, dry)
        add(dry, vapour.dry_gain[hour], dry)
        multiply(wet_share, dry, new)
        add(new, wet_gain, new)
        minimum(new, saturated, out=new)
        minimum(new, dry, out=new)
        ratio = new


def by_water_node(rows: Array, vessels: Vessels) -> Array:
    """Sum of vessel rows for each water node; the rows themselves where every node has one vessel."""
    if len(rows) == len(vessels.water_nodes):
        return rows
    bounds = (*vessels.first_rows, len(rows))
    return np.stack([sum_rows(rows[first:stop]) for first, stop in pairwise(bounds)])


def count_steps(flags: Array) -> Array:
    """How many steps of a day are flagged, shape (column,); flags have shape (step, column)."""
    count: Array = np.add.reduce(flags.view(np.uint8), axis=0, dtype=np.uint16)  # a third of the time of a sum of bools
    return count


def sum_rows(rows: Array) -> Array:
    """Sum over the first axis, row after row, so that no column's sum depends on how many stand beside it.

    A reduction pairs rows as memory lies. May return the only row itself.
    """
    if len(rows) == 2:  # the usual case, in half the loop's time
        both: Array = rows[0] + rows[1]
        return both
    total: Array = rows[0]
    for row in rows[1:]:
        total = total + row
    return total
