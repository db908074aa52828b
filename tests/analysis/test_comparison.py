"""Packages, floors, other ways and single parts: against plans marched one by one."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from thermal.analysis import heater_sizing, minimum_temperature_sweep, required_insulation
from thermal.analysis.alternatives import heat_pump, heat_pump_weights, way_plans, ways
from thermal.analysis.batch import fleets
from thermal.analysis.case import scene_of
from thermal.analysis.comparison import Options, all_options
from thermal.analysis.design_results import outcomes
from thermal.analysis.measure_packages import compared, package_plans
from thermal.network.model import Control
from thermal.plan.reader import plan_of, variant
from thermal.report.comparison_text import alts
from thermal.report.render_charts import option_pictures
from thermal.solver.parallel import LEAST, Here, workers
from thermal.solver.simulate import march
from thermal.solver.summary_output import Watch


def test_packages_agree_with_their_plans_one_by_one(workshop):
    """The batch, its spells and blocks against each plan's own whole-winter march, found by bisection."""
    workshop["measure"] = workshop["measure"][1:3]
    workshop["heater"]["units"] = ["500 W", "500 W"]
    scene = scene_of(plan_of(workshop))
    found = compared(scene.plan, outcomes(scene, package_plans(scene.plan)))
    assert [one.measures for one in found.packages[:2]] == [(), ("snug foam lid on the tank",)]
    assert len(found.packages) == 4
    for one, settings in (
        (found.packages[0], {}),
        (found.packages[3], {**scene.plan.measures[0].set, **scene.plan.measures[1].set}),
    ):
        alone = scene_of(variant(scene.plan, settings))
        low, high = 0.0, 3000.0
        while high - low > 1.0:
            middle = 0.5 * (low + high)
            holds = alone.march(alone.heaters(np.array([middle]))).coldest_c.min() >= alone.plan.keep.floor_c
            low, high = (low, middle) if holds else (middle, high)
        assert one.outcome.needed_w == pytest.approx(high, abs=2.0)
        run = alone.march(alone.heaters(np.array([sum(one.outcome.installed_w)])))
        median = int(np.argmax([winter.complete for winter in alone.weather.winters]))
        assert one.outcome.kwh == pytest.approx(run.heater_j[0, median] / 3.6e6, rel=1e-9)
        assert one.outcome.cost == pytest.approx(one.outcome.kwh * 0.16, rel=1e-9)
    assert found.packages[0].outcome.owned_holds is False
    assert found.packages[3].outcome.owned_holds is True
    assert found.with_owned is not None


@pytest.fixture(scope="module")
def base(scene_with):
    scene = scene_with({"climate.winters": [2016]})
    return scene, outcomes(scene, [scene.plan], weights=heat_pump_weights(scene))[0]


def test_a_bigger_heater_at_the_same_floor_takes_as_much(base):
    """DESIGN section 5: a thermostat meets the same losses; only the hours a small one falls behind differ."""
    scene, one = base
    run = scene.march(scene.heaters(np.array([one.needed_w * 1.2, one.needed_w * 3.0])))
    assert run.heater_j[1, 0] == pytest.approx(run.heater_j[0, 0], rel=0.005)


def test_warmer_floors_ask_for_more(base):
    scene, _ = base
    steps = minimum_temperature_sweep.floor_steps(
        scene.plan, outcomes(scene, minimum_temperature_sweep.floor_plans(scene.plan))
    )
    needed, cost = ([getattr(step.outcome, name) for step in steps] for name in ("needed_w", "cost"))
    assert needed == sorted(needed)
    assert cost == sorted(cost)
    by_floor = {step.floor_c: step.outcome.cost for step in steps}
    assert minimum_temperature_sweep.next_kelvin(steps, 10.0) == by_floor[11.0] - by_floor[10.0] > 0
    assert "yellow perch" in next(step.species for step in steps if step.floor_c == 10.0)


def test_the_resistance_found_holds_and_a_little_less_does_not(scene_with):
    scene = scene_with({"climate.winters": [2016], "heater.units": ["400 W", "340 W"]})
    found = required_insulation.needed_resistances(scene)
    assert found.watts == 740.0
    enough = {one.part: one.r_m2k_per_w for one in found.parts}
    assert any(r for r in enough.values())
    for part, r in enough.items():
        change = required_insulation.parts_of(scene.plan)[part]
        tried = (
            [required_insulation.MOST_R]
            if r is None
            else [r]
            if r == 0
            else [r, r - 2 * required_insulation.TOLERANCE_R]
        )
        for each, holds in zip(tried, (r is not None, False), strict=False):
            alone = scene_of(change(scene.plan, each))
            coldest = alone.march(alone.heaters(np.array([740.0]))).coldest_c.min()
            assert (coldest >= 10.0 - 1e-6) == holds, (part, each)


def test_whole_winters_have_the_last_word_on_resistance_too(scene_with, monkeypatch):
    """Were the only cold spell in October, the first look would find far too little."""
    scene = scene_with({"climate.winters": [2016], "heater.units": ["300 W", "300 W"]})
    right = required_insulation.needed_resistances(scene)
    mild = np.full((2, 1), scene.weather.spin_up_h)
    monkeypatch.setattr(heater_sizing, "spell_rows", lambda weather: mild)
    found = required_insulation.needed_resistances(scene)
    for one, other in zip(found.parts, right.parts, strict=True):
        assert one.r_m2k_per_w == pytest.approx(other.r_m2k_per_w, abs=2 * required_insulation.TOLERANCE_R)


@pytest.mark.parametrize(("where", "within"), [("water", 2.0), ("room", 80.0)])
def test_whole_winters_have_the_last_word(scene_with, monkeypatch, where, within):
    """Were the cold spells looked for in October, sizing would end there too; the answer must be the same.

    A room's thermostat is found to 0.05 K only, which here is worth some 2 % of its heat.
    """
    scene = scene_with({"climate.winters": [2016], "heater.where": where})
    right = outcomes(scene, [scene.plan])[0]
    mild = np.full((2, 1), scene.weather.spin_up_h)
    monkeypatch.setattr(heater_sizing, "spell_rows", lambda weather: mild)
    monkeypatch.setattr(heater_sizing, "coldest_days", lambda weather: mild[0])
    found = outcomes(scene, [scene.plan])[0]
    assert found.needed_w == pytest.approx(right.needed_w, abs=within)
    assert found.coldest_c >= scene.plan.keep.floor_c - 1e-6


def test_a_rooms_thermostat_is_the_coolest_and_comes_with_its_own_march(scene_with):
    """Each of two rooms marched anew at the thermostat found: the same march, and 0.05 K less is too cool."""
    scene = scene_with({"climate.winters": [2016], "heater.where": "room"})
    (fleet,) = fleets([scene.plan, variant(scene.plan, {"tank.top": "snug foam lid"})], scene.weather)
    watch = Watch(snapshot_h=np.array([[scene.weather.spin_up_h + 24]]))
    setpoint, holds, run = heater_sizing._with_all_heat(fleet, scene.drive, watch)
    assert holds.all()
    assert setpoint[0, 0] != setpoint[0, 1]
    at = np.concatenate([setpoint, setpoint - 1.01 * heater_sizing.TOLERANCE_K], axis=1)
    control = Control(at, np.full(4, heater_sizing.UNLIMITED_W), np.zeros(4))
    anew = march(fleet.network.take(np.tile([0, 1], 2)), scene.drive, control, 10.0, watch=watch)
    for name in ("coldest_c", "peak_w", "snapshot_c", "closure"):
        np.testing.assert_allclose(
            getattr(run, name), getattr(anew, name)[..., :2, :], rtol=1e-6, atol=1e-6, err_msg=name
        )
    assert (anew.coldest_c[:2] >= 10.0).all()
    assert (anew.coldest_c[2:] < 10.0).all()


def test_packages_come_before_the_other_ways(scene_with):
    """What is made of packages and floors sees them whole, and no other way yet."""
    scene, seen = scene_with({"climate.winters": [2016]}), []

    def of_packages(plan, options):
        seen.append((plan, options))
        return "made"

    whole, made = all_options(scene, of_packages, executor=Here())
    (plan, early) = seen.pop()
    assert (made, seen, plan) == ("made", [], scene.plan)
    assert (early.comparison, early.floors) == (whole.comparison, whole.floors)
    assert (early.alternatives, len(whole.alternatives)) == ((), len(ways(scene.plan)) + 1)
    alone = outcomes(scene, [scene.plan])[0]
    assert whole.comparison.packages[0].outcome.needed_w == pytest.approx(alone.needed_w, abs=heater_sizing.TOLERANCE_W)


def test_workers_side_by_side_find_what_one_finds(scene_with):
    """Two plans, one of them lidded, by turns and cut in parts: each part finds what the pair alone does."""
    scene = scene_with({"climate.winters": [2016]})
    pair = [scene.plan, variant(scene.plan, {"tank.top": "snug foam lid"})]
    plans, seen = pair * LEAST, []

    def steps(parts, count):
        seen.append(count)
        return parts

    with ThreadPoolExecutor() as pool:
        found = outcomes(scene, plans, pool, steps, tested=range(LEAST, 2 * LEAST))
    first, lidded = outcomes(scene, pair, tested=range(1))
    assert seen == [min(workers(None), 4)]
    assert [one.needed_w for one in found[:3]] == pytest.approx(
        [first.needed_w, lidded.needed_w, first.needed_w], abs=2 * heater_sizing.TOLERANCE_W
    )
    assert found[0].installed_w == found[-1].installed_w == found[-2].installed_w == first.installed_w
    assert found[-1].coldest_unheated_c > found[-2].coldest_unheated_c == pytest.approx(first.coldest_unheated_c)


def test_a_heat_pump_takes_each_hours_heat_over_its_cop(base):
    """A group-by of hourly heat over the COP read off tables/heat_pump.toml with pandas and numpy."""
    scene, one = base
    found = heat_pump(scene, one)
    run = scene.march(scene.heaters(np.array([sum(one.installed_w)])), trace=True)
    winter = scene.weather.winters[0]
    outdoor = scene.weather.outdoor_c[scene.weather.spin_up_h :, 0][: winter.hours]
    curve = ([-20, -15, -7, 2, 7, 12], [1.6, 2.0, 2.6, 3.2, 4.2, 4.8])
    cop = pd.Series(outdoor).map(lambda c: 1.0 if c < -20 else float(np.interp(c, *curve)))
    kwh = (pd.Series(run.trace.heater_w[: winter.hours, 0]) / 1000.0 / cop).sum()
    assert found.kwh == pytest.approx(kwh, rel=1e-9)
    assert found.cost == pytest.approx(0.16 * kwh, rel=1e-9)
    assert 1.6 < one.kwh / found.kwh < 4.8


def test_other_ways_are_the_plan_with_one_setting_changed(base):
    scene, _ = base
    named = {name: settings for name, _, settings in ways(scene.plan)}
    assert {"heat the room", "lid at night only", "pump off at night"} <= set(named)
    wanted = [place for place, (name, *_) in enumerate(ways(scene.plan)) if name == "lid at night only"]
    plans = [way_plans(scene.plan)[place] for place in wanted]
    lid = outcomes(scene, [scene.plan, *plans])[1]
    assert plans[0] == variant(scene.plan, named["lid at night only"])
    alone = scene_of(plans[0])
    run = alone.march(alone.heaters(np.array([sum(lid.installed_w)])))
    assert lid.kwh == pytest.approx(run.heater_j[0, 0] / 3.6e6, rel=1e-9)


def test_a_plan_with_a_hut_is_also_tried_without(scene_with):
    hut = {"length": "3 m", "width": "3 m", "height": "2 m"}
    plan = scene_with({"hut": hut, "heater.where": "room"}).plan
    names = [name for name, _, _ in ways(plan)]
    assert "without the hut" in names
    assert "heat the water" in names
    assert way_plans(plan)[names.index("without the hut")].hut is None


def test_where_nothing_holds_the_page_still_says_so(base):
    """Found reading the change: pictures' texts took the first of an empty list."""
    scene, one = base
    none = replace(one, needed_w=None)
    found = Options(compared(replace(scene.plan, measures=()), [none]), ())
    assert "no heater" in alts(scene.plan, found)["packages"]
    assert found.comparison.undominated == ()
    assert option_pictures(scene.plan, found)["packages"].startswith(b"\x89PNG")
