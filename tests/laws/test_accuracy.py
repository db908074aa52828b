"""The solver against scipy's integrator on the same equations, a whole winter through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from thermal.climate.forcing import Forcing
from thermal.network.model import Network, thermostat
from thermal.physics import evaporation, moist_air, water_surface
from thermal.physics.condensation import surface_temperature
from thermal.physics.constants import CONDENSATION_J_PER_KG, EMISSIVITY_WALL, EMISSIVITY_WATER
from thermal.physics.natural_convection import vertical_film_coefficient
from thermal.physics.radiation import radiative_coefficient
from thermal.solver.simulate import simulate

pytestmark = pytest.mark.no_cover  # minutes long; other tests cover its lines, and tracing adds half as much again

THERMOSTAT_S = 120.0  # within which the integrator's thermostat closes a gap
FOG_PER_S = 0.02  # how fast air beyond saturation sheds its excess


class Continuous:
    """The model's differential equations, written from the network's arrays and the laws of thermal/physics alone.

    State: node temperatures and the air's humidity ratio, for every design of the network.
    """

    def __init__(self, network: Network, forcing: Forcing, setpoint_c: float, watts: np.ndarray) -> None:
        self.network, self.forcing, self.setpoint_c, self.watts = network, forcing, setpoint_c, watts
        self.excess = np.full(network.vessels.wall_r.shape, 0.7)
        self.rows = [water_node for water_node in network.vessels.water_nodes]  # one vessel a lump in these plans
        self.settled = self.excess
        self.hour = 0

    def rates(self, _t: float, y: np.ndarray) -> np.ndarray:
        network, vessels, room = self.network, self.network.vessels, self.network.room_air
        n, h = len(network.nodes), self.hour
        state = y.reshape(n + 2, -1)
        t, ratio = state[:n], state[n]
        outdoor, outside_ratio = self.forcing.outdoor_c[h, 0], self.forcing.humidity_ratio[h, 0]
        pressure = self.forcing.pressure_pa
        heat = network.source_w[h % 24] - network.fixed_w_per_k * t + network.outdoor_w_per_k * (outdoor - t)
        heat += (
            network.season_w[0] * self.forcing.season_cos[h, 0] + network.season_w[1] * self.forcing.season_sin[h, 0]
        )
        for (node, column), per_unit in zip(network.gains, network.gain_w, strict=True):
            heat[node] += per_unit * self.forcing.columns[h, column, 0]
        for (i, j), conductance in zip(network.links, network.link_w_per_k, strict=True):
            flow = conductance * (t[j] - t[i])
            heat[i] += flow
            heat[j] -= flow
        water, inside, surfaces = t[self.rows], t[room.node], t[room.radiant_node]
        mass, convection, radiation, walls, water_ratio = self.water_coefficients(water, inside, surfaces, ratio)
        evaporated = mass * (water_ratio - ratio)
        to_air = (convection + walls) * (water - inside)
        longwave = radiation * (water - surfaces)
        heat[self.rows] -= to_air + longwave + evaporated * evaporation.replaced_vapour_enthalpy(water, vessels.tap_c)
        heat[room.node] += to_air.sum(axis=0)
        heat[room.radiant_node] += longwave.sum(axis=0)
        flow = vessels.flow_w_per_k[h % 24] * (water[1] - water[0])
        heat[self.rows[0]] += flow
        heat[self.rows[1]] -= flow
        side = surface_temperature(inside, outdoor, room.coldness)
        w_side, w_air = (moist_air.humidity_ratio(moist_air.saturation_pressure(x), pressure) for x in (side, inside))
        condensed = room.condensing_kg_s * np.maximum(ratio - w_side, 0.0)
        condensed += FOG_PER_S * room.mass_kg * np.maximum(ratio - w_air, 0.0)
        heat[room.radiant_node] += CONDENSATION_J_PER_KG * condensed
        restoring = network.capacity_j_per_k[-1] * (self.setpoint_c - t[-1]) / THERMOSTAT_S
        heater = np.clip(restoring - heat[-1], 0.0, self.watts)
        heat[-1] += heater
        vapour = evaporated.sum(axis=0) + room.change_kg_s * (outside_ratio - ratio) - condensed
        vapour += room.vapour_kg_s[h % 24]
        return np.concatenate([(heat / network.capacity_j_per_k).ravel(), vapour / room.mass_kg, heater])

    def water_coefficients(
        self, water: np.ndarray, air: np.ndarray, surfaces: np.ndarray, ratio: np.ndarray
    ) -> tuple[np.ndarray, ...]:
        """Of evaporation [kg/s], convection, longwave and walls [W/K], and the humidity ratio at the water."""
        vessels, pressure = self.network.vessels, self.forcing.pressure_pa
        water_ratio = moist_air.humidity_ratio(moist_air.water_saturation_pressure(water), pressure)
        densities = (moist_air.dry_air_density(t, w, pressure) for t, w in ((water, water_ratio), (air, ratio)))
        g = evaporation.mass_transfer_coefficient(*densities, water_ratio, ratio, pressure)
        h_longwave = radiative_coefficient((water + surfaces) / 2.0, EMISSIVITY_WATER)
        surface = vessels.surface_m2, evaporation.convective_coefficient(g), h_longwave, vessels.lid_r
        h_wall = vertical_film_coefficient(vessels.film_a, vessels.film_b, (water - air) * self.excess)
        h_wall = h_wall + radiative_coefficient((water + surfaces) / 2.0, EMISSIVITY_WALL)
        self.settled = water_surface.wall_excess_share(h_wall, vessels.wall_r)
        return (
            water_surface.evaporation_conductance(vessels.surface_m2, g, vessels.evaporation),
            water_surface.surface_convection_conductance(*surface),
            water_surface.surface_longwave_conductance(*surface),
            water_surface.wall_conductance(vessels.wall_m2, h_wall, vessels.wall_r),
            water_ratio,
        )


@pytest.mark.parametrize(
    ("settings", "days"),
    [({}, 212), ({"tank.insulation": "XPS 50 mm", "tank.top": "snug foam lid"}, 40)],
    ids=["bare, whole winter", "foamed, 40 days"],
)
def test_a_winter_agrees_with_solve_ivp(case_with, settings, days):
    """DESIGN section 4: water within 0.02 K rms and 0.05 K at any hour, energy within 0.3 %.

    The integrator at rtol 1e-6; at 1e-9 it takes twice as long and the largest differences move by 1e-6 K.

    Heaters of 300 and 600 W, too small at times, and one that always suffices; the tank never freezes. The sky counts;
    air changes are a fixed number, since the equations here have no leakage area.
    """
    case = case_with({"climate.winters": [2016], "room.air_changes": 1.5, **settings})
    watts, setpoint, hours = np.array([300.0, 600.0, 3000.0]), 11.0, 24 * days
    network = case.network.take(np.zeros(3, dtype=int))
    first = case.forcing.spin_up_h if days > 200 else case.forcing.spin_up_h + 70 * 24
    cut = {
        name: getattr(case.forcing, name)[first : first + hours]
        for name in ("outdoor_c", "humidity_ratio", "wind_m_s", "season_cos", "season_sin", "columns")
    }
    forcing = replace(case.forcing, **cut, spin_up_h=0, end_h=np.array([hours]), marks=np.zeros((0, 1), dtype=int))
    start = np.tile(np.array([14.0, 13.0, 12.0, 12.0, 13.0, 13.0])[:, None], 3)
    ours = simulate(network, forcing, thermostat(setpoint, watts), 10.0, hourly_output=True, start_c=start)

    model = Continuous(network, forcing, setpoint, watts)
    y = np.concatenate([start.ravel(), np.full(3, forcing.humidity_ratio[0, 0]), np.zeros(3)])
    tank = np.empty((hours, 3))
    for hour in range(hours):
        model.hour, model.excess = hour, model.settled  # the wall film's fixed point, taken once an hour
        y = solve_ivp(model.rates, (0.0, 3600.0), y, method="LSODA", rtol=1e-6, atol=1e-5).y[:, -1]
        tank[hour] = y.reshape(8, 3)[5]
    heat_j = y.reshape(8, 3)[7]

    error = ours.hourly_output.water_c[:, -1] - tank
    rms, worst = np.sqrt((error**2).mean(axis=0)), np.abs(error).max(axis=0)
    print(f"rms {rms} K, worst {worst} K, energy {ours.heater_j[:, 0] / heat_j - 1}")
    assert rms.max() < 0.02
    assert worst.max() < 0.05
    np.testing.assert_allclose(ours.heater_j[:, 0], heat_j, rtol=0.003)
