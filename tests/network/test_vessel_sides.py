"""Sides of tanks and beds that face the house or outdoors, against U A (T_water - T_beyond) by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from thermal.analysis.case import hours_of
from thermal.analysis.heat_balance import room_paths, water_paths
from thermal.analysis.heat_groups import HOUSE, SIDES, room_group, water_group
from thermal.analysis.heat_loss_table import water_parts
from thermal.analysis.key_effects import standing_on_the_floor, with_sides_in_the_room
from thermal.network.vessel_sides import buried_wall_conductance, faced_conductance
from thermal.plan.calibration_factors import apply_factors
from thermal.plan.model import Factors

TANK = {"length": "1.5 m", "width": "0.7 m", "water_depth": "0.6 m", "walls": "RSI-0.5", "insulation": "RSI-2"}
QUICK = {"climate.winters": [2016], "climate.coldest_night": "none", "room.house_temperature": "20 degC"}
GIVEN = {**QUICK, "room.temperature": "5 degC", "keep.thermostat": "12 degC"}


def heated(case, watts=3000.0):
    run = case.simulate(case.heaters(np.array([watts])), hourly_output=True)
    assert run.closure.max() < 1e-6
    return run, hours_of(case, run, 0, 0)


def watts_of(case):
    return heated(case)[0].hourly_output.heater_w[2000:2400, 0].mean()


def test_a_front_to_the_house_brings_u_a_dt(case_with):
    """Front of 1.5 x 0.6 m, R 0.5 + 2 + 0.13 (ISO 6946 table 7): U A = 0.342 W/K, times 12 less 20 degC -2.74 W.

    A house as warm as the water takes nothing, so the heater saves just that.
    """
    cases = [
        case_with({**GIVEN, "tank": [{**TANK, "front": "house"}], "room.house_temperature": f"{house} degC"}, ("bed",))
        for house in (20, 12)
    ]
    by_hand_w = 0.9 / (0.5 + 2.0 + 0.13) * (12.0 - 20.0)
    assert by_hand_w == pytest.approx(-2.74, abs=0.005)
    assert watts_of(cases[0]) - watts_of(cases[1]) == pytest.approx(by_hand_w, rel=1e-3)
    path = water_paths(cases[0].plan, cases[0].network, heated(cases[0])[1])["tank side to the house"]
    assert path.mean() == pytest.approx(by_hand_w, rel=0.01)
    part = {part.name.split(": ")[-1]: part for part in water_parts(cases[0].plan)}["front"]
    assert (part.to, part.area_m2, part.w_per_k) == ("house", pytest.approx(0.9), pytest.approx(0.9 / 2.63))


def test_a_side_to_outdoors_loses_u_a_dt(case_with):
    """Right side of 0.7 x 0.6 m, R 2.5 + 0.04 outside: 0.165 W/K to the outdoor air of each hour."""
    case = case_with({**GIVEN, "tank": [{**TANK, "right": "outdoors"}]}, ("bed",))
    _, hours = heated(case)
    path = water_paths(case.plan, case.network, hours)["tank side to outdoors"]
    assert path == pytest.approx(0.42 / 2.54 * (12.0 - hours.outdoor_c), rel=0.02, abs=0.1)


def test_what_faces_the_house_no_longer_faces_the_room(case_with):
    """Areas by hand; a factor on the walls' heat loss is one on all of them."""
    bed = {"length": "1 m", "width": "0.5 m", "water_depth": "0.2 m", "count": 3, "left": "outdoors"}
    plan = case_with({**QUICK, "tank": [{**TANK, "front": "house", "back": "house"}], "bed": [bed]}).plan
    assert plan.tanks[0].wall_m2 == pytest.approx(2.0 * 0.7 * 0.6)
    assert sum(wall.area_m2 for wall in plan.tanks[0].elsewhere) == pytest.approx(2.0 * 1.5 * 0.6)
    assert plan.beds[0].wall_m2 == pytest.approx(3.0 * (3.0 - 0.5) * 0.2)
    calibrated = apply_factors(plan, Factors(water=1.3)).tanks[0]
    assert calibrated.wall_m2 == pytest.approx(1.3 * 2.0 * 0.7 * 0.6)
    assert [wall.area_m2 for wall in calibrated.elsewhere] == pytest.approx([1.3 * 0.9] * 2)


def test_the_books_of_room_and_water_close_with_sides_past_the_room(case_with):
    """Both raise where they do not; a house that cools at night and a bed against the outer wall among them."""
    bed = {"length": "1.2 m", "width": "0.8 m", "water_depth": "0.22 m", "back": "outdoors", "right": "house"}
    case = case_with(
        {
            **QUICK,
            "tank": [{**TANK, "front": "house", "top": "floating foam", "top_share": 0.8}],
            "bed": [bed],
            "room.house_night_temperature": "14 degC",
        }
    )
    _, hours = heated(case)
    ground = (case.weather.harmonic.mean_c, case.weather.harmonic.amplitude_k)
    water = water_paths(case.plan, case.network, hours)
    room = room_paths(case.plan, case.envelope, case.network, hours, ground)
    for path, in_room in (("tank side to the house", HOUSE), ("bed side to outdoors", SIDES)):
        assert water[path] == pytest.approx(room[path])
        assert water_group(path) == SIDES
        assert room_group(path, case.plan) == in_room
    night = np.isin(hours.hour_of_day, (23, 0, 5))
    assert water["tank side to the house"][night].mean() > water["tank side to the house"][~night].mean()


def test_sides_in_the_room_have_no_effect_to_tell(case_with):
    assert with_sides_in_the_room(case_with({**GIVEN, "tank": [{**TANK, "front": "room"}]}, ("bed",)).plan) is None


SUNK = {**TANK, "buried_depth": "0.4 m", "stands_on": "RSI-1 on slab"}


def test_a_sunk_tank_loses_its_buried_part_to_the_floor_around_it(case_with):
    """1.5 x 0.7 m, 0.4 of 0.6 m deep, in clay of 1.5 W/mK. B = 1.05/2.2 = 0.477 m.

    Walls: path 0.28 x 0.4 x (0.477/0.4)^0.26 = 0.117 m, U = 1.5/(1.5 x 2.54 + 0.117) = 0.382, on 4.4 x 0.4 m.
    Bottom: U = 1.5/(1.5 x 1.54 + 0.457 x 0.477) = 0.593, on 1.05 m2.
    """
    case = case_with({**QUICK, "tank": [SUNK], "room.floor.soil": "clay or silt"}, ("bed",))
    walls, bottom = 4.4 * 0.4 * 0.382, 1.05 * 0.593
    parts = {part.name.split(": ")[-1]: part for part in water_parts(case.plan)}
    assert (parts["walls below the floor"].w_per_k, parts["walls below the floor"].to) == (
        pytest.approx(walls, rel=2e-3),
        "ground",
    )
    assert parts["bottom"].w_per_k == pytest.approx(bottom, rel=2e-3)
    assert parts["walls"].area_m2 == pytest.approx(4.4 * 0.2)
    network = case.network
    slab, tank = (network.nodes.index(name) for name in ("slab", "tank"))
    assert network.link_w_per_k[network.links.index((slab, tank)), 0] == pytest.approx(walls + bottom, rel=2e-3)
    _, hours = heated(case)
    ground = (case.weather.harmonic.mean_c, case.weather.harmonic.amplitude_k)
    paths = water_paths(case.plan, network, hours)
    assert paths["tank walls below the floor"].sum() > 0.0
    room_paths(case.plan, case.envelope, network, hours, ground)
    assert standing_on_the_floor(case_with({**QUICK, "tank": [TANK]}, ("bed",)).plan) is None


def test_in_air_of_a_given_temperature_the_floor_has_it_too(case_with):
    """What goes below the floor, by hand: U A x (12 - 5) K."""
    sunk = case_with({**GIVEN, "tank": [{**SUNK, "buried_depth": "0.6 m"}]}, ("bed",))
    path = water_paths(sunk.plan, sunk.network, heated(sunk)[1])
    below = path["tank walls below the floor"] + path["tank bottom"]
    by_hand = 4.4 * 0.6 * 1.5 / (1.5 * 2.54 + 0.28 * 0.6 * (0.4773 / 0.6) ** 0.26) + 1.05 * 0.593
    assert below.mean() == pytest.approx(7.0 * by_hand, rel=0.01)
    assert sunk.plan.tanks[0].wall_m2 == 0.0


def test_a_blanket_in_a_power_cut_reaches_no_wall_in_the_house_or_the_ground(case_with):
    """It adds to the walls in the air alone."""
    plan = case_with({**QUICK, "tank": [{**SUNK, "front": "house"}]}, ("bed",)).plan
    wrapped = replace(plan.tanks[0], wall_r_m2k_per_w=plan.tanks[0].wall_r_m2k_per_w + 1.0)
    assert faced_conductance([wrapped], "house") == faced_conductance(plan.tanks, "house") > 0.0
    assert buried_wall_conductance(wrapped, plan.room.floor) == buried_wall_conductance(plan.tanks[0], plan.room.floor)
