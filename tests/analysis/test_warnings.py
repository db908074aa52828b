"""Each warning has a plan that triggers it and one that does not."""

from __future__ import annotations

import re

import pytest

from tests.analysis.quick import assess
from tests.report.test_language import faults
from thermal.analysis.plan_weather import scene_of
from thermal.plan.reader import plan_of, with_settings
from thermal.report.sentences import verdict

WINTER = {"climate.winters": [2016]}
AS_RECORDED = {"climate.coldest_night": "none"}
CALM = {
    "tank.insulation": "XPS 50 mm", "tank.top": "snug foam lid", "tank.stands_on": "XPS 50 mm on slab",
    "bed.top": "snug foam lid", "bed.insulation": "XPS 25 mm", "room.side.door.build": "steel door, foam-filled",
}  # fmt: skip
WARM_ROOM = {"room.temperature": "8 degC", **CALM}
FAN = [{"name": "de-icer and kerosene stove", "power": "50 W"}]

# code: (settings that trigger it, settings that do not)
PLANS = {
    "older-plan": ({**WINTER, "written_for": "0.3.0"}, WINTER),
    "joined-winter": ({"climate.series": "newark-nj"}, WINTER),
    "incomplete-winter": ({"climate.winters": [2017]}, WINTER),
    "typical-year": ({"climate.series": "golden-co"}, WINTER),
    "assumed-weather": (WINTER, {"climate.series": "golden-co"}),
    "open-envelope": ({**WINTER, "room.side.ceiling.area": "1 m2"}, WINTER),
    "heater-too-small": ({**WINTER, "heater.units": ["100 W"]}, WINTER),
    "high-duty": ({**WINTER, **AS_RECORDED, "heater.units": ["500 W", "500 W"]}, WINTER),
    "one-failed": (WINTER, {**WINTER, "heater.units": ["1500 W", "1500 W"]}),
    "stuck-on": ({**WINTER, "heater.units": ["1500 W", "1500 W"]}, {**WINTER, **CALM}),
    "circuit": ({**WINTER, "heater.units": ["1500 W"]}, {**WINTER, **CALM}),
    "mould": (WINTER, {**WINTER, "room.temperature": "8 degC"}),
    "lethal-unheated": (
        {**WINTER, "keep.species": ["tilapia"]},
        {**WINTER, "room.temperature": "14 degC", "keep.species": ["goldfish"]},
    ),
    "floor-below-species": ({**WINTER, "keep.species": ["tilapia"]}, {**WINTER, "keep.species": ["goldfish"]}),
    "too-warm": ({**WINTER, "room.lights.power": "6 kW"}, WINTER),
    "bigger-heater": ({**WINTER, "heater.units": ["1500 W", "1500 W"]}, {**WINTER, "heater.units": ["600 W", "500 W"]}),
    "watts-per-volume": (WINTER, {**WINTER, **WARM_ROOM}),
    "open-top": ({**WINTER, "tank.insulation": "XPS 50 mm"}, {**WINTER, **CALM}),
    "level-loss": ({**WINTER, "water.top_off_per_day": "60 L"}, {**WINTER, "water.top_off_per_day": "2 L"}),
    "door-label": ({**WINTER, "room.side.door.build": "R-13"}, WINTER),
    "door-alone": (
        {**WINTER, "measure": [{"name": "door", "cost": 1, "set": {"room.side.door.build": "R-5"}}]},
        WINTER,
    ),
    "same-efficiency": ({**WINTER, "heater.where": "room"}, WINTER),
    "heat-pump": ({**WINTER, "gain": [{"name": "heat pump", "power": "500 W"}]}, WINTER),
    "pump-off": ({**WINTER, "pump.hours": "06:00-22:00"}, WINTER),
    "bare-bottom": (WINTER, {**WINTER, **CALM}),
    "insulated-bottom": ({**WINTER, **CALM, "keep.floor": "0.5 degC", "room.temperature": "6 degC"}, WINTER),
    "wide-surface": (WINTER, {**WINTER, **CALM}),
    "unvented": ({**WINTER, "gain": FAN}, WINTER),
    "deicer": ({**WINTER, "gain": FAN}, WINTER),
    "air-is-not-water": (WINTER, {"climate.series": "sand-point-ak"}),
    "odd-air-change": ({**WINTER, "room.air_changes": 8}, WINTER),
    "catalogue-foam": ({**WINTER, "tank.insulation": "R-10"}, {**WINTER, **CALM}),
    "one-circuit": (WINTER, {**WINTER, "power": {"price": 0.2}}),
    "fast-change": (WINTER, {**WINTER, **WARM_ROOM}),
}  # fmt: skip


@pytest.fixture(scope="module")
def codes(workshop_text):
    """Texts of the warnings of the demo plan with settings by their codes, each choice answered once."""
    import tomllib

    known: dict[str, dict[str, str]] = {}

    def of(settings):
        key = repr(settings)
        if key not in known:
            document = {**tomllib.loads(workshop_text), "measure": []}
            if "climate.series" in settings:
                document["climate"] = {"series": settings["climate.series"]}
            assessment = assess(scene_of(plan_of(with_settings(document, settings))))
            known[key] = {warning.code: warning.text for warning in assessment.warnings}
        return known[key]

    return of


@pytest.mark.parametrize("code", PLANS)
def test_each_warning_comes_and_stays_away(codes, code):
    with_it, without = PLANS[code]
    assert code in codes(with_it)
    assert code not in codes(without)
    text = codes(with_it)[code]
    assert (text[0].isupper(), text[-1]) == (True, "."), text
    assert faults(text) == []


@pytest.mark.parametrize(
    "settings",
    [
        {"heater.units": ["100 W"], "keep.species": ["tilapia"], "room.side.ceiling.area": "1 m2"},
        {"heater.units": ["1500 W", "1500 W"], "water.top_off_per_day": "60 L", "gain": FAN},
        {"room.lights.power": "6 kW"},
        {},
    ],
)
def test_warnings_speak_the_plans_units(case_with, settings):
    """Found by hand: they stayed in degrees Celsius whatever the plan showed."""
    assessment = assess(case_with({**WINTER, **settings, "show": {"units": "us"}}))
    words = " ".join(one.text for one in assessment.warnings)
    assert not re.search(r"°C|\d K\b|m²|\d kg\b", words), words
    assert "°F" in words


def test_too_warm_water_is_no_success(case_with):
    assessment = assess(case_with({**WINTER, "room.lights.power": "6 kW"}))
    assert assessment.holds_unheated
    assert verdict(assessment).startswith("No heater is needed, but the water gets too warm")
    assert "too warm" not in verdict(assess(case_with(WINTER)))


def test_padding_of_short_winters_counts_for_nothing(case_with):
    """A winter cut short is padded with its last cold hour in the simulation; warnings must not read that."""
    from thermal.analysis.advice import AdviceInput
    from thermal.analysis.case import UNHEATED

    case = case_with()
    assessment = assess(case)
    hours = AdviceInput(case, assessment.heater, assessment.season, assessment.shown).winters(UNHEATED)
    assert [len(one.outdoor_c) for one in hours] == [winter.hours for winter in case.weather.winters]
    assert [len(one.hourly_output.water_c) for one in hours] == [winter.hours for winter in case.weather.winters]


def test_harms_are_warnings_and_stand_first(case_with):
    """Carbon monoxide, water that changes too fast, one circuit for all: not among the common misconceptions."""
    case = case_with(
        {"climate.winters": [2016], "gain": [{"name": "propane heater", "power": "100 W", "where": "room"}]}
    )
    warnings = assess(case).warnings
    assert [warning.code for warning in warnings[:3]] == ["unvented", "fast-change", "one-circuit"]
    beliefs = [warning.belief for warning in warnings]
    assert beliefs == sorted(beliefs)
    assert not any(beliefs[:3])
