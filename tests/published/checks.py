"""Our side of each row of reference.toml: the figure the row's value is compared with."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from thermal import data
from thermal.climate.forcing import Forcing
from thermal.climate.library import load_climate
from thermal.network.build import build_network
from thermal.network.envelope import room_envelope
from thermal.network.model import Control, Network
from thermal.physics import evaporation, ground, infiltration, moist_air, natural_convection, radiation, wall_resistance
from thermal.physics.constants import CP_AIR, SEA_LEVEL_PA
from thermal.plan.model import Plan
from thermal.plan.reader import plan_of, with_settings
from thermal.solver.simulate import simulate

ROWS = tomllib.loads((Path(__file__).parent / "reference.toml").read_text("utf-8"))["row"]


def ours(row: dict[str, Any]) -> float:
    """The figure our code gives for a row."""
    return float(CHECKS[row["check"]](**row["inputs"]))


def deviation(row: dict[str, Any]) -> float:
    """How far ours is off, in the terms of the row's tolerance."""
    off = ours(row) - row["value"]
    return off / abs(row["value"]) if row["of"] == "rel" else off


def _ratios(water_c: float, air_c: float, rh: float, pressure_pa: float):
    """Humidity ratios of air saturated at the water, and of the room's."""
    p_water, p_air = moist_air.saturation_pressure(water_c), rh * moist_air.saturation_pressure(air_c)
    return moist_air.humidity_ratio(p_water, pressure_pa), moist_air.humidity_ratio(p_air, pressure_pa)


def _surface(water_c: float, air_c: float, rh: float, pressure_pa: float = 101325.0):
    w_water, w_air = _ratios(water_c, air_c, rh, pressure_pa)
    rho_water = moist_air.dry_air_density(water_c, w_water, pressure_pa)
    rho_room = moist_air.dry_air_density(air_c, w_air, pressure_pa)
    return evaporation.mass_transfer_coefficient(rho_water, rho_room, w_water, w_air, pressure_pa), w_water - w_air


def shah_evaporation(water_c: float, air_c: float, rh: float) -> float:
    g, difference = _surface(water_c, air_c, rh)
    return 3600.0 * g * difference


def shah_density_difference(water_c: float, air_c: float, rh: float) -> float:
    sea = SEA_LEVEL_PA
    w_water, w_air = _ratios(water_c, air_c, rh, sea)
    return moist_air.dry_air_density(air_c, w_air, sea) - moist_air.dry_air_density(water_c, w_water, sea)


def surface_evaporation(water_c, air_c, surround_c, rh, area_m2, pressure_pa) -> float:
    g, difference = _surface(water_c, air_c, rh, pressure_pa)
    return 3600.0 * area_m2 * g * difference


def surface_convection(water_c, air_c, surround_c, rh, area_m2, pressure_pa) -> float:
    g, _ = _surface(water_c, air_c, rh, pressure_pa)
    return area_m2 * evaporation.convective_coefficient(g) * (water_c - air_c)


def longwave(water_c, air_c, surround_c, rh, area_m2, pressure_pa) -> float:
    return area_m2 * radiation.radiative_coefficient(0.5 * (water_c + surround_c), 0.95) * (water_c - surround_c)


def vertical_film(height_m: float, film_c: float, dt_k: float) -> float:
    a, b = natural_convection.vertical_film_terms(height_m, film_c)
    return natural_convection.vertical_film_coefficient(a, b, dt_k)


def floor_u(perimeter_per_area: float, conductivity: float, wall_m: float) -> float:
    return ground.floor_transmittance(100.0, 100.0 * perimeter_per_area, 0.0, ground.Soil(conductivity, 3e6), wall_m)


def garage_floor_loss(length_m: float, width_m: float) -> float:
    area = length_m * width_m
    return area * ground.floor_transmittance(area, 2 * (length_m + width_m), 0.0, ground.Soil(1.5, 3e6), 0.15)


def leak_m3_h(area_cm2, dt_k, wind_m_s, stories, shelter) -> float:
    return 3600.0 * infiltration.leakage_flow(area_cm2, dt_k, wind_m_s, stories, shelter)


@cache
def demo_document() -> dict[str, Any]:
    from importlib.resources import files

    document = tomllib.loads((files("thermal") / "plan" / "examples" / "workshop.toml").read_text("utf-8"))
    return {**document, "measure": []}


def demo_plan(**settings: Any) -> Plan:
    return plan_of(with_settings(demo_document(), settings))


def framed_side(build: str, stud: str, share: str) -> float:
    """Total resistance, films included, of a plan's side with studs."""
    settings = {"room.side.door.build": build, "room.side.door.stud": stud, "room.side.door.stud_share": share}
    return 0.17 + demo_plan(**settings).room.sides[1].r_m2k_per_w


def slab_loss_w(film_r: float) -> float:
    """The ground-coupled slab of 12 m x 12 m, 20 K above outdoors and the ground far below."""
    u = ground.floor_transmittance(144.0, 48.0, film_r - 0.21, ground.Soil(1.9, 1490.0 * 1800.0), 0.24)
    return 144.0 * 20.0 * float(u)


def air_change_w_per_k(volume_m3: float, changes: float) -> float:
    plan = demo_plan(**{"room.height": f"{volume_m3 / 30:.6f} m", "room.air_changes": changes})
    return room_envelope(plan.room, 1.0, 99183.0).change_kg_s * CP_AIR


def flow_w_per_k(litres_per_h: float) -> float:
    plan = demo_plan(**{"pump.flow": f"{litres_per_h} L/h"})
    return build_network(plan, 101325.0, 10.0, 10.0).vessels.flow_w_per_k[0, 0]


def media_capacity(fill: str, flooded: bool) -> float:
    bed = demo_plan(**{"bed.fill": fill, "bed.flooding": "constant" if flooded else "flood and drain"}).beds[0]
    return (bed.capacity_j_per_k if flooded else bed.drained_j_per_k) / (2 * 1.2 * 0.8 * 0.22) / 1e6


def _single(ua: float, capacity: float, gain_w: float = 0.0) -> Network:
    one = np.ones((1, 1))
    return Network(("body",), capacity * one, (), np.zeros((0, 1)), ua * one, 0 * one, np.full((24, 1, 1), gain_w),
                   np.zeros((2, 1, 1)))  # fmt: skip


def _steady(outdoor_c: float, days: int) -> Forcing:
    outdoor = np.full((24 * days, 1), outdoor_c)
    zero = np.zeros_like(outdoor)
    return Forcing(outdoor, zero, zero, zero, zero, 101325.0, 0, np.array([24 * days]), np.zeros((0, 1), dtype=int))


def lumped_c(ua_w_per_k, capacity_j_per_k, start_c, outdoor_c, hours) -> float:
    """A body cooling, simulated by the engine in one-minute steps."""
    off = Control(np.zeros((24, 1)), np.zeros(1), np.zeros(1))
    run = simulate(_single(ua_w_per_k, capacity_j_per_k), _steady(outdoor_c, -(-hours // 24)), off, 0.0, substeps=60,
                hourly_output=True, start_c=np.full((1, 1), start_c))  # fmt: skip
    hourly = run.hourly_output.mean_c[:, 0, 0]  # the mean over an hour is the value at its middle
    return 0.5 * (hourly[hours - 1] + (hourly[hours] if hours < len(hourly) else 2 * hourly[-1] - hourly[-2]))


def degree_day_mwh(ua_w_per_k, dt_k, days) -> float:
    """Heat to hold a body without capacity above a steady cold, simulated by the engine."""
    hold = Control(np.full((24, 1), 20.0), np.full(1, 1e9), np.zeros(1))
    run = simulate(_single(ua_w_per_k, 0.0), _steady(20.0 - dt_k, days), hold, 0.0, start_c=np.full((1, 1), 20.0))
    return run.heater_j[0, 0] / 3.6e9


def species(name: str, field: str) -> float:
    one = data.species()[name]
    return {"good_low": one.good_c[0], "good_high": one.good_c[1]}.get(field) or getattr(one, field)


def design_temperature(series: str, hours: int) -> float:
    """Temperature undercut for some hours a winter on average: 35 h is 99.6 %, 88 h is 99 % (ASHRAE's own reading)."""
    air_c = load_climate(series).hours["air_c"]
    winters = {"springfield-il": 3, "newark-nj": 1}[series]  # the latter's two halves make one
    return float(np.sort(air_c.to_numpy())[hours * winters - 1])


def _swing(conductivity: float, capacity: float) -> float:
    return ground.outdoor_swing_conductance(24.0, 0.0, ground.Soil(conductivity, capacity), wall_m=0.15)


CHECKS = {
    "shah_evaporation": shah_evaporation,
    "shah_density_difference": shah_density_difference,
    "surface_evaporation": surface_evaporation,
    "surface_convection": surface_convection,
    "longwave": longwave,
    "vertical_nusselt": natural_convection.vertical_plate_nusselt,
    "vertical_film": vertical_film,
    "radiative": radiation.radiative_coefficient,
    "combined_resistance": lambda fixed, bridged, shares: wall_resistance.combined_resistance(fixed, bridged, shares),
    "parallel_path": wall_resistance.parallel_path_resistance,
    "parallel_u": lambda resistances, shares: 1.0 / wall_resistance.parallel_path_resistance(resistances, shares),
    "floor_u": floor_u,
    "framed_side": framed_side,
    "garage_floor_loss": garage_floor_loss,
    "edge_psi": lambda edge_r, depth_m: ground.edge_correction(
        0.0, ground.EdgeInsulation(edge_r, depth_m), ground.Soil(1.5, 3e6), 0.15
    ),
    "penetration": lambda conductivity, capacity: ground.penetration_depth(ground.Soil(conductivity, capacity)),
    "swing_w_per_k": _swing,
    "swing_lag": lambda conductivity, capacity: ground.swing_lag_months(0.0, ground.Soil(conductivity, capacity), 0.15),
    "leak_m3_h": leak_m3_h,
    "air_heat_w": lambda flow_m3_h, temperature_c: (
        flow_m3_h / 3600 * CP_AIR * moist_air.dry_air_density(temperature_c, 0.0, SEA_LEVEL_PA)
    ),
    "air_change_w_per_k": air_change_w_per_k,
    "slab_loss_w": slab_loss_w,
    "flow_w_per_k": flow_w_per_k,
    "media_capacity": media_capacity,
    "saturation_pa": lambda t_c: moist_air.saturation_pressure(t_c),
    "latent_kj": lambda t_c: moist_air.latent_heat(t_c) / 1000,
    "humidity_ratio": lambda t_c, rh: moist_air.humidity_ratio(rh * moist_air.saturation_pressure(t_c)),
    "air_k": lambda t_c: moist_air.air_conductivity(t_c),
    "air_nu": lambda t_c: moist_air.air_kinematic_viscosity(t_c),
    "lumped_c": lumped_c,
    "degree_day_mwh": degree_day_mwh,
    "species": species,
    "design_temperature": design_temperature,
}
