"""The engine against closed forms: what algebra alone says a lumped balance must give."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.published.checks import demo_plan
from thermal.climate.forcing import Forcing
from thermal.network.build import build_network, plan_envelope
from thermal.network.model import Network, thermostat
from thermal.physics.constants import CP_WATER, RHO_WATER
from thermal.solver.simulate import simulate

PRESSURE = 101325.0


def steady(outdoor_c: float, ratio: float, days: int) -> Forcing:
    outdoor = np.full((24 * days, 1), outdoor_c)
    zero = np.zeros_like(outdoor)
    return Forcing(
        outdoor, zero + ratio, zero + 3.0, zero, zero, PRESSURE, 0, np.array([24 * days]), np.zeros((0, 1), int)
    )


def test_a_pump_warms_still_water_by_its_watts():
    """T = T_a + P/UA (1 - exp(-t UA/C)): a tank behind 0.5 m of foam, dry lid, nothing but the pump inside."""
    plan = demo_plan(**{
        "room.temperature": "10 degC", "pump.power": "60 W", "tank.insulation": "XPS 500 mm", "tank.top": "XPS 500 mm",
        "tank.stands_on": "XPS 500 mm on frame", "room.lights.power": "0 W",
    })  # fmt: skip
    plan = replace(plan, beds=())
    network = build_network(plan, PRESSURE, 10.0, 0.0)
    network = replace(
        network, vessels=replace(network.vessels, evaporation=np.zeros((1, 1)), night_evaporation=np.zeros((1, 1)))
    )
    run = simulate(
        network, steady(10.0, 0.005, 20), thermostat(-50.0, 0.0), 0.0, hourly_output=True, start_c=np.full((1, 1), 10.0)
    )
    area = math.pi * 0.6**2
    wall, foam, film = 0.006 / 0.5, 0.5 / 0.033, 0.13  # a film matters by 1 % behind half a metre of foam
    ua = math.pi * 1.2 * 0.8 / (wall + foam + film) + area / (foam + film) + area / (wall + foam + 0.17)
    capacity = area * 0.8 * RHO_WATER * CP_WATER
    expected = 10.0 + 60.0 / ua * (1.0 - math.exp(-20 * 86400 * ua / capacity))
    assert run.hourly_output.water_c[-1, 0, 0] == pytest.approx(expected, rel=0.01)
    assert expected > 30.0


def test_vapour_evaporated_is_vapour_carried_out():
    """Steady state: evaporation = air change x (w_room - w_outdoor), the room above every dew point."""
    plan = demo_plan(**{"room.air_changes": 6.0, "room.lights.power": "0 W", "room.side.door.build": "R-30",
                        "bed.transpiration": "none"})  # fmt: skip
    network = build_network(plan, PRESSURE, 8.0, 0.0)
    outdoor_ratio = 0.0035
    run = simulate(network, steady(8.0, outdoor_ratio, 60), thermostat(12.0, 1e9), 10.0, hourly_output=True)
    evaporated = run.hourly_output.evaporation_kg_s[-24:, :, 0].sum(axis=1).mean()
    carried = plan_envelope(plan, PRESSURE).change_kg_s * (run.hourly_output.ratio[-24:, 0].mean() - outdoor_ratio)
    assert run.hourly_output.condensing_w[-24:, 0].max() < 1e-6
    assert carried == pytest.approx(evaporated, rel=1e-3)


def test_beds_and_tank_mix_to_the_mean_of_their_heat():
    """Only the pump between them: T = (C1 T1 + C2 T2)/(C1 + C2). The published twin is 50 kg of iron at 80 degC in
    0.5 m3 of water at 25 degC: 25.6 degC (Cengel & Boles Ex. 4-12)."""
    iron, water = 50 * 450.0, 500 * 0.997 * 4180.0
    two = Network(("iron", "water"), np.array([[iron], [water]]), ((0, 1),), np.array([[200.0]]), np.zeros((2, 1)),
                  np.zeros((2, 1)), np.zeros((24, 2, 1)), np.zeros((2, 2, 1)))  # fmt: skip
    off = thermostat(-99.0, 0.0)
    run = simulate(two, steady(0.0, 0.0, 5), off, 0.0, hourly_output=True, start_c=np.array([[80.0], [25.0]]))
    assert run.hourly_output.mean_c[-1, :, 0] == pytest.approx([25.6, 25.6], abs=0.05)


def test_a_capped_heater_gives_its_cap_and_no_more():
    """One node, cap below the loss: T = T_out + P/UA in the end, and the heat is P x time."""
    one = np.ones((1, 1))
    body = Network(
        ("body",), 1e5 * one, (), np.zeros((0, 1)), 10.0 * one, 0 * one, np.zeros((24, 1, 1)), np.zeros((2, 1, 1))
    )
    run = simulate(
        body, steady(-5.0, 0.002, 10), thermostat(20.0, 150.0), 0.0, hourly_output=True, start_c=np.full((1, 1), -5.0)
    )
    assert run.hourly_output.mean_c[-1, 0, 0] == pytest.approx(10.0, abs=1e-6)
    assert run.heater_j[0, 0] == pytest.approx(150.0 * 10 * 86400)


def test_a_daily_wave_comes_through_a_mass_damped_and_late():
    """One node: amplitude 1/sqrt(1 + (w tau)^2), lag atan(w tau)/w; tau 24 h: 0.157 and 5.40 h (refs envelope.md 5)."""
    one, hours = np.ones((1, 1)), 24 * 40
    body = Network(
        ("body",), 24 * 3600 * one, (), np.zeros((0, 1)), one, 0 * one, np.zeros((24, 1, 1)), np.zeros((2, 1, 1))
    )
    middle = np.arange(hours) + 0.5
    outdoor = np.cos(2 * np.pi * middle / 24)[:, None]
    zero = np.zeros_like(outdoor)
    forcing = Forcing(outdoor, zero, zero, zero, zero, PRESSURE, 0, np.array([hours]), np.zeros((0, 1), int))
    run = simulate(body, forcing, thermostat(-99.0, 0.0), 0.0, substeps=30, hourly_output=True, start_c=0 * one)
    last = run.hourly_output.mean_c[-24:, 0, 0]
    wave = np.exp(-2j * np.pi * (np.arange(24) + 0.5) / 24) @ last / 12
    assert abs(wave) == pytest.approx(0.157, abs=0.002)
    assert -np.angle(wave) * 24 / (2 * np.pi) == pytest.approx(5.40, abs=0.05)


def test_danger_limits_of_such_a_system():
    """Common practice, no source: 10-35 degC are its danger limits; the upper one is our default."""
    assert demo_plan().keep.upper_c == 35.0
