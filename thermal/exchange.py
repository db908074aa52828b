"""What water and the air round it exchange in an hour: evaporation, convection, longwave, walls, vapour.

These are the equations of the model that depend on temperature. The march evaluates them at the start of a
step; the reference integrator of the tests evaluates the very same functions at every instant.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from thermal import air
from thermal.air import Array
from thermal.network import RoomAir, Vessels
from thermal.paths import films, surface

EMISSIVITY_WATER = 0.95  # Cengel, Heat and Mass Transfer, table A-18
EMISSIVITY_WALL = 0.90  # plastics, paint, wood: from memory
SURFACE_FILM = 2.5  # W/m2K convective part of an inside film, ISO 6946:2017 annex C


class Coefficients(NamedTuple):
    """Transfer coefficients of each vessel, shape (vessel, design)."""

    mass_kg_s: Array  # vapour for each unit of humidity ratio
    convection_w_per_k: Array  # open surface to air
    longwave_w_per_k: Array  # open surface to the room's surfaces
    wall_w_per_k: Array  # walls to air
    water_ratio: Array  # saturated humidity ratio at the water
    wall_excess: Array  # (outer wall surface - air)/(water - air), carried to the next hour


def coefficients(
    vessels: Vessels, water_c: Array, air_c: Array, radiant_c: Array, ratio: Array, wall_excess: Array, pressure_pa: float
) -> Coefficients:
    """Every transfer coefficient of the vessels at one state.

    Parameters
    ----------
    water_c : Array, shape (vessel, design)
    air_c, radiant_c, ratio : Array, shape (design,)
        Air temperature, temperature of the room's surfaces, humidity ratio of the air.
    wall_excess : Array, shape (vessel, design)
        As left by the previous call; the wall film depends on it but weakly.
    """
    vapour = air.saturation_pressure(water_c)
    w_water = air.humidity_ratio(vapour, pressure_pa)
    rho_water = air.dry_air_density(water_c, vapour, pressure_pa)
    rho_room = air.dry_air_density(air_c, air.vapour_pressure(ratio, pressure_pa), pressure_pa)
    g = surface.mass_transfer_coefficient(rho_water, rho_room, w_water, ratio, pressure_pa)
    h_c = surface.convective_coefficient(g)
    h_r = films.radiative_coefficient(0.5 * (water_c + radiant_c), EMISSIVITY_WATER)
    through_lid = vessels.surface_m2 / (1.0 + vessels.lid_r * (h_c + h_r))

    excess_k = np.abs(wall_excess * (water_c - air_c))
    sixth_root = surface.cube_root(np.sqrt(excess_k))
    h_wall = np.square(vessels.film_a + vessels.film_b * sixth_root) + h_r * (EMISSIVITY_WALL / EMISSIVITY_WATER)
    excess = 1.0 / (1.0 + vessels.wall_r * h_wall)
    return Coefficients(
        mass_kg_s=g * (vessels.surface_m2 * vessels.evaporation),
        convection_w_per_k=through_lid * h_c,
        longwave_w_per_k=through_lid * h_r,
        wall_w_per_k=vessels.wall_m2 * h_wall * excess,
        water_ratio=w_water,
        wall_excess=excess,
    )


class Moisture(NamedTuple):
    """Vapour over one step."""

    ratio: Array  # humidity ratio of the air at the end of the step, shape (design,)
    evaporation_kg_s: Array  # shape (vessel, design)
    condensation_kg_s: Array  # on the coldest side and as fog, shape (design,)


def moisture(
    room: RoomAir,
    mass_kg_s: Array,
    water_ratio: Array,
    cold_c: Array,
    ratio: Array,
    outdoor_ratio: Array,
    change_kg_s: Array,
    dt_s: float,
    pressure_pa: float,
) -> Moisture:
    """Implicit vapour balance of the room's air over one step.

    Evaporation - air change - condensation = change of what the air holds. Water colder than the dew point
    gains the vapour it condenses. The air gives up vapour to the coldest side when that lies below its dew
    point, and all that it cannot hold itself; of the three balances the driest is the true one.

    Parameters
    ----------
    cold_c : Array, shape (2, design)
        Temperatures of the coldest inner surface and of the air.
    """
    if room.node is None:
        return Moisture(room.given_ratio, mass_kg_s * (water_ratio - room.given_ratio), np.zeros_like(ratio))
    w_side, w_air = air.humidity_ratio(air.saturation_pressure(cold_c), pressure_pa)
    held = room.mass_kg / dt_s
    supply = held * ratio + (mass_kg_s * water_ratio).sum(axis=0) + change_kg_s * outdoor_ratio
    demand = held + mass_kg_s.sum(axis=0) + change_kg_s
    wet = (supply + room.condensing_kg_s * w_side) / (demand + room.condensing_kg_s)
    new = np.minimum(np.minimum(supply / demand, wet), w_air)
    return Moisture(
        ratio=new,
        evaporation_kg_s=mass_kg_s * (water_ratio - new),
        condensation_kg_s=supply - demand * new,
    )
