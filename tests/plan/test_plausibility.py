"""Plans that nobody can build are refused, and those that look like a slip are warned of."""

from __future__ import annotations

import copy

import pytest

from tests import fuzz
from thermal.analysis.odd_values import odd_values
from thermal.errors import PlanError
from thermal.plan.example_plans import example_path, example_plans
from thermal.plan.reader import plan_of, read_plan, with_settings

BED = {"name": "b", "length": "2 m", "width": "1 m", "water_depth": "0.2 m", "fill": "gravel"}


def changed(document, settings, drop=()):
    document = copy.deepcopy({**document, "measure": []})
    for key in drop:
        document.pop(key)
    return with_settings(document, settings)


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"tank.diameter": "5.5 m"}, "does not fit the room of 6 m x 5 m either way round"),
        ({"tank.water_depth": "3 m"}, "deeper than the room is high (2.6 m)"),
        ({"tank.count": 40}, "more than the floor of the room (30.0 m2)"),
        ({"room.side.door.area": "120 m2"}, "walls and ceiling of a room of this size have 87.2 m2"),
    ],
)
def test_what_cannot_be_built_is_a_fault(workshop, settings, words):
    with pytest.raises(PlanError, match="correct") as told:
        plan_of(changed(workshop, settings))
    assert words in str(told.value)


def test_all_impossible_things_are_told_at_once(workshop):
    with pytest.raises(PlanError) as told:
        plan_of(
            changed(workshop, {"tank.diameter": "5.5 m", "tank.water_depth": "3 m", "room.side.door.area": "120 m2"})
        )
    assert len(told.value.faults) == 3


def test_a_long_vessel_may_lie_either_way(workshop):
    for sides in ({"length": "5.8 m", "width": "0.5 m"}, {"length": "0.5 m", "width": "5.8 m"}):
        tank = {"name": "trough", "water_depth": "0.4 m", "shape": "rectangular", **sides}
        assert plan_of({**workshop, "measure": [], "tank": [tank]}).tanks[0].bottom_m2 == pytest.approx(2.9)


def test_deep_water_is_possible_where_a_side_is_buried(workshop):
    side = {"name": "pit", "area": "4 m2", "build": "R-5", "faces": "ground"}
    deep = {**workshop, "measure": [], "room": {**workshop["room"], "side": [*workshop["room"]["side"], side]}}
    assert plan_of(with_settings(deep, {"tank.water_depth": "3 m"})).tanks[0].depth_m == pytest.approx(3.0)


def test_a_measure_that_cannot_be_built_is_refused_by_name(workshop):
    workshop["measure"] = [{"name": "forty tanks", "cost": 1, "set": {"tank.count": 40}}]
    with pytest.raises(PlanError, match="measure 'forty tanks': tanks and beds on the slab"):
        plan_of(workshop)


@pytest.mark.parametrize("name", sorted(example_plans()))
def test_ready_plans_have_no_odd_value(name):
    assert odd_values(read_plan(example_path(name))) == []


@pytest.mark.parametrize(
    ("settings", "code"),
    [
        ({"power.price": 17}, "price-high"),
        ({"power.price": 0}, "price-zero"),
        ({"pump.flow": "0 L/h"}, "no-flow"),
        ({"bed": [{**BED, "count": 20, "stands_on": "frame"}]}, "frames-over-floor"),
        ({"keep.floor": "31 degC", "keep.upper": "30 degC"}, "minimum-above-warmest"),
    ],
)
def test_slips_are_warned_of(workshop, settings, code):
    plan = plan_of(changed(workshop, settings))
    assert [warning.code for warning in odd_values(plan)] == [code]


def test_seventeen_crowns_are_no_slip(workshop):
    assert odd_values(plan_of(changed(workshop, {"power.price": 17, "power.currency": "CZK"}))) == []


def test_check_says_so_too(workshop_text, tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(workshop_text.replace("price = 0.16", "price = 16"), "utf-8")
    code, out, err = fuzz.ended("check", str(path), "--json", str(tmp_path / "x.json"))
    assert code == 0, err
    assert "If it is in cents, divide it by 100." in " ".join(out.split())
    assert [warning["code"] for warning in fuzz.read_json(tmp_path / "x.json")["warnings"]] == ["price-high"]
