"""Rules of the analysis on figures made by hand: what a random mutant once changed unnoticed."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from thermal import data
from thermal.analysis import measure_packages
from thermal.analysis.advice import watts_per_volume
from thermal.analysis.calibration import nuisance_of, nuisance_prior_sd
from thermal.analysis.log_simulation import log_problem, simulate_log
from thermal.analysis.power_outage import VARIANTS, _variant
from thermal.analysis.required_insulation import _with_lid_r
from thermal.climate.assumed_weather import assumed_humidity_text, assumed_wind_text
from thermal.climate.logger_csv import Log
from thermal.core.display_units import IMPERIAL_GALLON_M3, UNIT_SYSTEMS, US_GALLON_M3
from thermal.core.quantities import registry
from thermal.core.schedule import WEEKDAYS
from thermal.plan.reader import variant


def package(cost: float, runs: float, needed_w: float | None = 900.0):
    return SimpleNamespace(cost=cost, result=SimpleNamespace(cost=runs, needed_w=needed_w))


def test_only_packages_that_cost_less_to_run_than_every_cheaper_one_stay():
    """By hand: half a cent less a winter is no less, a whole one is; none without a heater that is enough."""
    front = measure_packages.pareto_front
    dear_first = (package(30.0, 80.0), package(0.0, 100.0), package(20.0, 95.0), package(40.0, 85.0))
    assert front(dear_first) == (1, 2, 0)
    assert front((package(0.0, 100.0), package(10.0, 99.996), package(20.0, 99.99))) == (0, 2)
    assert front((package(10.0, 90.0), package(10.0, 80.0))) == (1,)
    assert front((package(0.0, 100.0), package(5.0, 10.0, None), package(9.0, 70.0))) == (0, 2)


@pytest.mark.parametrize(("gallons", "watts"), [(20, 100), (54, 270), (60, 180), (200, 600)])
def test_watts_by_the_gallon_are_five_in_a_small_tank_and_three_in_a_large_one(gallons, watts):
    """Growers' rule: 5 W a US gallon, 3 W above 55 gallons (common practice, no source)."""
    inputs = SimpleNamespace(
        heater=SimpleNamespace(needed_w=2000.0),
        lift_k=20.0,
        units=UNIT_SYSTEMS["us"],
        case=SimpleNamespace(plan=SimpleNamespace(water_m3=gallons * US_GALLON_M3)),
    )
    assert f" gives {watts} W." in watts_per_volume(inputs)
    inputs.lift_k = 8.0  # the rule's own 15 degF are 8.3 K
    assert watts_per_volume(inputs) is None


def test_a_gallon_is_that_of_the_units_table():
    units = registry(True)
    assert units("gallon").to("m^3").magnitude == pytest.approx(US_GALLON_M3, rel=1e-12)
    assert units("imperial_gallon").to("m^3").magnitude == pytest.approx(IMPERIAL_GALLON_M3, rel=1e-12)
    litre_a_day = units("1 L/m^2").to("gallon/ft^2").magnitude
    assert UNIT_SYSTEMS["us"].table["transpiration"][1] == pytest.approx(litre_a_day, rel=1e-12)


def test_weekdays_are_numbered_as_in_pandas():
    days = [pd.Timestamp(f"2024-01-0{day}") for day in range(1, 8)]
    assert [day.strftime("%a").lower() for day in days] == list(WEEKDAYS)
    assert [day.day_of_week for day in days] == list(range(7))


def test_the_assumed_weather_is_said_as_it_is():
    """3 m/s are 6.7 mph."""
    assert (assumed_humidity_text(), assumed_wind_text("metric"), assumed_wind_text("us")) == ("75 %", "3 m/s", "7 mph")


def test_an_outage_is_covered_with_the_lid_of_the_table(case_with):
    row = data.tops()["snug foam lid"]
    case = case_with({"tank.top": "open"})
    bare, lid, wrapped, both = (_variant(case, name).vessels for name in VARIANTS[:4])
    tank = len(case.plan.beds)
    for covered in (lid, both):
        assert covered.evaporation[tank, 0] == row.evaporation[1]
        assert covered.lid_r[tank, 0] == row.r_m2k_per_w[1]
    for open_water in (bare, wrapped):
        assert (open_water.evaporation[tank, 0], open_water.lid_r[tank, 0]) == (1.0, 0.0)
    assert wrapped.wall_r[tank, 0] - bare.wall_r[tank, 0] == pytest.approx(0.5)
    layered = variant(case.plan, {"tank.top": "XPS 30 mm"}).tanks[0]  # a cover given by its layers is a snug lid
    assert layered.evaporation == row.evaporation[1]
    assert _with_lid_r(case.plan.tanks[0], 2.0).evaporation == row.evaporation[1]


def test_a_log_begins_with_the_soil_that_the_fit_says(case_with):
    """Soil 6 K warmer at the beginning of a log warms the room, and a slab 6 K warmer warms it at once."""
    case = case_with({"climate.winters": [2016]})
    hours = case.weather.winters[0].times()[: 8 * 24]
    quiet = np.full(len(hours), 5.0)
    problem = log_problem(case, Log(hours, quiet - 4.0, quiet, quiet + 5.0, np.zeros(len(hours))))
    nuisance = nuisance_of(np.zeros((3, len(nuisance_prior_sd(problem)))))
    nuisance.ground_k[0, 1] += 6.0
    nuisance.slab_k[0, 2] += 6.0
    _, room, runs, nodes = simulate_log(problem, [case.plan] * 3, nuisance)
    start = runs[0].hourly_output.start_c
    soil, slab = nodes.index("soil"), nodes.index("slab")
    assert start[soil] - start[soil, 0] == pytest.approx([0.0, 6.0, 0.0])
    assert start[slab] - start[slab, 0] == pytest.approx([0.0, 0.0, 6.0])
    assert room[-1, 1] > room[-1, 0] + 0.05
    assert room[5, 2] > room[5, 0] + 0.2
