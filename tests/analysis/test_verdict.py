"""The verdict on each inhabitant against hours counted from `thermal.simulate`, and what helps plants too cold."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest

from thermal import api, data
from thermal.analysis.assessment import assess
from thermal.analysis.hut_around import hut_round
from thermal.analysis.plan_weather import scene_of
from thermal.data.species_table import species_row
from thermal.plan.reader import plan_of, variant
from thermal.report import inhabitants_text, sentences
from thermal.report.json_csv import assessment_json

BASIL_LOWEST_C = 5.6  # UMass greenhouse update, 19 March 2021: 42 degF
LIGHT_FROST_C = -2.2  # refs/water.md: light frost of 28 degF harms neither chard, kale, chives nor lettuce


@pytest.fixture(scope="module")
def two_car_plan():
    """The uninsulated two-car garage of FINDINGS A (a): there lettuce "overwintered" at -9.2 degC, 503 h of frost."""
    document = tomllib.loads((files("thermal") / "plan" / "examples" / "garage-us.toml").read_text("utf-8"))
    document["keep"]["species"] = ["goldfish", "lettuce"]
    document["tank"] = [
        {"shape": "rectangular", "length": "48 in", "width": "40 in", "water_depth": "33 in", "name": "tote"}
    ]
    document["bed"][0] |= {"length": "8 ft", "width": "4 ft", "water_depth": "12 in"}
    sides = (
        ("outside walls", "536 ft2", "bare studs and siding", "outdoors"),
        ("door", "112 ft2", "steel door, bare", "outdoors"),
        ("wall to the house", "216 ft2", "house wall", "house"),
        ("ceiling", "576 ft2", "drywall ceiling, no fill", "attic"),
    )
    document["room"] |= {
        "length": "24 ft", "width": "24 ft", "height": "9 ft",
        "side": [dict(zip(("name", "area", "build", "faces"), side, strict=True)) for side in sides],
    }  # fmt: skip
    return plan_of(document)


@pytest.fixture(scope="module")
def two_car(two_car_plan):
    return assess(scene_of(two_car_plan))


def test_lettuce_in_a_freezing_garage_does_not_overwinter(two_car_plan, two_car):
    """FINDINGS A 1: -9.2 degC and 503 h of frost in winter 2017 with the presets of then; still hundreds of hours."""
    content = assessment_json(two_car)
    fish, lettuce = content["verdict"]
    air = api.simulate(two_car_plan, sum(two_car.heater.installed_w), 2017)["air_c"]
    assert two_car.coldest.label == "2017"
    assert air.min() < -5.0
    assert (air < 0).sum() > 300
    assert (fish["name"], fish["water_ok"], fish["air_ok"], fish["hours_air"]) == ("goldfish", True, None, None)
    assert (lettuce["name"], lettuce["kind"], lettuce["air_ok"]) == ("lettuce", "plant", False)
    assert lettuce["water_ok"] is True
    assert lettuce["coldest_air_c"] == pytest.approx(air.min(), abs=0.01)
    assert lettuce["frost_hours"] == (air < 0).sum()
    assert lettuce["hours_air"] == (air < LIGHT_FROST_C).sum()
    assert lettuce["air_below_at"] == air.index[air < LIGHT_FROST_C][0].isoformat()
    said = sentences.verdict(two_car)
    assert said.startswith(f"Goldfish yes; lettuce no: the room's air falls to {air.min() * 1.8 + 32:.1f} °F, ")
    assert f"{(air < 0).sum():,} h of frost" in said
    assert not re.search(r"\byes, with|overwinters", said, re.IGNORECASE)


def test_each_remedy_is_what_the_changed_plan_gives(two_car_plan, two_car):
    """A tent round the system written into the plan: the lettuce is warm enough, for the heater and money shown."""
    content = assessment_json(two_car)
    tent = next(item for item in content["remedies"] if item["name"].startswith("bubble-wrap tent"))
    changed = assess(scene_of(variant(two_car_plan, {"hut": hut_round(two_car_plan)})))
    again = assessment_json(changed)
    assert all(row["air_ok"] is not False for row in again["verdict"])
    assert again["remedies"] == []
    assert tent["needed_w"] == pytest.approx(again["heater"]["needed_w"], rel=1e-6)
    winter = next(item for item in again["climate"]["winters"] if item["winter"] == content["season"]["winter"])
    assert (tent["kwh"], tent["cost"]) == pytest.approx((winter["kwh"], winter["cost"]), rel=1e-3)
    assert sentences.verdict(changed).startswith("Yes, with heaters in the water: buy ")
    costs = [item["cost"] for item in content["remedies"]]
    assert costs == sorted(costs)
    assert all(item["coldest_air_c"] >= LIGHT_FROST_C for item in content["remedies"])
    shown = inhabitants_text.remedies_table(two_car)
    assert len(shown.cells) == len(costs) > 1


def test_other_plants_are_those_that_stand_the_air(two_car):
    coldest_c = assessment_json(two_car)["verdict"][1]["coldest_air_c"]
    rows = {item.name: item for item in data.species().values() if item.kind == "plant"}
    standing = {name for name, item in rows.items() if item.lowest_air_c <= coldest_c}
    assert set(assessment_json(two_car)["other_plants"]) == standing - {"lettuce"}
    assert all(name in inhabitants_text.remedies_sentence(two_car) for name in standing)


def test_a_given_room_temperature_is_the_air(case_with):
    """Basil at 4 degC is too cold in every hour; lettuce is not; no way to heat a room of given air is simulated."""
    settings = {"room.temperature": "4 degC", "keep.species": ["basil", "lettuce"], "climate.winters": [2016]}
    assessment = assess(case_with(settings))
    basil, lettuce = assessment_json(assessment)["verdict"]
    hours = assessment.case.weather.winters[0].hours
    assert basil["coldest_air_c"] == lettuce["coldest_air_c"] == 4.0 < BASIL_LOWEST_C
    assert (basil["air_ok"], basil["hours_air"]) == (False, hours)
    assert (lettuce["air_ok"], lettuce["hours_air"]) == (True, 0)
    assert assessment.verdict.remedies == ()
    assert "basil no: the room's air falls to 4.0 °C and is below 5.6 °C" in sentences.verdict(assessment)


def test_the_air_is_that_of_the_hut(case_with):
    hut = {"length": "3 m", "width": "3 m", "height": "1.9 m", "build": "bubble-wrap tent"}
    case = case_with({"hut": hut, "climate.winters": [2016]})
    assessment = assess(case, remedies=False)
    (row,) = assessment_json(assessment)["verdict"]
    hours = api.simulate(case.plan, sum(assessment.heater.installed_w), 2016)
    assert row["coldest_air_c"] == pytest.approx(hours["hut_c"].min(), abs=0.01)
    assert hours["hut_c"].min() > hours["air_c"].min() + 1.0


def test_beds_without_named_plants_are_judged_at_freezing(case_with):
    case = case_with({"climate.winters": [2016], "keep.species": ["yellow perch"]})
    assessment = assess(case, remedies=False)
    perch, plants = assessment_json(assessment)["verdict"]
    air = api.simulate(case.plan, sum(assessment.heater.installed_w), 2016)["air_c"]
    assert (perch["name"], perch["air_ok"], perch["hours_air"]) == ("yellow perch", None, None)
    assert (plants["name"], plants["kind"]) == ("plants (not named)", "plant")
    assert plants["hours_air"] == (air < 0).sum() > 0
    assert plants["air_ok"] is False


def test_fish_alone_have_no_plants(case_with):
    case = case_with({"climate.winters": [2016], "keep.species": ["yellow perch"]}, drop=("bed", "pump"))
    assert [row["name"] for row in assessment_json(assess(case, remedies=False))["verdict"]] == ["yellow perch"]


def test_water_is_judged_at_the_lowest_of_a_season(case_with):
    """Tilapia at a minimum of 10 degC: FAO 589 gives 14 to 36 degC as its vital range."""
    case = case_with({"climate.winters": [2016], "keep.species": ["tilapia", "common carp", "kale"]})
    assessment = assess(case, remedies=False)
    tilapia, carp, _ = assessment_json(assessment)["verdict"]
    water = api.simulate(case.plan, sum(assessment.heater.installed_w), 2016)["tank_c"]
    assert (tilapia["water_ok"], carp["water_ok"]) == (False, True)
    assert tilapia["hours_water"] == (water < 14.0).sum() > 1000
    assert sentences.verdict(assessment).startswith("Common carp, kale yes; tilapia no: the water falls to")


def test_a_plant_has_a_lowest_air_and_an_animal_has_none():
    row = {"kind": "plant", "low": 0, "lowest_water": 1, "working": 5, "good": [13, 20], "high": 28, "source": "memory"}
    row |= {"lowest_water_source": "memory"}
    with pytest.raises(ValueError, match="lowest_air"):
        species_row("cress", row)
    with pytest.raises(ValueError, match="lowest_air"):
        species_row("eel", {**row, "kind": "fish", "lowest_air": 0})
    with pytest.raises(ValueError, match="do not rise"):
        species_row("cress", {**row, "lowest_water": 6, "lowest_air": 0})
    for species in data.species().values():
        assert data.citation(species.lowest_water_source)
        assert species.lowest_air_c is None or data.citation(species.lowest_air_source)
