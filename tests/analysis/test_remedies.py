"""Ways simulated together are what each is alone, and their figures are sums over its own hours."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from thermal.analysis.alternatives import alternative_plans
from thermal.analysis.case import hours_of
from thermal.analysis.heater_units import installed_heaters, watts_to_buy
from thermal.analysis.remedies import _remedies, first_that_helps, remedied_case, remedy_ladders
from thermal.analysis.verdict import air_at_plants
from thermal.plan.reader import plan_of, variant


def test_each_way_has_the_heater_heat_and_air_of_its_own_plan(case_with):
    """Two huts at once, against each written into the plan: heat, money and coldest air are those of its own hours."""
    case = case_with({"climate.winters": [2016], "climate.coldest_night": "none", "power.price": 0.25})
    ways = remedy_ladders(case.plan)[1][:2]
    changed = [remedied_case(case, way) for way in ways]
    found = _remedies(ways, changed, 0)
    assert [remedy.name for remedy in found] == [way[0] for way in ways]
    assert len({round(remedy.needed_w) for remedy in found}) == 2
    for remedy, own in zip(found, changed, strict=True):
        needed = own.simulate(own.heaters(np.array([remedy.needed_w])), hourly_output=True)
        assert hours_of(own, needed, 0, 0).tank_c.min() == pytest.approx(own.plan.keep.floor_c, abs=0.01)
        bought = own.simulate(
            own.heaters(np.array([sum(installed_heaters(own.plan, watts_to_buy(own.plan, remedy.needed_w)))])),
            hourly_output=True,
        )
        hours = hours_of(own, bought, 0, 0)
        assert remedy.kwh == pytest.approx(hours.hourly_output.heater_w[:, hours.column].sum() / 1000.0, rel=1e-3)
        assert remedy.cost == pytest.approx(0.25 * remedy.kwh)
        assert remedy.coldest_air_c == pytest.approx(float(air_at_plants(own, hours).min()), abs=0.01)


def test_only_the_first_way_that_helps_is_told(case_with, monkeypatch):
    """Two huts are of one network, the third heats its air; a way without any heater that is enough is passed over."""
    case = case_with({"climate.winters": [2016]})
    ladder = remedy_ladders(case.plan)[1]
    names = [way[0] for way in ladder]
    together = []

    def remedies(ways, changed, median):
        together.append([way[0] for way in ways])
        assert [own.plan.hut.build for own in changed] == [way[2]["hut"]["build"] for way in ways]
        return [SimpleNamespace(name=way[0], coldest_air_c=air_c[way[0]]) if way[0] in air_c else None for way in ways]

    monkeypatch.setattr("thermal.analysis.remedies._remedies", remedies)
    cold = (SimpleNamespace(lowest_air_c=4.0), SimpleNamespace(lowest_air_c=None))
    for air in ((3.9, 4.0, 9.0), (3.9, 3.9, 9.0), (None, 3.9, 3.9), (None, 4.1, None)):
        air_c = {name: celsius for name, celsius in zip(names, air, strict=True) if celsius is not None}
        told = next((name for name in names if air_c.get(name, 0.0) >= 4.0), None)
        found = first_that_helps(case, ladder, cold, 0)
        assert (found.name if found else None) == told
    assert together == [names[:2], names[:2], names[2:], names[:2], names[2:], names[:2]]


def test_a_plan_with_a_fan_for_the_room_has_huts_without_it(workshop):
    """A plan may not have both, so that heater and compare ended with a fault of a plan that has none."""
    plan = plan_of({**workshop, "fan": {"flow": "80 m3/h", "power": "20 W"}})
    huts = [way for ladder in remedy_ladders(plan) for way in ladder if "hut" in way[2]]
    assert [variant(plan, settings).fan for _, _, settings in huts] == [None] * 3
    assert all("without the fan" in said for _, said, _ in huts)
    assert sum(one.hut is not None for one in alternative_plans(plan)) == 1
