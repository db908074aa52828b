"""Where a hut takes its air from, as other ways of compare, and what `run` says of it."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from tests.analysis.quick import assess
from tests.docs.markers import README
from thermal.analysis.case import case_in
from thermal.analysis.comparison_results import Comparison, FloorStep, PackageComparison
from thermal.analysis.design_results import design_results
from thermal.analysis.heat_balance import HUT_AIR_FROM_HOUSE
from thermal.analysis.hut_air_ways import HUT_AIR, hut_air_ways
from thermal.analysis.measure_packages import package_of
from thermal.climate.heating_seasons import winters_of
from thermal.climate.sun_and_sky import outdoor_columns
from thermal.report.hut_air_text import hut_air_sentences
from thermal.report.json_csv import assessment_json, compare_json
from thermal.report.question_text import question_sentences

HUT = {"length": "4 m", "width": "3 m", "height": "2 m", "build": "foam hut", "air_changes": 3.0}
HOUSE = {"room.house_temperature": "20 degC"}


@pytest.fixture(scope="module")
def fortnight(case_with):
    def case(hut, settings):
        whole = case_with({"climate.winters": [2016], "climate.coldest_night": "none", "hut": hut, **settings})
        climate = replace(whole.climate, hours=whole.climate.hours.loc["2016-12-18":"2017-01-01"])
        return case_in(whole.plan, climate, winters_of(climate, (), outdoor_columns(climate)))

    return case


def without_house(room):
    return replace(room, sides=tuple(side for side in room.sides if side.faces != "house"))


def compared(case, base, ways):
    bare = PackageComparison((package_of((), 0.0, base, base),), (0,), None, None, None, ())
    floors = tuple(FloorStep(case.plan.keep.floor_c + kelvin, base, ()) for kelvin in (0.0, 1.0))
    return Comparison(bare, floors, ways, season=replace(case.season, complete=1))


@pytest.fixture(scope="module")
def ways(fortnight):
    """The case, the plan with its hut's air from the room, and with it from outdoors and from the house."""
    case = fortnight(HUT, HOUSE)
    base = design_results(case, [case.plan])[0]
    return case, base, hut_air_ways(case, base)


def test_colder_air_takes_more_heat_and_the_house_pays_for_its_own(ways):
    """A foam hut of 24 m3, 3 air changes an hour, outdoors colder than the room, the house warmer."""
    case, base, (outdoors, house) = ways
    assert (outdoors.name, house.name) == (HUT_AIR["outdoors"], HUT_AIR["house"])
    assert house.needed_w < base.needed_w < outdoors.needed_w
    assert house.kwh < base.kwh < outdoors.kwh
    assert outdoors.house_kwh == 0.0
    assert house.house_kwh > base.kwh - house.kwh  # some of it leaves through the hut's skin
    assert house.cost == pytest.approx((house.kwh + house.house_kwh) * case.plan.power.price, rel=1e-6)
    assert all(way.saves == pytest.approx(base.cost - way.cost) for way in (outdoors, house))


def test_compare_says_so(ways):
    case, base, rows = ways
    comparison = compared(case, base, rows)
    (sentence,) = hut_air_sentences(case.plan, comparison)
    assert "Low or high in the room makes no difference here" in sentence
    assert f"{rows[1].house_kwh:,.0f} kWh" in sentence
    found = json.loads(json.dumps(compare_json(case, comparison)))["alternatives"]
    assert [row["house_kwh"] for row in found] == [0.0, rows[1].house_kwh]
    (line,) = [line for line in README.read_text("utf-8").splitlines() if line.startswith("| 46. ")]
    assert "`[hut] air_from`" in line
    (sentence,) = hut_air_sentences(replace(case.plan, source={}, room=without_house(case.plan.room)), comparison)
    assert "write house_temperature in [room]" in sentence


def test_run_says_what_it_changes_and_what_the_house_gives(fortnight, ways):
    _, base, (_, house) = ways
    found = assess(fortnight({**HUT, "air_from": "house"}, HOUSE))
    assert found.hut_air.heater_w == pytest.approx(house.needed_w - base.needed_w, abs=2.0)
    said = " ".join(question_sentences(found))
    assert "The hut's air from the house, in place of the room, changes the heater needed by -" in said
    given = -sum(month.room_paths_kwh[HUT_AIR_FROM_HOUSE] for month in found.season.months)
    assert f"brings {given:,.0f} kWh of the house's heat" in said
    assert given == pytest.approx(house.house_kwh, rel=0.02)
    assert json.loads(json.dumps(assessment_json(found)))["hut_air"]["heater_w"] == found.hut_air.heater_w
