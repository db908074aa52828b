"""Rules of the analysis on figures made by hand: what a random mutant once changed unnoticed."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from thermal import data
from thermal.analysis import advice, measure_packages, odd_values
from thermal.analysis.advice import AdviceInput, bigger_heater, open_top, watts_per_volume
from thermal.analysis.assessment import _cold
from thermal.analysis.calibration import nuisance_of, nuisance_prior_sd
from thermal.analysis.case import hours_of
from thermal.analysis.circuit_layout import first_circuit
from thermal.analysis.collector_weather import _water
from thermal.analysis.cooldown_test import cooldown_test
from thermal.analysis.heater_units import watts_to_buy
from thermal.analysis.log_simulation import _from_climate, log_problem, loss_per_degree, simulate_log
from thermal.analysis.minimum_temperature_sweep import floor_plans, swept_floors
from thermal.analysis.power_outage import VARIANTS, _variant
from thermal.analysis.required_insulation import _with_lid_r
from thermal.analysis.results import HeaterChoice
from thermal.analysis.steady_pump import needed_with_steady_pump
from thermal.analysis.uncertainty import _without_use
from thermal.analysis.winter_totals import heater_months
from thermal.climate.assumed_weather import assumed_humidity_text, assumed_wind_text
from thermal.climate.forcing import SunAndSky
from thermal.climate.logger_csv import Log
from thermal.core.display_units import IMPERIAL_GALLON_M3, UNIT_SYSTEMS, US_GALLON_M3
from thermal.core.quantities import registry
from thermal.core.schedule import WEEKDAYS
from thermal.errors import OverwinterError
from thermal.network.build import plan_envelope
from thermal.network.model import Control
from thermal.physics.constants import SEA_LEVEL_PA
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


def test_heaters_to_buy_have_the_reserve_of_the_plan_and_what_nine_of_ten_samples_need():
    """By hand: 1,000 W needed; 1,200 W in the samples; a reserve of 50 % is more, one of 10 % less. Else 1.35 times."""
    plan = SimpleNamespace(heater=SimpleNamespace(reserve=0.5))
    assert watts_to_buy(plan, 1000.0, 1200.0) == 1500.0
    plan.heater.reserve = 0.1
    assert watts_to_buy(plan, 1000.0, 1200.0) == 1200.0
    plan.heater.reserve = None
    assert watts_to_buy(plan, 1000.0, 900.0) == 1000.0
    assert watts_to_buy(plan, 1000.0) == pytest.approx(1350.0)


def test_minimum_temperatures_swept_are_whole_degrees_the_plans_own_and_one_more(case_with):
    plan = case_with({"keep.floor": "10.5 degC"}).plan
    floors = swept_floors(plan)
    assert floors == (*(float(celsius) for celsius in range(2, 11)), 10.5, *map(float, range(11, 12)), 11.5,
                      *map(float, range(12, 31)))  # fmt: skip
    above = plan.keep.thermostat_c - 10.5
    assert [item.keep.thermostat_c - item.keep.floor_c for item in floor_plans(plan)] == pytest.approx([above] * 31)


@pytest.mark.parametrize(
    "told",
    [
        {"cooled": "9 degC, 12 degC, 2 degC, 10 h"},
        {"cooled": "12 degC, 9 degC, 10 degC, 10 h"},
        {"cooled": "12 degC, 9 degC, 2 degC, 0 h"},
        {"steady": "600 W, 4 degC, 12 degC"},
        {"steady": "0 W, 12 degC, 4 degC"},
    ],
)
def test_a_cool_down_that_cannot_be_is_refused(case_with, told):
    with pytest.raises(OverwinterError, match=f"--{next(iter(told))} .*needs"):
        cooldown_test(case_with().plan, told.get("steady"), told.get("cooled"))


def test_a_cool_down_is_newtons_law(case_with):
    """By hand: 12 to 7 degC beside air of 2 degC halves the difference: 10 h / ln 2 = 14.43 h."""
    plan = case_with().plan
    found = cooldown_test(plan, None, "12 degC, 7 degC, 2 degC, 10 h")
    assert found.time_constant_h == pytest.approx(10.0 / np.log(2.0))
    steady = cooldown_test(plan, "600 W, 12 degC, 4 degC", None)
    assert steady.measured_w_per_k == pytest.approx(75.0)


def test_sun_and_sky_are_uncertain_only_where_they_are_worked_out(case_with):
    plan = case_with().plan
    both = {"sun from cloud", "sky below the air"}
    unused = {name: _without_use(plan, SunAndSky(*name)) for name in (("cloud", "assumed"), ("measured", "infrared"))}
    assert unused["cloud", "assumed"] == set()
    assert len(unused["measured", "infrared"]) == 2
    given = variant(plan, {"room.temperature": "8 degC"})
    assert _without_use(given, SunAndSky("cloud", "assumed")) == both - {"sun from cloud"}
    off = variant(plan, {"climate.sky": False})
    assert _without_use(off, SunAndSky("cloud", "assumed")) == both - {"sun from cloud"}


def test_the_bill_of_an_hourly_load_is_its_energy_at_the_price(case_with):
    """By hand: 1,000 W without a break are as many kWh as hours, at one price."""
    case = case_with({"power": {"price": 0.25, "currency": "EUR"}, "climate.winters": [2016]})
    hours = len(case.weather.winters[0].times())
    kwh, cost = (months.sum() for months in heater_months(case, np.full(hours, 1000.0), 0))
    assert kwh == pytest.approx(hours)
    assert cost == pytest.approx(0.25 * hours)


def test_an_unheated_winter_counts_the_hours_of_its_room_and_water(case_with):
    """Against the hourly output itself."""
    case = case_with({"climate.winters": [2016]})
    run = case.simulate(case.heaters(np.array([0.0])), hourly_output=True)
    found, hours = _cold(case, run, 0), hours_of(case, run, 0, 0)
    air = case.network.nodes.index("air")
    assert 0 < found.hours_frozen_room == (hours.mean(air) < 0.0).sum() < len(hours.outdoor_c)
    given = case_with({"climate.winters": [2016], "room.temperature": "6 degC"})
    run = given.simulate(given.heaters(np.array([0.0])), hourly_output=True)
    assert _cold(given, run, 0).hours_frozen_room == 0.0


def test_the_loss_that_a_log_can_tell_is_that_of_the_sides_with_their_bridges(case_with):
    case = case_with({"climate.winters": [2016]})
    hours = case.weather.winters[0].times()[: 8 * 24]
    quiet = np.full(len(hours), 5.0)
    problem = log_problem(case, Log(hours, quiet - 4.0, quiet, quiet + 5.0, np.zeros(len(hours))))
    nuisance = nuisance_of(np.zeros((1, len(nuisance_prior_sd(problem)))))
    *_, runs, nodes = simulate_log(problem, [case.plan], nuisance)
    envelope = plan_envelope(case.plan, SEA_LEVEL_PA)
    outer = sum(side.ua_w_per_k for side in envelope.sides if side.faces in ("outdoors", "attic"))
    assert sum(side.bridges_w_per_k for side in envelope.sides) > 0.0
    assert loss_per_degree(problem, case.plan, runs, nodes)["room"] == pytest.approx(outer)


def test_a_pump_that_stops_is_compared_with_one_that_does_not(case_with):
    """Nothing to compare without beds, without flow, or where the pump never stops."""
    for settings in ({"pump.hours": "always"}, {"pump.hours": "06:00-22:00", "pump.flow": "0 L/h"}):
        assert needed_with_steady_pump(case_with({"climate.winters": [2016], **settings})) is None
    assert (
        needed_with_steady_pump(case_with({"climate.winters": [2016], "pump.hours": "06:00-22:00"}, ("bed",))) is None
    )


def test_heaters_exceed_the_need_from_four_tenths_more_on():
    def said(installed_w: float):
        heater = SimpleNamespace(installed_w=(installed_w / 2.0, installed_w / 2.0), needed_w=1000.0)
        return bigger_heater(SimpleNamespace(heater=heater, units=UNIT_SYSTEMS["metric"]))

    assert said(1390.0) is None
    assert "Heaters of 1,400 W are more" in said(1400.0)
    assert bigger_heater(SimpleNamespace(heater=SimpleNamespace(installed_w=(9.0,), needed_w=0.0))) is None


def test_the_first_circuit_fits_where_its_load_and_every_heater_do(case_with):
    plan = case_with({"power.circuit": "16 A 230 V", "heater.units": ["1 kW"]}).plan
    for load_w, fits in ((2944.0, True), (2950.0, False)):  # 80 % of 16 A x 230 V (NEC 210.20(A))
        first = SimpleNamespace(breaker="16 A 230 V", limit_w=2944.0, load_w=load_w)
        assert first_circuit(plan, SimpleNamespace(circuits=(first,))).fits is fits
    large = variant(plan, {"heater.units": ["9 kW"]})
    first = SimpleNamespace(breaker="16 A 230 V", limit_w=2944.0, load_w=100.0)
    assert not first_circuit(large, SimpleNamespace(circuits=(first,))).fits


def test_the_air_round_the_water_is_that_given_or_the_coldest_simulated(case_with):
    given = case_with({"room.temperature": "4 degC", "climate.winters": [2016]})
    assert AdviceInput(given, None, None, None).lift_k == pytest.approx(10.0 - 4.0)
    case = case_with({"climate.winters": [2016]})
    run = case.simulate(case.heaters(np.array([0.0])), hourly_output=True)
    coldest = hours_of(case, run, 0, 0).mean(case.network.nodes.index("air")).min()
    lift = AdviceInput(case, None, None, run).lift_k
    assert lift == pytest.approx(case.plan.keep.floor_c - float(coldest))


def test_a_thermostat_varies_where_its_hours_differ_or_its_power_is_given():
    steady = Control(np.full((24, 2), 11.0), np.zeros(2), np.zeros(2))
    night = replace(steady, setpoint_c=np.array([[11.0, 11.0]] * 12 + [[11.0, 9.0]] * 12))
    assert (steady.varies, night.varies, replace(steady, given_w=np.zeros((5, 1))).varies) == (False, True, True)


@pytest.mark.parametrize(("insulation", "said"), [("RSI-0.45", False), ("RSI-0.55", True)])
def test_a_lid_is_advised_on_a_tank_with_insulated_walls(case_with, insulation, said):
    """Walls count as insulated from 0.5 m2K/W on (our judgement): that of 18 mm of XPS."""
    case = case_with({"tank.top": "open", "tank.walls": "EPDM liner 1 mm", "tank.insulation": insulation})
    assert (open_top(SimpleNamespace(case=case)) is not None) is said
    lidded = case_with({"tank.top": "snug foam lid", "tank.insulation": insulation})
    assert open_top(SimpleNamespace(case=lidded)) is None


def test_a_heater_gives_and_takes_nothing_of_itself(case_with):
    """A heater of no power gives no heat: its least power is zero where none is named."""
    control = case_with({"climate.winters": [2016]}).heaters(np.zeros(2))
    assert not np.any(control.min_w)
    assert not np.any(control.max_w)


def test_a_room_as_open_as_a_barn_is_asked_about_and_no_other():
    """A tight room changes its air less than once an hour, a barn tens of times (common practice, no source)."""

    def said(changes: float, envelope: object) -> str | None:
        plan = SimpleNamespace(room=SimpleNamespace(mean_air_changes_per_h=changes))
        return advice.odd_air_change(SimpleNamespace(case=SimpleNamespace(plan=plan, envelope=envelope)))

    assert "60 air changes" in (said(60.0, object()) or "")
    assert said(0.5, object()) is None
    assert said(60.0, None) is None


def test_water_added_is_a_leak_from_half_more_than_evaporates_on():
    """By hand: 20 L on the wettest day; 40 L take 40 x 0.9995 kg x 2.47e6 J/kg / 86,400 s = 1,143 W."""
    flow = np.zeros((48, 2, 3))
    flow[:24, :, 1], flow[24:, :, 1] = (0.5 * kg * 0.9995 / 86400.0 for kg in (20.0, 10.0))
    hours = SimpleNamespace(hourly_output=SimpleNamespace(evaporation_kg_s=flow), column=1)

    def said(litres: float) -> str | None:
        plan = SimpleNamespace(top_off_m3_s=litres / 1000.0 / 86400.0)
        return advice.level_loss(
            SimpleNamespace(
                case=SimpleNamespace(plan=plan), units=UNIT_SYSTEMS["metric"], winters=lambda design: [hours, hours]
            )
        )

    assert said(0.0) is None
    assert said(29.9) is None
    assert said(30.1)
    assert said(40.0) == (
        "You top up 40 L a day, but no more than about 20 L a day evaporates (all of it would take 1,150 W of heat)."
        " Look for a leak."
    )


def test_the_water_that_a_collector_heats_is_all_of_the_system(case_with):
    """Water keeps 1.165 kWh/m3K (4,192 J/kgK and 999.5 kg/m3, IAPWS-95 near 12 degC); vessels hold a little more."""
    case = case_with({"climate.winters": [2016]})
    water = _water(case, 500.0, 3 * 24)
    assert 1.0 < water.wh_per_k / (case.plan.water_m3 * 1165.0) < 1.2
    assert water.begin_c[1:] == pytest.approx(water.mean_c[1:], abs=0.3)


def test_the_reserve_is_what_is_installed_beyond_the_need():
    """By hand: 1,500 W installed for 1,000 W needed are half as much again; without a need there is none."""
    heater = SimpleNamespace(installed_w=(1000.0, 500.0), needed_w=1000.0)
    assert HeaterChoice.reserve.fget(heater) == pytest.approx(0.5)
    assert HeaterChoice.reserve.fget(SimpleNamespace(installed_w=(1000.0,), needed_w=0.0)) is None


def test_a_minimum_as_high_as_the_warmest_water_is_not_above_it():
    said = [
        bool(odd_values._temperatures(SimpleNamespace(keep=SimpleNamespace(floor_c=c, upper_c=20.0), units="metric")))
        for c in (19.9, 20.0, 20.1)
    ]
    assert said == [False, False, True]


def test_a_log_without_outdoor_air_has_that_of_its_own_hours(case_with):
    """The log's first hour is hour 100 of the winter: row 100 after the spin-up, and none outside the winter."""
    case = case_with({"climate.winters": [2016]})
    hours = case.weather.winters[0].times()
    own = case.weather.outdoor_c[case.weather.row_range(0), 0]
    assert np.array_equal(_from_climate(case, hours[100:300]), own[100:300])
    assert np.array_equal(_from_climate(case, hours), own)
    with pytest.raises(OverwinterError, match="does not cover its days"):
        _from_climate(case, hours - pd.Timedelta("1h"))
