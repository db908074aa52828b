"""What a dehumidifier and a fan by humidity take, use, cost and change in a plan, and as other ways of compare."""

from __future__ import annotations

import json
from dataclasses import replace
from io import StringIO
from itertools import pairwise

import numpy as np
import pytest
from rich.console import Console

from tests.analysis.quick import assess
from tests.docs.markers import README
from thermal.analysis.case import INSTALLED, case_in, hours_of
from thermal.analysis.comparison_results import Comparison, FloorStep, PackageComparison
from thermal.analysis.damp_ways import DEHUMIDIFIER, FAN, _best, damp_ways
from thermal.analysis.design_results import design_results
from thermal.analysis.heat_balance import DEHUMIDIFIER as PATH
from thermal.analysis.heat_balance import room_paths
from thermal.analysis.measure_packages import package_of
from thermal.analysis.unpowered_plan import without_power
from thermal.analysis.winter_columns import SampleDesigns
from thermal.climate.heating_seasons import winters_of
from thermal.climate.sun_and_sky import outdoor_columns
from thermal.errors import PlanError
from thermal.plan.damp_devices import Dehumidifier
from thermal.plan.reader import plan_of, with_settings
from thermal.report.drying_text import damp_way_sentences
from thermal.report.json_csv import assessment_json, compare_json
from thermal.report.plan_summary import print_plan
from thermal.report.question_text import question_sentences

QUICK = {"climate.winters": [2016], "climate.coldest_night": "none"}
DRYER = {"capacity": "0.5 L/day", "power": "60 W", "kind": "desiccant", "humidity": 0.6}
VENT = {"flow": "60 m3/h", "power": "15 W", "humidity": "70 %"}
WARM = [{"name": "wet car by a heater", "power": "900 W", "vapour": "3 kg/day"}]
WEEKS = slice("2016-12-10", "2016-12-31")


@pytest.fixture(scope="module")
def weeks(case_with):
    """The workshop with some settings, over Christmas."""

    def case(settings=None):
        whole = case_with({**QUICK, **(settings or {})})
        climate = replace(whole.climate, hours=whole.climate.hours.loc[WEEKS])
        return case_in(whole.plan, climate, winters_of(climate, (), outdoor_columns(climate)))

    return case


@pytest.fixture(scope="module")
def dried(weeks):
    """An assessment of the workshop with both devices, in a room too warm for frost."""
    return assess(weeks({"dehumidifier": DRYER, "fan": VENT, "gain": WARM}))


def test_a_small_one_runs_at_its_capacity(dried):
    """A desiccant of 0.5 L/day at 60 %, its rating point: 0.5 L in the dampest day, 60 W in an hour's run."""
    drying = dried.drying.drying
    assert drying.most_l_per_day == pytest.approx(0.5, rel=1e-4)
    assert drying.litres == pytest.approx(0.5 * drying.dehumidifier_hours / 24.0, rel=0.02)
    kwh = (60.0 * drying.dehumidifier_hours + 15.0 * drying.fan_hours) / 1000.0
    assert drying.kwh == pytest.approx(kwh, rel=1e-6)
    assert drying.fan_hours > 0.0
    price = dried.case.plan.power.price
    assert not dried.case.plan.power.periods
    assert drying.cost == pytest.approx(drying.kwh * price, rel=1e-6)


def test_its_heat_enters_the_room(dried):
    """Electricity and 2.5 MJ for each kg, hour by hour; the paths add up, or `room_paths` fails."""
    case, winter = dried.case, dried.season.median
    hours = hours_of(case, dried.shown, winter)
    harmonic = case.weather.harmonic
    paths = room_paths(case.plan, case.envelope, case.network, hours, (harmonic.mean_c, harmonic.amplitude_k))
    removed = hours.hourly_output.removed_kg_s[:, hours.column]
    assert removed.max() * 86400.0 == pytest.approx(0.5, rel=3e-3)  # water of 999.5 kg/m3
    frost_free = hours.mean(case.network.nodes.index("air")) > 4.5
    assert frost_free.mean() > 0.7
    by_hand = 60.0 * removed / (0.5 * 0.9995 / 86400.0) + 2.5e6 * removed
    assert -paths[PATH][frost_free] == pytest.approx(by_hand[frost_free], rel=1e-4, abs=1e-3)
    months = sum(month.room_paths_kwh[PATH] for month in dried.season.months)
    assert months == pytest.approx(paths[PATH].sum() / 1000.0, rel=1e-6)


def test_money_counts_the_electricity_once(dried, weeks):
    """In `run` beside the heating, in designs as part of it: heating + devices = the cost of the design."""
    drying, season = dried.drying.drying, dried.season.winter_costs[dried.season.median]
    (design,) = design_results(dried.case, [dried.case.plan])
    assert design.drying.litres == pytest.approx(drying.litres, rel=1e-3)
    assert design.kwh == pytest.approx(season.kwh + drying.kwh, rel=1e-3)
    assert design.cost == pytest.approx(season.cost + drying.cost, rel=1e-3)
    assert sum(kwh for _, kwh, _ in design.months) == pytest.approx(design.kwh, rel=1e-6)
    samples = design_results(dried.case, [dried.case.plan] * 2, SampleDesigns(range(2), np.zeros(1, dtype=int)))
    assert [one.kwh for one in samples] == pytest.approx([season.kwh] * 2, rel=2e-2)  # with the heater needed
    plain = assess(weeks({"gain": WARM})).season
    assert season.other_kwh - plain.winter_costs[plain.median].other_kwh == pytest.approx(drying.kwh, rel=1e-6)
    heating = season.kwh - plain.winter_costs[plain.median].kwh
    assert dried.drying.heating_kwh == pytest.approx(heating, abs=0.02 * season.kwh)
    assert dried.drying.cost == pytest.approx(drying.cost + dried.drying.heating_kwh * dried.case.plan.power.price)


def test_a_heat_pump_does_not_make_the_electricity_of_a_dehumidifier(dried):
    """Weighted as a heat pump's, 1/3 for heat: the device counts whole."""
    third = np.full((2, *dried.case.forcing.outdoor_c.shape), 1.0 / 3.0)
    (design,) = design_results(dried.case, [dried.case.plan], weights=third)
    weighted = np.array(design.weighted[0][0]).sum()
    assert weighted == pytest.approx((design.kwh - design.drying.kwh) / 3.0 + design.drying.kwh, rel=1e-6)


def test_larger_ones_leave_no_more_mould(weeks):
    """Of equal small power: hours of mould do not rise with capacity, but for a few that warmer air brings."""
    case = weeks()
    plans = [
        replace(case.plan, dehumidifier=Dehumidifier(litres / 86400.0, 1.0, 0.45, "desiccant"))
        for litres in (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)
    ]
    base, none, *sizes = design_results(case, [case.plan, *plans])
    assert none.mould_h == base.mould_h
    hours = [none.mould_h, *(result.mould_h for result in sizes)]
    assert all(later <= earlier + 2.0 for earlier, later in pairwise(hours))
    assert hours[-1] < 0.7 * hours[0]
    litres = [result.drying.litres for result in sizes]
    assert litres == sorted(litres)


def test_without_power_or_its_circuit_nothing_dries(dried):
    plan = dried.case.plan
    assert without_power(plan).dehumidifier is None
    assert without_power(plan).fan is None
    assert plan.electric_w == pytest.approx(75.0 + replace(plan, dehumidifier=None, fan=None).electric_w)
    unlit = dried.shown.dryer_j[-1]  # the first circuit lost
    assert (unlit == 0.0).all()
    assert (dried.shown.dryer_j[INSTALLED] > 0.0).all()


def test_words_and_json(dried):
    (sentence,) = [text for text in question_sentences(dried) if "dehumidifier takes" in text]
    effect = dried.drying
    assert f"takes {effect.drying.litres:,.0f} L of water" in sentence
    assert f"Hours of mould risk are {effect.mould_hours:,} in place of {effect.mould_without_hours:,}" in sentence
    assert effect.mould_hours < effect.mould_without_hours
    assert effect.condensation_hours < effect.condensation_without_hours
    found = json.loads(json.dumps(assessment_json(dried)))
    assert found["drying"]["drying"]["most_l_per_day"] == pytest.approx(0.5, rel=1e-4)
    assert found["plan"]["dehumidifier"]["kind"] == "desiccant"


@pytest.fixture(scope="module")
def damp(weeks):
    """A damp plan and its result."""
    case = weeks({"other_way": [{"name": DEHUMIDIFIER, "cost": 333}]})
    return case, design_results(case, [case.plan])[0]


def test_ways_of_a_damp_plan(damp):
    """Both ways, each with its money; where [[other_way]] has a price, that one."""
    case, base = damp
    dryer, fan = damp_ways(case, base)
    assert (dryer.name, fan.name) == (DEHUMIDIFIER, FAN)
    assert dryer.price == 333.0
    for way in (dryer, fan):
        assert way.saves == pytest.approx(base.cost - way.cost)
        assert way.kwh > base.kwh
        assert way.drying.kwh > 0.0
        assert way.drying.cost == pytest.approx(way.drying.kwh * case.plan.power.price, rel=1e-6)
        assert way.condensation_h < base.condensation_h
    assert dryer.drying.litres > 0.0
    assert fan.drying.litres == 0.0
    assert dryer.mould_h < 0.5 * base.mould_h
    assert damp_ways(case, replace(base, mould_h=20.0)) == ()
    bare = PackageComparison((package_of((), 0.0, base, base),), (0,), None, None, None, ())
    floors = tuple(FloorStep(case.plan.keep.floor_c + kelvin, base, ()) for kelvin in (0.0, 1.0))
    compared = Comparison(bare, floors, (dryer, fan), season=replace(case.season, complete=1))
    first, second, why = damp_way_sentences(case.plan, compared)
    assert first.startswith(f"Dehumidifier ({dryer.meaning})")
    assert f"takes {dryer.drying.litres:,.0f} L of water" in first
    assert f"are {dryer.mould_h:,.0f} in place of {base.mould_h:,.0f}" in first
    assert f"runs for {fan.drying.fan_hours:,.0f} h" in second
    assert "50 % and 35 %" in why
    assert "10 °C, and stops at 5 °C" in why
    in_us = " ".join(damp_way_sentences(replace(case.plan, units="us"), compared))
    assert f"takes {dryer.drying.litres / 3.785411784:,.0f} gal of water" in in_us
    assert "50 °F, and stops at 41 °F" in in_us
    assert damp_way_sentences(case.plan, replace(compared, season=replace(case.season, complete=0))) == []
    (line,) = [line for line in README.read_text("utf-8").splitlines() if line.startswith("| 37. ")]
    assert "`overwinter compare`" in line
    rows = json.loads(json.dumps(compare_json(case, compared)))["alternatives"]
    assert rows[0]["drying"]["litres"] == dryer.drying.litres
    unknown = compare_json(case, replace(compared, season=replace(case.season, complete=0)))["alternatives"]
    assert set(unknown[0]["drying"].values()) == {None}


@pytest.mark.parametrize(
    ("mould_and_cost", "best"),
    [
        ([(900.0, 10.0), (90.0, 60.0), (20.0, 55.0), (0.0, 70.0)], 2),  # of those with at most 100 h the cheapest
        ([(900.0, 10.0), (300.0, 60.0), (200.0, 95.0), (200.0, 90.0)], 3),  # or the driest, and of these the cheapest
    ],
)
def test_the_cheapest_that_leaves_few_hours(damp, mould_and_cost, best):
    base = replace(damp[1], mould_h=1000.0)
    assert _best(base, [replace(base, mould_h=mould, cost=cost) for mould, cost in mould_and_cost]) == best


def test_no_ways_where_there_is_nothing_to_dry(weeks, damp):
    hut = {"length": "3 m", "width": "3 m", "height": "2 m"}
    base = damp[1]
    assert damp_ways(weeks({"dehumidifier": DRYER}), base) == ()
    assert [way.name for way in damp_ways(weeks({"hut": hut}), base)] == [DEHUMIDIFIER]


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"dehumidifier": {"capacity": "0 L/day", "power": "200 W"}}, "above 0 L/day, at most 500 L/day"),
        ({"dehumidifier": {"capacity": "9000 L/day", "power": "200 W"}}, "above 0 L/day, at most 500 L/day"),
        ({"dehumidifier": {"capacity": "12 L", "power": "200 W"}}, "an amount of water for each day is needed"),
        ({"dehumidifier": {"capacity": 12, "power": "200 W"}}, '"12 L/day" or "25 pint/day"'),
        ({"dehumidifier": {"capacity": "12 L/day"}}, "power: missing"),
        ({"dehumidifier": {**DRYER, "humidity": 0.1}}, "write a share between 30 % and 95 %"),
        ({"dehumidifier": {**DRYER, "kind": "desicant"}}, "did you mean 'desiccant'?"),
        ({"fan": {"flow": "80 m3/h"}}, "power: missing"),
        ({"fan": {**VENT, "flow": "0 m3/h"}}, "flow"),
        (
            {"fan": VENT, "hut": {"length": "3 m", "width": "3 m", "height": "2 m"}},
            "remove the [fan] table",
        ),
        ({"fan": VENT, "room.temperature": "16 degC"}, "fan: changes nothing in a room of given temperature"),
        ({"dehumidifier": DRYER, "room.temperature": "16 degC"}, "dehumidifier: changes nothing in a room of given"),
    ],
)
def test_wrong_values_are_refused_in_words(workshop, settings, words):
    workshop.pop("measure")
    with pytest.raises(PlanError) as caught:
        plan_of(with_settings(workshop, settings))
    assert words in str(caught.value)


def test_us_pints(workshop):
    """A US pint is 0.473176 L; `check` shows what it made of the plan."""
    plan = plan_of(with_settings(workshop, {"dehumidifier": {**DRYER, "capacity": "25 pint/day"}, "fan": VENT}))
    console = Console(file=StringIO(), width=120)
    print_plan(plan, console)
    shown = console.file.getvalue()
    assert "dehumidifier: desiccant, 11.8 L a day, 60 W, above 60 % relative humidity" in shown
    assert "fan: 60 m³/h of outdoor air, 15 W, above 70 % relative humidity" in shown
    assert plan.dehumidifier.capacity_kg_s * 86400.0 == pytest.approx(25 * 0.473176 * 0.9995, rel=1e-6)
