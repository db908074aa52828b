"""Rooms of layered walls against closed forms: a cube whose six sides are alike has one inner surface temperature."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from thermal.analysis.layered_room_year import RoomYear, simulate_layered_rooms
from thermal.climate.typical_year import typical_year
from thermal.network.layered_room import Layer, LayeredRoom, LayeredSide, layered_network
from thermal.network.sun_gains import TO_FLOOR, TO_SURFACES
from thermal.physics.constants import CP_AIR
from thermal.physics.glazing import SLANTING_SUN
from thermal.physics.moist_air import dry_air_density
from thermal.physics.radiation import radiative_coefficient
from thermal.physics.sky_temperature import infrared_from_sky

DAYS, OUTDOOR_C = 6, -5.0
WALL = Layer(0.01, 0.2, 500.0, 1000.0), Layer(0.05, 0.04, 12.0, 840.0), Layer(1.0, 5.0), Layer(0.01, 0.2, 900.0, 1000.0)
WALL_R = 0.05 + 1.25 + 0.2 + 0.05
AREA_M2, FILM_IN, FILM_OUT, EMISSIVITY = 6.0, 2.0, 12.0, 0.9
WAYS = ("north", "east", "south", "west", "roof", "below")
U = 1.0 / (1.0 / FILM_IN + WALL_R + 1.0 / (FILM_OUT + float(radiative_coefficient(10.0, EMISSIVITY))))


def cube(**changes) -> LayeredRoom:
    films = {"outside_convection": FILM_OUT, "inside_convection": FILM_IN, "outside_emissivity": EMISSIVITY}
    sides = tuple(LayeredSide(way, way, AREA_M2, WALL, **films) for way in WAYS)
    return replace(LayeredRoom(sides, volume_m3=15.0, heat_below_c=20.0, cool_above_c=27.0), **changes)


def last_hour(room: LayeredRoom, outdoor_c: float = OUTDOOR_C, sky_loss_w_m2: float = 0.0) -> tuple[float, float]:
    """Heater and air of a steady state without sun."""
    infrared = float(infrared_from_sky(outdoor_c, 1.0)) - sky_loss_w_m2
    hours = {"air_c": outdoor_c, "infrared_w_m2": infrared, "ghi_w_m2": 0.0, "dni_w_m2": 0.0, "dhi_w_m2": 0.0}
    weather = typical_year(pd.DataFrame(hours, index=range(24 * DAYS)), 40.0, -105.0, spin_up_days=DAYS)
    [year] = simulate_layered_rooms([room], weather)
    return year.heater_w[-1], year.air_c[-1]


def test_heating_is_the_conductance_of_layers_and_films():
    heater_w, air_c = last_hour(cube())
    assert heater_w == pytest.approx(6 * AREA_M2 * U * 25.0, rel=1e-6)
    assert air_c == pytest.approx(20.0)


def test_the_air_change_costs_what_its_air_holds():
    change = 2.0 * 15.0 / 3600.0 * float(dry_air_density(20.0, 0.0, 83000.0)) * CP_AIR * 25.0
    heater_w, _ = last_hour(cube(air_changes_per_h=2.0, pressure_pa=83000.0))
    assert heater_w == pytest.approx(6 * AREA_M2 * U * 25.0 + change, rel=1e-6)


def test_gains_save_what_reaches_the_air():
    """Of heat on the inner surfaces the share that goes outwards is lost: the two resistances divide it."""
    lost_share = U / FILM_IN
    heater_w, _ = last_hour(cube(gain_w=100.0, radiant_share=0.6))
    assert heater_w == pytest.approx(6 * AREA_M2 * U * 25.0 - 40.0 - 60.0 * (1.0 - lost_share), rel=1e-6)


@pytest.mark.parametrize(
    ("outdoor_c", "air_c", "heater_w"),
    [(15.0, 20.0, 5.0), (23.0, 23.0, 0.0), (35.0, 27.0, -8.0), (19.99, 20.0, 0.01)],
)
def test_heater_and_cooler_keep_the_air_between_their_setpoints(outdoor_c, air_c, heater_w):
    watts, air = last_hour(cube(), outdoor_c)
    assert air == pytest.approx(air_c, abs=1e-3)
    assert watts == pytest.approx(6 * AREA_M2 * U * heater_w, rel=1e-4, abs=1e-3)


def test_without_setpoints_the_air_floats():
    watts, air = last_hour(cube(heat_below_c=None, cool_above_c=None))
    assert (watts, air) == (0.0, pytest.approx(OUTDOOR_C, abs=1e-3))


def test_the_sky_takes_what_the_sol_air_temperature_says():
    """Seen in full by the roof, in half by the walls, not at all from below; the films differ by a hair."""
    excess_k = 50.0 * EMISSIVITY / (FILM_OUT + float(radiative_coefficient(10.0, EMISSIVITY)))
    more = last_hour(cube(), sky_loss_w_m2=50.0)[0] - last_hour(cube())[0]
    assert more == pytest.approx(3.0 * AREA_M2 * U * excess_k, rel=1e-6)


def test_sun_warms_the_sides_that_it_meets_and_the_window_lets_it_in():
    south, window = (side for side in cube().sides if side.faces in ("south", "west"))
    sides = [side for side in cube().sides if side.faces != "west"]
    room = cube(sides=(*sides, replace(window, g_value=0.5, absorptance=0.0)))
    network = layered_network([room])
    gain = dict(zip(network.gains, network.gain_w[:, 0], strict=True))
    outer = network.nodes.index("south 0")
    assert gain[outer, 4] == pytest.approx(south.absorptance * AREA_M2)
    entered = {network.nodes[node]: heat for (node, column), heat in gain.items() if column == 6 and heat}
    assert sum(entered.values()) == pytest.approx((TO_FLOOR + TO_SURFACES) * SLANTING_SUN * 0.5 * AREA_M2)
    assert entered["below 4"] == pytest.approx(TO_FLOOR * SLANTING_SUN * 0.5 * AREA_M2)
    assert not any(name.startswith("west") for name in entered)


def test_rooms_of_several_topologies_come_back_in_order():
    thick = tuple(replace(side, layers=(*WALL, Layer(0.3, 1.0, 2000.0, 1000.0))) for side in cube().sides)
    rooms = [cube(), cube(sides=thick), cube(heat_below_c=10.0)]
    hours = {"air_c": OUTDOOR_C, "infrared_w_m2": 293.2, "ghi_w_m2": 0.0, "dni_w_m2": 0.0, "dhi_w_m2": 0.0}
    weather = typical_year(pd.DataFrame(hours, index=range(24 * DAYS)), 40.0, -105.0, spin_up_days=DAYS)
    years = simulate_layered_rooms(rooms, weather)
    assert [round(year.air_c[-1]) for year in years] == [20, 20, 10]
    assert years[1].heater_w[-1] < years[0].heater_w[-1]


def test_a_year_counts_heat_and_cold_apart():
    year = RoomYear(np.zeros(4), np.array([1e6, -2e6, 3e6, 0.0]))
    assert (year.heating_mwh, year.cooling_mwh) == (4.0, 2.0)
    assert (year.peak_heating_kw, year.peak_cooling_kw) == (3000.0, 2000.0)
