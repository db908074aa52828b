"""Other sources of heat: by hand in given air, against the same heat as a device, in words, as JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from thermal.analysis.case import network_of
from thermal.analysis.comparison_results import Comparison, FloorStep, PackageComparison
from thermal.analysis.design_results import design_results
from thermal.analysis.measure_packages import package_of
from thermal.analysis.other_heat import other_heat_ways, tried_plan
from thermal.errors import PlanError
from thermal.plan.other_heat import house_air_source
from thermal.plan.reader import plan_of, variant
from thermal.report.json_csv import compare_json
from thermal.report.other_heat_text import other_heat_sentences
from thermal.report.terminal import print_comparison

QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}
COLD_ROOM = {**QUICK, "room.temperature": "1 degC", "room.lights.power": "0 W"}
HEAP = {"volume": "2 m3", "heat": "40 W/m3", "cost": 60}


def only_way(case):
    (way,) = other_heat_ways(case)
    return way


def compared(case, ways):
    """A comparison of the plan with other sources of heat and nothing else."""
    result = design_results(case, [case.plan])[0]
    bare = PackageComparison((package_of((), 0.0, result, result),), (0,), None, None, None, ())
    floors = tuple(FloorStep(case.plan.keep.floor_c + kelvin, result, ()) for kelvin in (0.0, 1.0))
    return Comparison(bare, floors, ways, season=case.season)


def test_a_heap_in_constant_cold_by_hand(case_with):
    """Air of 1 degC, water held at 11 degC: 80 W of the heap are 80 W less heater, and 80 W x 5,088 h less energy."""
    case = case_with({**COLD_ROOM, "other_heat.compost": HEAP}, drop=("bed",))
    base, way = design_results(case, [case.plan])[0], only_way(case)
    hours = case.weather.winters[0].hours
    assert base.needed_w - way.needed_w == pytest.approx(80.0, abs=2.0)
    assert base.kwh - way.kwh == pytest.approx(80.0 * hours / 1000.0, rel=0.01)
    assert way.heat.brought_kwh == pytest.approx(80.0 * hours / 1000.0)
    assert way.heat.share == pytest.approx(1.0 - way.kwh / base.kwh)
    assert way.price == 60
    assert way.payback_winters == pytest.approx(60 / way.saves)
    assert not way.heat.alone
    assert way.heat.coldest_alone_c < 10.0


@pytest.mark.parametrize("where", ["water", "room"])
def test_a_heap_is_a_device_of_the_same_heat_that_costs_nothing(case_with, where):
    case = case_with({**QUICK, "other_heat.compost": {**HEAP, "heat": "150 W/m3", "where": where}})
    device = {"gain": [{"name": "coil", "power": "300 W", "where": where}]}
    base, same = design_results(case, [case.plan, variant(case.plan, device)])
    way = only_way(case)
    assert way.needed_w == pytest.approx(same.needed_w, abs=1.5)
    assert way.kwh == pytest.approx(same.kwh, rel=1e-3)
    assert way.mould_h == pytest.approx(same.mould_h, abs=2.0)
    assert way.kwh < base.kwh


def test_a_heap_whose_heat_is_not_stated_has_a_range(case_with):
    """15, 50 and 90 W/m3: of a large heap the likely heat is enough alone, the low end is not."""
    case = case_with({**QUICK, "other_heat.compost": {"volume": "30 m3"}})
    way = only_way(case)
    assert way.heat.watts == pytest.approx((450.0, 1500.0, 2700.0))
    assert 0.0 < way.heat.share_low < way.heat.share <= way.heat.share_high == 1.0
    assert way.heat.alone
    assert way.needed_w == 0.0
    assert way.price is None
    assert way.payback_winters is None
    (said,) = other_heat_sentences(case.plan, compared(case, (way,)))
    assert said.startswith("Compost heap: it gives 1,500 W (450 to 2,700 W) at all hours, 7,630 kWh a winter, and")
    assert "to 100 %) of the heating. Alone, without a heater, it keeps the water at or above 10.0 °C." in said
    assert "Smith, Aber & Rynk 2017" in said


def test_screen_page_and_json_say_it_where_the_plan_asks_and_only_there(case_with):
    case = case_with({**COLD_ROOM, "other_heat.compost": HEAP}, drop=("bed",))
    comparison = compared(case, other_heat_ways(case))
    found = json.loads(json.dumps(compare_json(case, comparison)))["alternatives"][0]
    assert found["name"] == "compost heap"
    assert found["heat"]["share"] == pytest.approx(comparison.alternatives[0].heat.share)
    unknown = replace(comparison, season=replace(case.season, complete=0))
    without_season = compare_json(case, unknown)["alternatives"][0]["heat"]
    assert without_season["share"] is None
    assert without_season["coldest_alone_c"] == found["heat"]["coldest_alone_c"]
    screen = Console(file=StringIO(), width=200)
    print_comparison(case, comparison, None, screen)
    said = "Compost heap: it gives 80 W at all hours,"
    assert said in screen.file.getvalue()
    assert "No price is known" not in screen.file.getvalue()
    assert other_heat_sentences(case.plan, replace(comparison, alternatives=())) == []
    assert "Compost heap: it gives 80 W at all hours." in other_heat_sentences(case.plan, unknown)[0]


def test_a_plan_without_them_has_no_such_way(case_with):
    assert other_heat_ways(case_with(QUICK)) == ()


FAN = {"flow": "60 m3/h", "hours": "18:00-22:00", "heat_price": 0.1, "cost": 90}
DRAWN = ("other_heat.house_air", FAN)


def test_house_air_in_the_network_by_hand(case_with):
    """60 m3/h of 20 degC, 1.2 kg/m3, 1,006 J/kgK: 20 W/K; for 4 of 24 hours a sixth of it or somewhat less."""
    always = case_with({**QUICK, "other_heat.house_air": {"flow": "60 m3/h"}})
    some = case_with({**QUICK, DRAWN[0]: DRAWN[1]})
    added = []
    for case in (always, some):
        plan = tried_plan(case.plan, house_air_source(case.plan.other_heat.house_air))
        with_air, without = (network_of(each, case.weather) for each in (plan, case.plan))
        air = without.nodes.index("air")
        added.append(float((with_air.fixed_w_per_k - without.fixed_w_per_k)[air, 0]))
        brought = (with_air.source_w - without.source_w)[:, air, 0]
        assert brought == pytest.approx(np.full(24, 20.0 * added[-1]))
        litres_per_day = 86400.0 * (with_air.room_air.vapour_kg_s - without.room_air.vapour_kg_s).mean()
        share = sum(plan.tried.hours) / 24.0
        assert litres_per_day == pytest.approx(60.0 * 24.0 * share * 4e-3)  # 4 g in each cubic metre
        change = (with_air.room_air.change_kg_s - without.room_air.change_kg_s)[0]
        assert change == pytest.approx(60.0 / 3600.0 * 1.2 * share, rel=0.03)
    assert added[0] == pytest.approx(60.0 / 3600.0 * 1.2 * 1006.0, rel=0.03)
    assert 0.9 * added[0] / 6.0 < added[1] < added[0] / 6.0


def test_what_the_house_makes_up_and_its_price_by_hand(case_with):
    """Its air is replaced by outdoor air, which is warmed to 20 degC: 20 W/K in each of the hours that the fan runs."""
    case = case_with({**QUICK, DRAWN[0]: DRAWN[1]})
    way, base = only_way(case), design_results(case, [case.plan])[0]
    outdoor = case.weather.outdoor_c[case.weather.row_range(0), 0].reshape(-1, 24)[:, 18:22]
    by_hand = 60.0 / 3600.0 * 1.2 * 1006.0 * np.maximum(20.0 - outdoor, 0.0).sum() / 1000.0
    assert way.heat.paid_kwh == pytest.approx(by_hand, rel=0.03)
    assert way.heat.paid_cost == pytest.approx(0.1 * way.heat.paid_kwh)
    assert way.saves == pytest.approx(base.cost - way.cost)
    assert way.cost > way.heat.paid_cost
    assert 0.0 < way.heat.brought_kwh < way.heat.paid_kwh
    assert 0.0 < base.kwh - way.kwh < way.heat.brought_kwh
    (said,) = other_heat_sentences(case.plan, compared(case, (way,)))
    assert "The house takes in as much outdoor air, and its heating has to make up" in said
    assert "at 0.1 USD a kWh, which the cost of this way includes. Alone it is not enough" in said


def test_a_storm_of_house_air_makes_the_room_the_house(case_with):
    """3,000 m3/h at all hours: the room is nearly at 20 degC and the water needs no heater; the air is damper."""
    case = case_with({**QUICK, "other_heat.house_air": {"flow": "3000 m3/h"}, "power.price": 0.3})
    way = only_way(case)
    assert way.heat.alone
    assert way.heat.share == 1.0
    assert 14.0 < way.heat.coldest_alone_c < 20.0
    assert way.heat.heat_price == 0.3
    assert way.price is None


FAULTS = [
    ({"house_air": {"flow": "60 m"}}, "other_heat, house_air, flow: '60 m' is a length, but a volume flow"),
    ({"house_air": {"flow": "60 m3/h", "hours": "never"}}, "a fan that never runs brings no air"),
    ({"house_air": {"flow": "60 m3/h", "hours": "25-26"}}, "'25-26' is not a time range"),
    ({"compost": {"volume": "2 kg"}}, "other_heat, compost, volume: '2 kg'"),
    ({"compost": {"volume": "0 m3"}}, "write a volume above 0 m3, at most 1,000 m3"),
    ({"compost": {}}, 'compost, volume: missing; write for example volume = "4 m3"'),
    ({"compost": {"volume": "2 m3", "heat": 50}}, "50 has no unit; write a heat for each cubic metre"),
    ({"compost": {"volume": "2 m3", "heat": "5 kW/m3"}}, "between|above 0 W/m3, at most 1,000 W/m3"),
    ({"compost": {"volume": "2 m3", "where": "tank"}}, "'tank' is not a place for heat"),
    ({"compost": {"volume": "2 m3", "cost": "60 EUR"}}, "write a cost without quotes"),
    ({"compots": {"volume": "2 m3"}}, "unknown key; did you mean 'compost'"),
]


@pytest.mark.parametrize(("tables", "message"), FAULTS)
def test_a_wrong_value_is_refused_in_words(workshop, tables, message):
    with pytest.raises(PlanError, match=message.replace("(", r"\(")):
        plan_of({**workshop, "other_heat": tables})


def test_heat_into_air_of_a_given_temperature_is_refused(workshop):
    workshop["room"]["temperature"] = "16 degC"
    for name, table in (("compost", {"volume": "2 m3", "where": "room"}), ("house_air", {"flow": "60 m3/h"})):
        workshop["other_heat"] = {name: table}
        with pytest.raises(
            PlanError, match=f"other_heat, {name}: its heat would not change the room, whose temperature"
        ):
            plan_of(workshop)


def test_a_measure_cannot_set_other_heat(workshop):
    workshop["measure"][0]["set"] = {"other_heat.compost.volume": "2 m3"}
    workshop["other_heat"] = {"compost": {"volume": "1 m3"}}
    with pytest.raises(PlanError, match="may not be set here"):
        plan_of(workshop)
