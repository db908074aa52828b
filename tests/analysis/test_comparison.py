"""Packages, floors, other ways and single parts: against plans simulated one by one."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from thermal.analysis import heater_sizing, minimum_temperature_sweep, required_insulation
from thermal.analysis.alternatives import alternative_plans, alternative_settings, heat_pump, heat_pump_weights
from thermal.analysis.case import group_by_topology
from thermal.analysis.comparison_results import Comparison, FloorStep
from thermal.analysis.design_results import design_results
from thermal.analysis.design_study import (
    collect_study,
    comparison_of,
    design_study,
    study_results,
    submit_study,
    uncertainty_of,
)
from thermal.analysis.drying_results import Drying
from thermal.analysis.heater_choice import refuse_where_no_heater_is_enough
from thermal.analysis.measure_packages import compare_packages, package_plans
from thermal.analysis.plan_weather import scene_of
from thermal.climate import cold_spells
from thermal.core.parallel import MIN_BLOCK_COLUMNS
from thermal.errors import SizingError
from thermal.network.model import Control
from thermal.plan.model import Measure
from thermal.plan.reader import plan_of, variant
from thermal.report.comparison_text import advice, alts, floors_table
from thermal.report.render_charts import comparison_charts
from thermal.solver.results import OutputRequest
from thermal.solver.simulate import simulate


def test_packages_agree_with_their_plans_one_by_one(workshop):
    """The batch, its spells and blocks against each plan's own whole-winter simulation, found by bisection."""
    workshop["measure"] = workshop["measure"][1:3]
    workshop["heater"]["units"] = ["550 W", "550 W"]
    case = scene_of(plan_of(workshop))
    found = compare_packages(case.plan, design_results(case, package_plans(case.plan)))
    assert [one.measures for one in found.packages[:2]] == [(), ("snug foam lid on the tank",)]
    assert len(found.packages) == 4
    for one, settings in (
        (found.packages[0], {}),
        (found.packages[3], {**case.plan.measures[0].set, **case.plan.measures[1].set}),
    ):
        alone = scene_of(variant(case.plan, settings))
        low, high = 0.0, 3000.0
        while high - low > 1.0:
            middle = 0.5 * (low + high)
            cases = (alone, alone.in_rare_cold)
            coldest_c = min(each.simulate(each.heaters(np.array([middle]))).coldest_c.min() for each in cases)
            holds = coldest_c >= alone.plan.keep.floor_c
            low, high = (low, middle) if holds else (middle, high)
        assert one.result.needed_w == pytest.approx(high, abs=2.0)
        run = alone.simulate(alone.heaters(np.array([sum(one.result.installed_w)])))
        median = int(np.argmax([winter.complete for winter in alone.weather.winters]))
        assert one.result.kwh == pytest.approx(run.heater_j[0, median] / 3.6e6, rel=5e-4)  # its winters were in pieces
        assert one.result.cost == pytest.approx(one.result.kwh * 0.16, rel=1e-9)
    assert found.packages[0].result.owned_holds is False
    assert found.packages[3].result.owned_holds is True
    assert found.with_owned is not None


@pytest.fixture(scope="module")
def base(case_with):
    case = case_with({"climate.winters": [2016]})
    return case, design_results(case, [case.plan], weights=heat_pump_weights(case))[0]


def test_a_bigger_heater_at_the_same_floor_takes_as_much(base):
    """DESIGN section 5: a thermostat meets the same losses; only the hours a small one falls behind differ."""
    case, one = base
    run = case.simulate(case.heaters(np.array([one.needed_w * 1.2, one.needed_w * 3.0])))
    assert run.heater_j[1, 0] == pytest.approx(run.heater_j[0, 0], rel=0.005)


def test_warmer_floors_ask_for_more(base):
    case, _ = base
    steps = minimum_temperature_sweep.floor_steps(
        case.plan, design_results(case, minimum_temperature_sweep.floor_plans(case.plan))
    )
    needed, cost = ([getattr(step.result, name) for step in steps] for name in ("needed_w", "cost"))
    assert needed == sorted(needed)
    assert cost == sorted(cost)
    by_floor = {step.floor_c: step.result.cost for step in steps}
    assert minimum_temperature_sweep.next_kelvin(steps, 10.0) == by_floor[11.0] - by_floor[10.0] > 0
    assert "yellow perch" in next(step.species for step in steps if step.floor_c == 10.0)


def test_the_resistance_found_holds_and_a_little_less_does_not(case_with):
    case = case_with({"climate.winters": [2016], "heater.units": ["480 W", "420 W"]})
    found = required_insulation.needed_resistances(case)
    assert found.watts == 900.0
    enough = {one.part: one.r_m2k_per_w for one in found.parts}
    assert any(r for r in enough.values())
    for part, r in enough.items():
        change = required_insulation.parts_of(case.plan)[part]
        tried = (
            [required_insulation.MOST_R]
            if r is None
            else [r]
            if r == 0
            else [r, r - 2 * required_insulation.TOLERANCE_R]
        )
        for each, holds in zip(tried, (r is not None, False), strict=False):
            alone = scene_of(change(case.plan, each))
            weathers = (alone, alone.in_rare_cold)
            coldest = min(one.simulate(one.heaters(np.array([900.0]))).coldest_c.min() for one in weathers)
            assert (coldest >= 10.0 - 1e-6) == holds, (part, each)


def test_whole_winters_have_the_last_word_on_resistance_too(case_with, monkeypatch):
    """Were the only cold spell in October, the first look would find far too little."""
    case = case_with({"climate.winters": [2016], "heater.units": ["300 W", "300 W"]})
    right = required_insulation.needed_resistances(case)
    mild = np.full((2, 1), case.weather.spin_up_h)
    monkeypatch.setattr(cold_spells, "spell_rows", lambda weather: mild)
    found = required_insulation.needed_resistances(case)
    for one, other in zip(found.parts, right.parts, strict=True):
        assert one.r_m2k_per_w == pytest.approx(other.r_m2k_per_w, abs=2 * required_insulation.TOLERANCE_R)


@pytest.mark.parametrize(("where", "within"), [("water", 2.0), ("room", 80.0)])
def test_whole_winters_have_the_last_word(case_with, monkeypatch, where, within):
    """Were the cold spells looked for in October, sizing would end there too; the answer must be the same.

    A room's thermostat is found to 0.05 K only, which here is worth some 2 % of its heat.
    """
    case = case_with({"climate.winters": [2016], "heater.where": where})
    right = design_results(case, [case.plan])[0]
    mild = np.full((2, 1), case.weather.spin_up_h)
    monkeypatch.setattr(cold_spells, "spell_rows", lambda weather: mild)
    found = design_results(case, [case.plan])[0]
    assert found.needed_w == pytest.approx(right.needed_w, abs=within)
    assert found.coldest_c >= case.plan.keep.floor_c - 1e-6


def test_a_rooms_thermostat_is_the_coolest_and_comes_with_its_own_march(case_with):
    """Each of two rooms simulated anew at the thermostat found: the same result, and 0.05 K less is too cool."""
    case = case_with({"climate.winters": [2016], "heater.where": "room"})
    (batch,) = group_by_topology([case.plan, variant(case.plan, {"tank.top": "snug foam lid"})], case.weather)
    request = OutputRequest(snapshot_h=np.array([[case.weather.spin_up_h + 24]]))
    setpoint, holds, run = heater_sizing._simulate_with_unlimited_heat(batch, case.forcing, request)
    assert holds.all()
    assert setpoint[0, 0] != setpoint[0, 1]
    at = np.concatenate([setpoint, setpoint - 1.01 * heater_sizing.TOLERANCE_K], axis=1)
    control = Control(at, np.full(4, heater_sizing.UNLIMITED_W), np.zeros(4))
    anew = simulate(batch.network.take(np.tile([0, 1], 2)), case.forcing, control, 10.0, request=request)
    for name in ("coldest_c", "peak_w", "snapshot_c", "closure"):
        np.testing.assert_allclose(
            getattr(run, name), getattr(anew, name)[..., :2, :], rtol=1e-6, atol=1e-6, err_msg=name
        )
    assert (anew.coldest_c[:2] >= 10.0).all()
    assert (anew.coldest_c[2:] < 10.0).all()


def test_a_study_numbers_every_design_once(case_with):
    """Packages, minimum temperatures, alternatives and samples follow one another; 0 is the plan as written."""
    case = case_with({"climate.winters": [2016]})
    study = design_study(case, comparison=True, others=True, samples=20, seed=3)
    kinds = (study.packages, study.minimum_temperatures, study.alternatives, study.samples)
    assert [number for kind in kinds for number in kind] == list(range(study.samples.stop))
    plans = study.plans(range(study.samples.stop))
    assert len(plans) == study.samples.stop
    some = [0, study.minimum_temperatures[4], study.alternatives[1], study.samples[0], study.samples[7]]
    assert study.plans(some) == [plans[number] for number in some]
    assert plans[0] == plans[study.samples[0]] == case.plan


def test_shares_side_by_side_find_what_one_finds(case_with):
    """A study cut in shares and simulated by two threads gives what one process gives, and is shown as it comes."""
    case, seen = case_with({"climate.winters": [2016]}), []
    study = design_study(case, comparison=True, others=True, samples=2 * MIN_BLOCK_COLUMNS)

    def progress(shares, count):
        seen.append(count)
        return shares

    with ThreadPoolExecutor(2) as pool:
        results = collect_study(study, submit_study(study, pool, 2), progress)
    assert seen == [2]
    whole = study_results(study)
    assert [one.needed_w for one in results] == pytest.approx(
        [one.needed_w for one in whole], abs=2 * heater_sizing.TOLERANCE_W
    )
    assert [one.kwh for one in results] == pytest.approx([one.kwh for one in whole], rel=1e-4)  # by the watt above
    comparison = comparison_of(study, results, budget=100.0)
    assert len(comparison.alternatives) == len(alternative_settings(case.plan)) + 1  # the heat pump
    assert uncertainty_of(study, results).samples == 2 * MIN_BLOCK_COLUMNS


def test_a_heat_pump_takes_each_hours_heat_over_its_cop(base):
    """A group-by of hourly heat over the COP read off tables/heat_pump.toml with pandas and numpy."""
    case, one = base
    found = heat_pump(case, one)
    run = case.simulate(case.heaters(np.array([sum(one.installed_w)])), hourly_output=True)
    winter = case.weather.winters[0]
    outdoor = case.weather.outdoor_c[case.weather.spin_up_h :, 0][: winter.hours]
    curve = ([-20, -15, -7, 2, 7, 12], [1.6, 2.0, 2.6, 3.2, 4.2, 4.8])
    cop = pd.Series(outdoor).map(lambda c: 1.0 if c < -20 else float(np.interp(c, *curve)))
    kwh = (pd.Series(run.hourly_output.heater_w[: winter.hours, 0]) / 1000.0 / cop).sum()
    assert found.kwh == pytest.approx(kwh, rel=5e-4)
    assert found.cost == pytest.approx(0.16 * kwh, rel=5e-4)
    assert 1.6 < one.kwh / found.kwh < 4.8


def test_other_ways_are_the_plan_with_one_setting_changed(base):
    case, _ = base
    named = {name: settings for name, _, settings in alternative_settings(case.plan)}
    assert {"heat the room", "lid at night only", "pump off at night"} <= set(named)
    wanted = [place for place, (name, *_) in enumerate(alternative_settings(case.plan)) if name == "lid at night only"]
    plans = [alternative_plans(case.plan)[place] for place in wanted]
    lid = design_results(case, [case.plan, *plans])[1]
    assert plans[0] == variant(case.plan, named["lid at night only"])
    alone = scene_of(plans[0])
    run = alone.simulate(alone.heaters(np.array([sum(lid.installed_w)])))
    assert lid.kwh == pytest.approx(run.heater_j[0, 0] / 3.6e6, rel=5e-4)


def test_a_plan_with_a_hut_is_also_tried_without(case_with):
    hut = {"length": "3 m", "width": "3 m", "height": "2 m"}
    plan = case_with({"hut": hut, "heater.where": "room"}).plan
    names = [name for name, _, _ in alternative_settings(plan)]
    assert "without the hut" in names
    assert "heat the water" in names
    assert alternative_plans(plan)[names.index("without the hut")].hut is None


def test_where_nothing_holds_the_page_still_says_so(base):
    """Found reading the change: pictures' texts took the first of an empty list."""
    case, one = base
    none = replace(one, needed_w=None)
    comparison = Comparison(compare_packages(replace(case.plan, measures=()), [none]), ())
    assert "no heater" in alts(case.plan, comparison)["packages"]
    assert comparison.package_comparison.pareto_front == ()
    assert comparison_charts(case.plan, comparison)["packages"].startswith(b"\x89PNG")


def test_where_a_device_dries_the_air_the_money_is_said_to_be_for_both(base):
    """Packages pay for a dehumidifier's electricity too; the sentence spoke of heating alone."""
    case, one = base
    plan = replace(case.plan, measures=(Measure("lid", 35.0, {}),))
    dried = replace(one, cost=one.cost + 50.0, drying=Drying(100.0, 1.0, 300.0, 0.0, 60.0, 10.0))
    packages = [replace(dried, cost=dried.cost + 30.0), dried]
    assert "It cuts heating and drying of the air from" in advice(
        plan, Comparison(compare_packages(plan, packages), ())
    )
    heated = [replace(package, drying=None) for package in packages]
    assert "It cuts heating from" in advice(plan, Comparison(compare_packages(plan, heated), ()))


def test_where_the_plan_does_not_hold_no_measure_is_said_to_save(base):
    """A heater on a short timer: unknown costs were taken for 0, so "none of the measures saves heat"."""
    case, one = base
    plan = replace(case.plan, measures=(Measure("lid", 35.0, {}), Measure("foam", 70.0, {})))
    none, dear = replace(one, needed_w=None, kwh=0.0, cost=0.0), replace(one, cost=one.cost + 1.0)
    only_both = Comparison(compare_packages(plan, [none, none, none, dear]), ())
    assert only_both.package_comparison.ranking == ()
    both = " + ".join(measure.name for measure in plan.measures)
    assert f"The cheapest package with which one does: {both} (" in advice(plan, only_both)
    never = Comparison(compare_packages(plan, [none] * 4), (FloorStep(4.0, one, ()), FloorStep(10.0, none, ())))
    assert "No package of measures changes that." in advice(plan, never)
    warmer = floors_table(plan, never).cells[-1]
    assert warmer[2:5] == ("none is enough", "—", "—")
    spoilt = compare_packages(plan, [dear, none, one, none])
    assert [step.measure for step in spoilt.ranking] == [plan.measures[1].name]
    with pytest.raises(SizingError):
        refuse_where_no_heater_is_enough(plan, [none, none])
    refuse_where_no_heater_is_enough(plan, [none, one])
