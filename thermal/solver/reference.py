r"""One implicit hour of one design, in plain double precision: the executable definition of the model.

    outdoors, house, ground
               |
            fabric ........................       ---  conductances that never change
               |             .            .       ===  evaporation, convection and walls of the water: to the hut's
 outdoors --- air -- hut == bed <=====> tank           air, or the room's where there is no hut
               |      |      |    pump    |       ...  longwave of the water: to the fabric, or the hut
             slab ----+------+------------+       Bottoms rest on the slab, or in the air on a frame. Where the room's
               |                                  air is given, only bed and tank are nodes. The heater stands in the
 ground ---- soil                                 last node: the tank, or the air (of the hut) when that is heated.

A node of heat capacity C goes from T to T' within dt = 3600 s. Heat flows at T*, its mean over the step; j are other
nodes, b surroundings, Q other heat, P the heater, e = 1 in the last node and 0 elsewhere:

    C (T' - T)/dt = sum_j G_j (T_j* - T*) + sum_b G_b (T_b - T*) + Q + P e,   T* = theta T' + (1 - theta) T.   (1)

theta is 1 for light nodes (implicit Euler) and fitted to the exponential for water. Without T', (1) is A T* = q + P e:

    A_ii = C/(theta dt) + sum G,   A_ij = -G_ij,   q = C/(theta dt) T + sum_b G_b T_b + Q.                     (2)

The heater brings T' of the last node to its setpoint, within its limits: T* = A^-1 q + P A^-1 e gives

    P = (theta T_set + (1 - theta) T - (A^-1 q)_last)/(A^-1 e)_last.                                           (3)

Q needs the humidity ratio W' of the air, in which no temperature of the hour enters. With m the mass of dry air, V the
outside air taken in, s the vapour of plants, g the water's mass-transfer conductances, k that of the coldest side,

    D W_dry = m/dt W + V W_out + sum g W_water + s,  D = m/dt + V + sum g;   (D + k) W_wet = D W_dry + k W_side;
    W' = min(W_dry, W_wet, W_sat(air)):   g (W_water - W') evaporates, D (W_dry - W') condenses.               (4)

A dehumidifier takes r off D W_dry, so that W' is its set ratio or r what it can take. A fan by humidity adds to V.

Last, water freezes by its enthalpy: ice' = ice - C T' within 0 and a limit, T' += (ice' - ice)/C.                (5)
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thermal.climate.forcing import Forcing
from thermal.core.arrays import Array, Numbers
from thermal.network.model import Control, RoomAir, night_vessels
from thermal.physics import condensation, evaporation, humidity_balance, moist_air, water_surface
from thermal.physics.constants import CP_AIR, EMISSIVITY_WALL, EMISSIVITY_WATER
from thermal.physics.freezing import water_and_ice
from thermal.physics.infiltration import flow_in_series, leakage_flow
from thermal.physics.natural_convection import vertical_film_coefficient
from thermal.physics.radiation import radiative_coefficient
from thermal.solver.design import HOUR_S, Design
from thermal.solver.drying import dryer_of, fan_air, heat_of_drying

NIGHT = (*range(20, 24), *range(8))  # hours a night cover is on
HOTTEST_WATER_C, ROOM_RANGE_C = 45.0, (-90.0, 75.0)  # coefficients go no further: vapour would run away


@dataclass(frozen=True)
class Update:
    """New coefficients for some hours, at temperatures now plus `extrapolation` of their change since the last ones."""

    hours: int
    extrapolation: float


@dataclass(frozen=True)
class Coefficients:
    """What holds from one update to the next; arrays of shape (vessel,)."""

    mass_kg_s: Array  # g
    air_w_per_k: Array  # convection at the surface, and walls
    longwave_w_per_k: Array
    water_ratio: Array  # W_water
    enthalpy_j_per_kg: Array  # of evaporation and its make-up water
    side_ratio: float  # W_side
    air_ratio: float  # W_sat(air)
    leak_kg_s: float  # outside air through cracks, and that of a fan by humidity
    air_c: float  # of the air, for a dehumidifier
    fan_w: float  # electric power of a fan by humidity


@dataclass(frozen=True)
class State:
    """What an hour hands to the next."""

    temperature_c: Array  # (node,)
    ratio: float  # humidity ratio of the air
    ice_j: Array  # latent heat given up by freezing, (water node,)
    pump_on: bool
    wall_excess: Array  # (outer wall surface - air)/(water - air) at the last update, (vessel,)
    updated_c: Array  # temperatures at the last update, (node,)
    coefficients: Coefficients | None = None  # None before the first


@dataclass(frozen=True)
class HourRecord:
    """What happened in the hour."""

    mean_c: Array  # T*, (node,)
    heater_w: float
    evaporation_kg_s: Array  # (vessel,)
    condensation_w: float
    freezing_w: Array  # heat that freezing gave, (water node,)
    removed_kg_s: float  # vapour that a dehumidifier took
    drying_w: float  # its electric power
    fan_w: float  # that of a fan by humidity
    closure: float  # |in - out - stored| over all heat that passed


def hour_step(
    design: Design, forcing: Forcing, row: int, control: Control, state: State, update: Update | None
) -> tuple[State, HourRecord]:
    """The state after one hour, and what happened in it.

    `row` is the hour in the weather, whose first winter counts. Without an `update` the last coefficients hold.
    """
    network, vessels, room, water, clock = design.network, design.vessels, design.room, design.water, row % 24
    stored_j = design.heat_capacity(state.pump_on) @ state.temperature_c
    pump_on = bool(vessels.flow_w_per_k[clock] > 0)
    state = replace(state, temperature_c=design.after_pump_switch(state.temperature_c, state.pump_on, pump_on))
    if update is not None:
        state = with_new_coefficients(design, forcing, row, state, update)
    c, old_c = state.coefficients, state.temperature_c
    assert c is not None

    outside, pressure = forcing.humidity_ratio[row, 0], forcing.pressure_pa
    ratio, condensation_w, removed_kg_s, drying_w = air_humidity(room, c, state.ratio, outside, clock, pressure)  # (4)
    evaporation_kg_s = c.mass_kg_s * (c.water_ratio - ratio)
    vapour_w = np.zeros(len(old_c))
    np.subtract.at(vapour_w, design.vessel_nodes, evaporation_kg_s * c.enthalpy_j_per_kg)
    if room.radiant_node is not None:
        vapour_w[room.radiant_node] += condensation_w
    if room.node is not None:
        vapour_w[room.node] += float(heat_of_drying(removed_kg_s, drying_w))

    capacity, theta = design.heat_capacity(pump_on), design.theta
    matrix, to_outdoors, to_given = design.conductances(c.air_w_per_k, c.longwave_w_per_k, c.leak_kg_s * CP_AIR, clock)
    source_w = network.source_w[clock] + to_outdoors * forcing.outdoor_c[row, 0] + to_given * room.given_mean_c(clock)
    source_w += network.season_w[0] * forcing.season_cos[row, 0] + network.season_w[1] * forcing.season_sin[row, 0]
    source_w += column_gains(design, forcing, row)
    matrix += np.diag(to_outdoors + to_given + network.fixed_w_per_k + capacity / (theta * HOUR_S))  # (2)
    heat_w = source_w + vapour_w + capacity / (theta * HOUR_S) * old_c
    unheated_c, per_watt_k = np.linalg.solve(matrix, np.stack([heat_w, np.eye(len(heat_w))[-1]], axis=1)).T
    kept_c = (1.0 - theta[-1]) * old_c[-1] - unheated_c[-1]
    control = control.on_timer(network.heater_share, clock)
    heater_w = thermostat_power(control, row, kept_c / per_watt_k[-1], theta[-1] / per_watt_k[-1])  # (3)
    mean_c = unheated_c + heater_w * per_watt_k
    new_c = old_c + (mean_c - old_c) / theta
    new_c[water], ice_j = water_and_ice(new_c[water], state.ice_j, capacity[water], vessels.ice_limit_j)  # (5)

    freezing_w, stored_w = (ice_j - state.ice_j) / HOUR_S, (capacity @ new_c - stored_j) / HOUR_S
    source_w -= (to_outdoors + to_given + network.fixed_w_per_k) * mean_c
    flows_w = np.array([*source_w, *vapour_w, *freezing_w, heater_w, -stored_w])
    closure = abs(flows_w.sum()) / max(np.abs(flows_w).sum(), 1.0)
    devices = removed_kg_s, drying_w, c.fan_w
    record = HourRecord(mean_c, heater_w, evaporation_kg_s, condensation_w, freezing_w, *devices, closure)
    return replace(state, temperature_c=new_c, ratio=ratio, ice_j=ice_j, pump_on=pump_on), record


def thermostat_power(control: Control, row: int, idle_w: float, w_per_k: float) -> float:
    """The heater's power in one hour, below zero for a cooler [W]: idle_w + w_per_k T_set within its limits."""
    if control.given_w is not None:
        return float(control.given_w[row])
    to_setpoint_w = idle_w + w_per_k * control.setpoint_c[row % len(control.setpoint_c)]
    if control.cool_above_c is None:
        return float(np.clip(to_setpoint_w, control.min_w, control.max_w))
    to_cooler_w = idle_w + w_per_k * control.cool_above_c
    return float(np.clip(to_setpoint_w, 0.0, control.max_w) + np.clip(to_cooler_w, control.min_w, 0.0))


def column_gains(design: Design, forcing: Forcing, row: int) -> Array:
    """Heat that sun and sky bring to each node in one hour, (node,). [W]"""
    gain_w = np.zeros(len(design.network.nodes))
    per_unit = np.zeros(0) if design.network.gain_w is None else design.network.gain_w
    for (node, column), heat in zip(design.network.gains, per_unit, strict=True):
        gain_w[node] += heat * forcing.chosen_columns([column])[row, 0, 0]
    return gain_w


def with_new_coefficients(design: Design, forcing: Forcing, row: int, state: State, update: Update) -> State:
    """The coefficients for the hours from a row on."""
    vessels, room, pressure, ratio = design.vessels, design.room, forcing.pressure_pa, state.ratio
    vessels = night_vessels(vessels) if row % 24 in NIGHT else vessels
    ahead_c = state.temperature_c + update.extrapolation * (state.temperature_c - state.updated_c)
    for node in {room.node, room.beyond_node} - {None}:
        ahead_c[node] = np.clip(ahead_c[node], *ROOM_RANGE_C)
    water_c = np.minimum(ahead_c[design.vessel_nodes], HOTTEST_WATER_C)
    given_c = room.given_mean_c(row % 24, update.hours)
    air_c = given_c if room.node is None else ahead_c[room.node]
    radiant_c = given_c if room.radiant_node is None else ahead_c[room.radiant_node]

    water_ratio = moist_air.humidity_ratio(moist_air.water_saturation_pressure(water_c), pressure)
    densities = [moist_air.dry_air_density(t, w, pressure) for t, w in ((water_c, water_ratio), (air_c, ratio))]
    g = evaporation.mass_transfer_coefficient(densities[0], densities[1], water_ratio, ratio, pressure)
    h_longwave, h_wall_longwave = (
        radiative_coefficient((water_c + radiant_c) / 2.0, emissivity)
        for emissivity in (EMISSIVITY_WATER, EMISSIVITY_WALL)
    )
    surface = vessels.surface_m2, evaporation.convective_coefficient(g), h_longwave, vessels.lid_r
    excess_k = (water_c - air_c) * state.wall_excess
    h_wall = vertical_film_coefficient(vessels.film_a, vessels.film_b, excess_k) + h_wall_longwave

    leak_kg_s, beyond_c = 0.0, air_c
    if room.node is not None:
        outdoor_c, outdoor_ratio, wind_m_s = forcing.channels()[row : row + update.hours, :3, 0].T
        excess_k, rms_m_s = ahead_c[room.leak_node] - outdoor_c.mean(), np.sqrt(np.square(wind_m_s).mean())
        density = moist_air.dry_air_density(outdoor_c, outdoor_ratio, pressure).mean()
        leak_kg_s = float(density * leakage_flow(room.leak_cm2, excess_k, rms_m_s))
        middle_c = forcing.outdoor_c[row + update.hours // 2, 0]
        beyond_c = middle_c if room.beyond_node is None else ahead_c[room.beyond_node]
    cold_c = np.array([condensation.surface_temperature(air_c, beyond_c, room.coldness), air_c])
    side_ratio, air_ratio = moist_air.humidity_ratio(moist_air.saturation_pressure(cold_c), pressure)
    to_air = water_surface.surface_convection_conductance(*surface)
    to_air = to_air + water_surface.wall_conductance(vessels.wall_m2, h_wall, vessels.wall_r)
    longwave = water_surface.surface_longwave_conductance(*surface)
    mass = water_surface.evaporation_conductance(vessels.surface_m2, g, vessels.evaporation)
    enthalpy = evaporation.replaced_vapour_enthalpy(water_c, vessels.tap_c)
    fan_w = 0.0
    if room.fan is not None:
        hours = slice(row, row + update.hours)
        plants_kg_s = room.vapour_kg_s[row % 24 : row % 24 + update.hours].mean()
        outdoors = (forcing.humidity_ratio[hours, 0] * room.outdoor_humidity).mean(), density
        vapour = mass @ water_ratio + plants_kg_s, mass.sum()
        fan_kg_s, fan_w = map(float, fan_air(room, cold_c, vapour, room.change_kg_s + leak_kg_s, outdoors, pressure))
        leak_kg_s += fan_kg_s
    c = Coefficients(
        mass, to_air, longwave, water_ratio, enthalpy, side_ratio, air_ratio, leak_kg_s, float(air_c), fan_w
    )
    wall_excess = water_surface.wall_excess_share(h_wall, vessels.wall_r)
    return replace(state, coefficients=c, wall_excess=wall_excess, updated_c=state.temperature_c)


def air_humidity(
    room: RoomAir, c: Coefficients, ratio: float, outside: Numbers, clock: int, pressure_pa: Numbers
) -> tuple[float, float, float, float]:
    """Humidity ratio at the end of the hour, heat of what condenses, and a dehumidifier's vapour and power, by (4)."""
    if room.node is None:
        return ratio, 0.0, 0.0, 0.0
    held, change, outside = room.mass_kg / HOUR_S, room.change_kg_s + c.leak_kg_s, outside * room.outdoor_humidity
    if room.beyond_node is not None:
        change = flow_in_series(room.hut_change_kg_s, change)
        change = change if room.direct_change_kg_s is None else change + room.direct_change_kg_s
    demand = humidity_balance.vapour_demand(held, change, c.mass_kg_s.sum())
    gain = humidity_balance.dry_gain(change, outside, c.mass_kg_s @ c.water_ratio + room.vapour_kg_s[clock], demand)
    dry = humidity_balance.dry_humidity_ratio(ratio, humidity_balance.dry_share(held, demand), gain)
    removed = drying_w = np.zeros(1)
    if (dryer := dryer_of(room, c.air_c, demand, c.side_ratio, pressure_pa)) is not None:
        removed = np.atleast_1d(dryer.vapour_kg_s(dry))
        drying_w = dryer.electric_w(removed)
        dry = dry - removed[0] / demand
    wet_share = humidity_balance.wet_share(demand, room.condensing_kg_s)
    wet = humidity_balance.wet_humidity_ratio(dry, wet_share, c.side_ratio)
    new = humidity_balance.new_humidity_ratio(dry, wet, c.air_ratio)
    condensed_w = float(humidity_balance.condensation_heat(dry, new, demand))
    return float(new), condensed_w, float(removed[0]), float(drying_w[0])
