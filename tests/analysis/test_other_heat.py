"""Other sources of heat: by hand in given air, against the same heat as a device, in words, as JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from tests.docs.markers import README
from thermal.analysis.case import case_in, network_of
from thermal.analysis.collector_weather import with_collector_heat, with_sun_on_collector
from thermal.analysis.comparison_results import Comparison, FloorStep, PackageComparison
from thermal.analysis.design_results import design_results
from thermal.analysis.measure_packages import package_of
from thermal.analysis.other_heat import other_heat_ways, tried_plan, unheated_range
from thermal.analysis.stove_size import hours_after
from thermal.climate.forcing import OTHER_HEAT
from thermal.climate.heating_seasons import excerpt, winters_of
from thermal.climate.sun_and_sky import outdoor_columns, sun_on_tilted_plane
from thermal.errors import PlanError
from thermal.plan.other_heat import COLLECTOR_SOURCE, house_air_source, stove_source
from thermal.plan.reader import plan_of, variant
from thermal.report.json_csv import compare_json
from thermal.report.other_heat_text import other_heat_sentences
from thermal.report.terminal import print_comparison
from thermal.solver.simulate import simulate

QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}
SUNNY = {"climate.series": "golden-co", "climate.coldest_night": "none", "room.lights.power": "0 W"}
HEAP = {"volume": "2 m3", "heat": "150 W/m3", "cost": 60}
FAN = {"flow": "60 m3/h", "hours": "18:00-22:00", "heat_price": 0.1, "cost": 90}
STOVE = {"hours": "16:00-23:00", "heat_price": 0.05}
DENSITY = 1.19 * 0.797  # kg/m3 of dry air at 20 degC, 1,876 m above the sea (ICAO standard atmosphere: 80.7 kPa)
ROOF = {"area": "3 m2", "tilt": 45, "facing": "south-east", "max_temperature": "13 degC", "cost": 900}
ALL = {"compost": HEAP, "house_air": FAN, "stove": STOVE, "collector": ROOF}


@pytest.fixture(scope="module")
def weeks(case_with):
    """A tank in the workshop with some settings, from December to January of a typical year with sun."""

    def case(settings):
        whole = case_with({**SUNNY, **settings}, drop=("bed",))
        hours, year = whole.climate.hours, whole.weather.winters[0].year
        inside = hours.index.slice_indexer(f"{year}-12-01", f"{year + 1}-01-25")
        climate = replace(whole.climate, hours=hours.iloc[inside])
        outdoors = outdoor_columns(climate) if whole.envelope else None
        return case_in(whole.plan, climate, winters_of(climate, (), outdoors))

    return case


@pytest.fixture(scope="module")
def every(weeks):
    """A case with every source, the plan as written, and each source by its name."""
    case = weeks({"other_heat": ALL})
    return case, design_results(case, [case.plan])[0], {way.name: way for way in other_heat_ways(case)}


def compared(case, base, ways):
    """A comparison of the plan with other sources of heat and nothing else, its winter taken for a complete one."""
    bare = PackageComparison((package_of((), 0.0, base, base),), (0,), None, None, None, ())
    floors = tuple(FloorStep(case.plan.keep.floor_c + kelvin, base, ()) for kelvin in (0.0, 1.0))
    return Comparison(bare, floors, tuple(ways), season=replace(case.season, complete=1))


def said_of(every, name):
    case, base, ways = every
    (sentence,) = other_heat_sentences(without_collector(case.plan), compared(case, base, [ways[name]]))
    return sentence


def without_collector(plan):
    return replace(plan, other_heat=replace(plan.other_heat, collector=None))


def test_a_heap_in_constant_cold_by_hand(weeks):
    """Air of 1 degC, water held at 11 degC: 80 W of the heap are 80 W less heater, and 80 W less at all hours."""
    case = weeks({"room.temperature": "1 degC", "other_heat.compost": {**HEAP, "heat": "40 W/m3"}})
    base, (way,) = design_results(case, [case.plan])[0], other_heat_ways(case)
    hours = case.weather.winters[0].hours
    assert base.needed_w - way.needed_w == pytest.approx(80.0, abs=2.0)
    assert base.kwh - way.kwh == pytest.approx(80.0 * hours / 1000.0, rel=0.01)
    assert way.heat.brought_kwh == pytest.approx(80.0 * hours / 1000.0)
    assert way.heat.share == pytest.approx(1.0 - way.kwh / base.kwh)
    assert way.price == 60
    assert way.payback_winters == pytest.approx(60 / way.saves)
    assert not way.heat.alone
    assert way.heat.coldest_alone_c < 10.0


def test_a_heap_is_a_device_of_the_same_heat_that_costs_nothing(every):
    case, base, ways = every
    same = design_results(case, [variant(case.plan, {"gain": [{"name": "coil", "power": "300 W", "where": "water"}]})])[
        0
    ]
    way = ways["compost heap"]
    assert way.needed_w == pytest.approx(same.needed_w, abs=1.5)
    assert way.kwh == pytest.approx(same.kwh, rel=1e-3)
    assert way.mould_h == pytest.approx(same.mould_h, abs=2.0)
    assert way.kwh < base.kwh


def test_a_heap_whose_heat_is_not_stated_has_a_range(weeks):
    """15, 50 and 90 W/m3: of a large heap in the room the likely heat replaces less than the high end."""
    case = weeks({"other_heat.compost": {"volume": "30 m3"}})
    (way,) = other_heat_ways(case)
    assert way.heat.watts == pytest.approx((450.0, 1500.0, 2700.0))
    assert 0.0 < way.heat.share_low < way.heat.share <= way.heat.share_high == 1.0
    assert way.heat.alone
    assert way.needed_w == 0.0
    assert way.price is None
    assert way.payback_winters is None
    (said,) = other_heat_sentences(case.plan, compared(case, design_results(case, [case.plan])[0], [way]))
    kwh = f"{round(1.5 * case.weather.winters[0].hours, -1):,.0f}"
    assert said.startswith(f"Compost heap: it gives 1,500 W (450 to 2,700 W) at all hours, {kwh} kWh a winter, and")
    assert "to 100 %) of the heating. Alone, without a heater, it keeps the water at or above 10.0 °C." in said
    assert "In mild weather the water then reaches" in said
    assert "Smith, Aber & Rynk 2017" in said


def test_house_air_in_the_network_by_hand(every):
    """60 m3/h of 20 degC, 0.95 kg/m3, 1,006 J/kgK: 16 W/K; for 4 of 24 hours a sixth of it or somewhat less."""
    case, added = every[0], []
    for hours in ((1.0,) * 24, case.plan.other_heat.house_air.hours):
        plan = tried_plan(case.plan, house_air_source(replace(case.plan.other_heat.house_air, hours=hours)))
        with_air, without = (network_of(each, case.weather) for each in (plan, case.plan))
        air = without.nodes.index("air")
        added.append(float((with_air.fixed_w_per_k - without.fixed_w_per_k)[air, 0]))
        brought = (with_air.source_w - without.source_w)[:, air, 0]
        assert brought == pytest.approx(np.full(24, 20.0 * added[-1]))
        litres_per_day = 86400.0 * (with_air.room_air.vapour_kg_s - without.room_air.vapour_kg_s).mean()
        assert litres_per_day == pytest.approx(60.0 * sum(hours) * 4e-3)  # 4 g in each cubic metre
        change = (with_air.room_air.change_kg_s - without.room_air.change_kg_s)[0]
        assert change == pytest.approx(60.0 / 3600.0 * DENSITY * sum(hours) / 24.0, rel=0.03)
    assert added[0] == pytest.approx(60.0 / 3600.0 * DENSITY * 1006.0, rel=0.03)
    assert 0.9 * added[0] / 6.0 < added[1] < added[0] / 6.0


def test_what_the_house_makes_up_and_its_price_by_hand(every):
    """Its air is replaced by outdoor air, which is warmed to 20 degC: 16 W/K in each of the hours that the fan runs."""
    case, base, ways = every
    way = ways["air from the house"]
    outdoor = case.weather.outdoor_c[case.weather.row_range(0), 0].reshape(-1, 24)[:, 18:22]
    by_hand = 60.0 / 3600.0 * DENSITY * 1006.0 * np.maximum(20.0 - outdoor, 0.0).sum() / 1000.0
    assert way.heat.paid_kwh == pytest.approx(by_hand, rel=0.03)
    assert way.heat.paid_cost == pytest.approx(0.1 * way.heat.paid_kwh)
    assert way.saves == pytest.approx(base.cost - way.cost, abs=0.2)
    assert way.cost == pytest.approx(way.kwh * case.plan.power.price + way.heat.paid_cost)
    assert 0.0 < base.kwh - way.kwh < way.heat.brought_kwh < way.heat.paid_kwh
    said = said_of(every, way.name)
    assert "The house takes in as much outdoor air, and its heating has to make up" in said
    assert "at 0.1 USD a kWh, which the cost of this way includes. Alone it is not enough" in said


def test_a_storm_of_house_air_makes_the_room_the_house(weeks):
    """3,000 m3/h at all hours: the room is nearly at 20 degC and the water needs no heater; the air is damper."""
    (way,) = other_heat_ways(weeks({"other_heat.house_air": {"flow": "3000 m3/h"}, "power.price": 0.3}))
    assert way.heat.alone
    assert way.heat.share == 1.0
    assert 14.0 < way.heat.coldest_alone_c < 20.0
    assert way.heat.heat_price == 0.3
    assert way.price is None


def test_the_smallest_stove_keeps_the_minimum_and_a_smaller_one_does_not(every):
    """At its power water is within 0.1 degC of the minimum; 3 % less is not enough. Half goes to the walls."""
    case, base, ways = every
    stove, heat = case.plan.other_heat.stove, ways["stove"].heat
    least_w = heat.stove.least_w
    coldest = [
        unheated_range(case, tried_plan(case.plan, stove_source(stove, share * least_w)))[0] for share in (1.0, 0.97)
    ]
    assert 10.0 <= coldest[0] < 10.1
    assert coldest[1] < 10.0
    lit = network_of(tried_plan(case.plan, stove_source(stove, 1000.0)), case.weather).source_w - case.network.source_w
    by_node = dict(zip(case.network.nodes, lit[..., 0].T, strict=True))
    evening = np.repeat([0.0, 500.0, 0.0], [16, 7, 1])
    assert by_node["air"] == pytest.approx(evening)
    assert by_node["fabric"] == pytest.approx(evening)
    assert heat.alone
    assert heat.share == 1.0
    assert (ways["stove"].needed_w, ways["stove"].kwh) == (0.0, 0.0)
    assert heat.paid_kwh == pytest.approx(7.0 * least_w / 1000.0 * heat.stove.days)
    assert ways["stove"].cost == pytest.approx(0.05 * heat.paid_kwh)
    assert ways["stove"].saves == pytest.approx(base.cost - ways["stove"].cost, abs=0.05)  # winters in pieces and whole


def test_hours_after_the_fire_are_those_of_the_water_cooling_without_it(every):
    """The hour in which the water crosses the minimum, read from the curve after one midnight; 1 h from 23:00 to it."""
    case, _, ways = every
    plan = tried_plan(case.plan, stove_source(case.plan.other_heat.stove, ways["stove"].heat.stove.watts))
    (lasts,) = hours_after(case, plan, np.array([0]))
    day = int(np.argmin(lasts))
    assert lasts[day] == pytest.approx(ways["stove"].heat.stove.lasts_h)
    own = replace(case, plan=plan, network=network_of(plan, case.weather))
    lit = own.simulate(own.heaters(np.zeros(1)), hourly_output=True).hourly_output
    start_c = lit.mean_c[24 * day + 23].copy()
    start_c[list(case.network.vessels.water_nodes)] = lit.water_c[24 * day + 23]
    forcing = excerpt(case.weather, np.array([0]), np.array([case.weather.spin_up_h + 24 * (day + 1)]), 168)
    cooling = simulate(case.network, forcing, own.heaters(np.zeros(1)), 10.0, hourly_output=True, start_c=start_c)
    below = int(np.argmax(cooling.hourly_output.water_c[:, -1, 0] < 10.0))
    assert 1.0 + below <= lasts[day] <= 2.0 + below
    assert lasts[day] > 7.0
    assert ways["stove"].heat.stove.lasts_typical_h > lasts[day]
    small = tried_plan(case.plan, stove_source(case.plan.other_heat.stove, 10.0))
    assert hours_after(case, small, np.array([0]))[0].min() == 0.0  # too cold already when it goes out


def test_a_stove_in_words(every):
    said = said_of(every, "stove")
    assert "kW for 7 h of every day it replaces 100 % of the heating. On the" in said
    assert "days on which the heater would run, its fuel gives" in said
    assert "If it is not lit again and no heater runs, the water is at its minimum" in said
    assert "h after it goes out on a typical one of these days, and" in said
    assert "at or above 10.0 °C. It is the smallest that does. If" in said
    case, base, ways = every
    larger = replace(ways["stove"].heat, stove=replace(ways["stove"].heat.stove, watts=3000.0, least_w=12340.0))
    said = said_of((case, base, {"stove": replace(ways["stove"], heat=larger)}), "stove")
    assert said.startswith("Stove: with 3.0 kW for 7 h of every day it")
    assert "The smallest that overwinters alone has 12.4 kW." in said
    cool = replace(ways["stove"].heat, stove=replace(ways["stove"].heat.stove, warmest_air_c=25.0))
    said = said_of((case, base, {"stove": replace(ways["stove"], heat=cool)}), "stove")
    assert said.endswith("The room's air reaches 25.0 °C on a typical one.")
    hot = replace(
        ways["stove"].heat,
        stove=replace(ways["stove"].heat.stove, warmest_air_c=60.0, lasts_typical_h=None, lasts_h=0.0),
    )
    ways = {"stove": replace(ways["stove"], heat=hot)}
    assert "The room's air reaches 60.0 °C on a typical one, which neither plants" in said_of(
        (case, base, ways), "stove"
    )
    assert "after it goes out on a typical one of these days, and before on the worst day." in said_of(
        (case, base, ways), "stove"
    )
    assert "at its minimum more than a week after it goes out" in said_of((case, base, ways), "stove")


@pytest.fixture(scope="module")
def sunny(every):
    collector = every[0].plan.other_heat.collector
    return every[0], collector, with_sun_on_collector(every[0], collector)


def in_winter(case, values):
    return values[case.weather.row_range(0)]


def test_a_collector_without_losses_gives_a_share_of_the_sun_by_hand(sunny):
    """70 % of the sun on 0.2 m2, and no loss: the sum over the winter, whatever the water is; none in the spin-up."""
    case, collector, in_sun = sunny
    ideal = replace(collector, area_m2=0.2, coefficients=(0.7, 0.0, 0.0), max_c=40.0)
    heated = with_collector_heat(in_sun, tried_plan(case.plan, COLLECTOR_SOURCE), ideal, 3000.0)
    heat_w = heated.weather.columns[:, OTHER_HEAT, 0]
    sun = sun_on_tilted_plane(case.climate, 45.0, "south-east")
    start = case.weather.winters[0].start.tz_localize("Etc/GMT+7").tz_convert("UTC")  # mountain standard time
    first = case.climate.hours.index.get_loc(start)
    hours = case.weather.winters[0].hours
    assert in_winter(case, heat_w).sum() == pytest.approx(0.2 * 0.7 * sun[first : first + hours].sum(), rel=2e-3)
    assert not heat_w[: case.weather.spin_up_h].any()


def test_a_collector_gives_what_the_waters_temperature_allows(sunny):
    """Its heat is that of the collector equation at the water of the last simulation, and stops at 13 degC."""
    case, collector, in_sun = sunny
    plan = tried_plan(case.plan, COLLECTOR_SOURCE)
    heated = with_collector_heat(in_sun, plan, collector, 3000.0)
    own = replace(heated, plan=plan, network=network_of(plan, heated.weather))
    run = own.simulate(own.heaters(np.array([3000.0])), hourly_output=True)
    tank_c, end_c = run.hourly_output.mean_c[:, own.network.nodes.index("tank"), 0], run.hourly_output.water_c[:, -1, 0]
    heat_w = in_winter(case, heated.weather.columns[:, OTHER_HEAT, 0])
    sun, outdoor_c = (
        in_winter(case, each) for each in (in_sun.weather.columns[:, OTHER_HEAT, 0], case.weather.outdoor_c[:, 0])
    )
    excess = tank_c - outdoor_c
    by_hand = 3.0 * np.maximum(0.78 * sun - 3.6 * excess - 0.014 * excess * np.abs(excess), 0.0)
    wh_per_k = own.network.capacity_j_per_k[own.network.nodes.index("tank"), 0] / 3600.0
    to_13_degc = np.maximum(13.0 - np.append(end_c[0], end_c[:-1]), 0.0) * wh_per_k
    assert heat_w.sum() == pytest.approx(np.minimum(by_hand, to_13_degc).sum(), rel=0.02)
    assert 0.1 < heat_w.sum() / by_hand.sum() < 0.9  # it stops in many hours
    assert (end_c[heat_w > 100.0] < 13.3).all()


def test_a_collector_as_a_way_and_in_words(every):
    _, base, ways = every
    way = ways["sun collector"]
    assert way.kwh < base.kwh
    assert way.needed_w <= base.needed_w + 1.0
    assert 0.0 < base.kwh - way.kwh < way.heat.brought_kwh
    assert way.payback_winters == pytest.approx(900.0 / way.saves)
    (said,) = other_heat_sentences(every[0].plan, compared(every[0], base, [way]))
    assert "EN ISO 9806 (not checked against the source)" in said
    assert "Its coefficients: the order of test reports" in said
    assert said.startswith("Sun collector: it gives ")
    assert "of the heating. Alone it is not enough: without a heater the water falls to" in said


def test_a_collector_needs_the_sun(case_with):
    """Springfield's file has neither sun nor cloud cover; and a plan may leave the sun out."""
    for settings in (QUICK, {**SUNNY, "climate.sun": False}):
        case = case_with({**settings, "other_heat.collector": {"area": "3 m2"}}, drop=("bed",))
        assert other_heat_ways(case) == ()
    (said,) = other_heat_sentences(
        case.plan, replace(compared(case, design_results(case, [case.plan])[0], ()), alternatives=())
    )
    assert said.startswith("Sun collector: not calculated, because no sun counts")


def test_screen_and_json_say_it_where_the_plan_asks_and_only_there(every):
    case, base, ways = every
    comparison = compared(case, base, ways.values())
    names = ["compost heap", "air from the house", "stove", "sun collector"]
    found = json.loads(json.dumps(compare_json(case, comparison)))["alternatives"]
    assert [way["name"] for way in found] == names
    assert [way["heat"]["share"] for way in found] == [ways[name].heat.share for name in names]
    assert found[2]["heat"]["stove"]["least_w"] > 0.0
    unknown = replace(comparison, season=replace(case.season, complete=0))
    without_season = compare_json(case, unknown)["alternatives"][1]["heat"]
    assert {key for key, value in without_season.items() if value is None} >= {"share", "paid_kwh", "paid_cost"}
    assert without_season["coldest_alone_c"] == found[1]["heat"]["coldest_alone_c"]
    screen = Console(file=StringIO(), width=200)
    print_comparison(case, comparison, None, screen)
    assert "Compost heap: it gives 300 W at all hours," in screen.file.getvalue()
    assert "No price is known" not in screen.file.getvalue()
    assert other_heat_sentences(without_collector(case.plan), replace(comparison, alternatives=())) == []
    assert "Compost heap: it gives 300 W at all hours. Alone" in other_heat_sentences(case.plan, unknown)[0]
    assert "kWh" not in " ".join(other_heat_sentences(case.plan, unknown))


@pytest.mark.parametrize(("number", "keys"), [(32, ["stove"]), (33, ["collector", "compost", "house_air"])])
def test_readme_sends_the_question_to_the_keys_that_answer_it(every, number, keys):
    (row,) = [line for line in README.read_text("utf-8").splitlines() if line.startswith(f"| {number}. ")]
    assert "| `overwinter compare`" in row
    assert all(f"[other_heat.{key}]" in row and getattr(every[0].plan.other_heat, key) is not None for key in keys)


def test_a_plan_without_them_has_no_such_way(case_with):
    assert other_heat_ways(case_with(QUICK, drop=("bed",))) == ()


FAULTS = [
    ({"collector": {}}, 'other_heat, collector, area: missing; write for example area = "4 m2"'),
    ({"collector": {"area": "4 m"}}, "'4 m' is a length, but an area is needed"),
    ({"collector": {"area": "4 m2", "tilt": 100}}, "write a tilt in degrees between 0 and 90"),
    ({"collector": {"area": "4 m2", "facing": "up"}}, "'up' is not a direction"),
    ({"collector": {"area": "4 m2", "eta0": 78}}, "write an efficiency between 0.1 and 1"),
    ({"collector": {"area": "4 m2", "a1": "3.6"}}, "write a number of W/m²K without quotes"),
    ({"collector": {"area": "4 m2", "max_temperature": "9 degC"}}, "is not above the minimum water temperature"),
    ({"stove": {"power": "5"}}, "other_heat, stove, power: '5' has no unit; write a power"),
    ({"stove": {"hours": "20:00-02:00"}}, 'a stove has to go out by midnight.*write for example "18:00-24:00"'),
    ({"stove": {"hours": "never"}}, "a stove that is never lit gives no heat"),
    ({"house_air": {"flow": "60 m"}}, "other_heat, house_air, flow: '60 m' is a length, but a volume flow"),
    ({"house_air": {"flow": "60 m3/h", "hours": "never"}}, "a fan that never runs brings no air"),
    ({"house_air": {"flow": "60 m3/h", "hours": "25-26"}}, "'25-26' is not a time range"),
    ({"compost": {"volume": "2 kg"}}, "other_heat, compost, volume: '2 kg'"),
    ({"compost": {"volume": "0 m3"}}, "write a volume above 0 m3, at most 1,000 m3"),
    ({"compost": {}}, 'compost, volume: missing; write for example volume = "4 m3"'),
    ({"compost": {"volume": "2 m3", "heat": 50}}, "50 has no unit; write a heat for each cubic metre"),
    ({"compost": {"volume": "2 m3", "heat": "5 kW/m3"}}, "above 0 W/m3, at most 1,000 W/m3"),
    ({"compost": {"volume": "2 m3", "where": "tank"}}, "'tank' is not a place for heat"),
    ({"compost": {"volume": "2 m3", "cost": "60 EUR"}}, "write a cost without quotes"),
    ({"compots": {"volume": "2 m3"}}, "unknown key; did you mean 'compost'"),
]


@pytest.mark.parametrize(("tables", "message"), FAULTS)
def test_a_wrong_value_is_refused_in_words(workshop, tables, message):
    with pytest.raises(PlanError, match=message):
        plan_of({**workshop, "other_heat": tables})


INTO_AIR = [("compost", {"volume": "2 m3", "where": "room"}), ("house_air", {"flow": "60 m3/h"}), ("stove", {})]


@pytest.mark.parametrize(("name", "table"), INTO_AIR)
def test_heat_into_air_of_a_given_temperature_is_refused(workshop, name, table):
    workshop["room"]["temperature"] = "16 degC"
    workshop["other_heat"] = {name: table}
    with pytest.raises(PlanError, match=f"other_heat, {name}: its heat would not change the room, whose temperature"):
        plan_of(workshop)


def test_a_measure_cannot_set_other_heat(workshop):
    workshop["measure"][0]["set"] = {"other_heat.compost.volume": "2 m3"}
    workshop["other_heat"] = {"compost": {"volume": "1 m3"}}
    with pytest.raises(PlanError, match="may not be set here"):
        plan_of(workshop)
