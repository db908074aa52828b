"""Vapour that a car with snow, a burner, people and plants give to the room, and the heat the air gives for it."""

from __future__ import annotations

import numpy as np
import pytest

from thermal.analysis.case import hours_of
from thermal.analysis.circuit_lost import without_pump_and_lights
from thermal.analysis.heat_balance import room_paths
from thermal.analysis.moisture import moisture_hours
from thermal.analysis.plan_words import names_of
from thermal.analysis.unpowered_plan import without_power
from thermal.analysis.winter_totals import other_w
from thermal.data.vapour_sources import vapour_sources
from thermal.errors import PlanError
from thermal.network.vapour_gains import gained_kg_s, vapour_heat_w
from thermal.plan.reader import plan_of

COLD = {"climate.winters": [2016], "climate.coldest_night": "none"}
BURNER = {"name": "heat", "power": "3 kW", "vapour": "unvented propane burner"}
HUT = {"length": "3 m", "width": "3 m", "height": "2 m", "build": "foam hut"}


def faults_of(document):
    with pytest.raises(PlanError) as caught:
        plan_of(document)
    return str(caught.value)


def plan_with(case_with, *gains, **settings):
    return case_with({**COLD, "gain": list(gains), **settings}).plan


def test_water_of_a_burner_is_that_of_its_fuel():
    """C3H8 + 5 O2 = 3 CO2 + 4 H2O: 72.06 g of water from 44.10 g; the heating values differ by the heat of that water.

    Gross 50.35 and net 46.35 MJ/kg (standard tables, from memory): 4.0 MJ is 1.634 kg at 2.45 MJ/kg.
    """
    water = 4 * 18.015 / (3 * 12.011 + 8 * 1.008)
    assert water == pytest.approx(1.634, abs=0.001)
    assert water * 2.45 == pytest.approx(50.35 - 46.35, rel=0.02)
    assert vapour_sources()["unvented propane burner"].kg_per_kwh == pytest.approx(water / (46.35 / 3.6), rel=0.002)


def test_amounts_by_hand(case_with):
    """3 kW is 10.8 MJ/h, 0.233 kg of propane and 0.381 kg of water; 6 kg/day in six hours is 1 kg/h."""
    six = {"name": "wet car", "vapour": "6 kg/day", "hours": "18:00-24:00"}
    burner, wet = (gained_kg_s(plan_with(case_with, gain))[:, 0] * 3600.0 for gain in (BURNER, six))
    assert burner == pytest.approx(np.full(24, 10.8 / 46.35 * 1.634), rel=0.002)
    assert wet == pytest.approx(np.repeat([0.0, 1.0], [18, 6]))


@pytest.mark.parametrize(
    ("gain", "watts"),
    [
        ({"vapour": "car with snow"}, 5.0 * 2.834e6 / 86400.0),  # 334 kJ/kg melts it, 2,500 kJ/kg evaporates it
        ({"vapour": "0.1 kg/h"}, 0.1 * 2.5e6 / 3600.0),
        ({"vapour": "person", "power": "80 W"}, 0.0),
        (BURNER, 0.0),
    ],
)
def test_snow_and_water_take_heat_from_the_air_a_flame_or_a_body_does_not(case_with, gain, watts):
    assert vapour_heat_w(plan_with(case_with, gain)) == pytest.approx(np.full(24, watts))


def test_a_burner_and_a_person_are_no_electric_load(case_with):
    without = plan_with(case_with)
    for gain in (BURNER, {"vapour": "person", "power": "80 W"}):
        plan = plan_with(case_with, gain)
        assert plan.electric_w == without.electric_w
        assert other_w(plan) == pytest.approx(other_w(without))
        assert without_pump_and_lights(plan).loads[-1].power_w > 0.0
    assert "propane burner" in names_of(plan_with(case_with, BURNER))


def test_in_a_power_cut_snow_still_melts_and_no_burner_is_relied_on(case_with):
    snowy, burning = (without_power(plan_with(case_with, gain)) for gain in ({"vapour": "car with snow"}, BURNER))
    assert vapour_heat_w(snowy).all()
    assert not gained_kg_s(burning).any()
    assert not burning.loads[-1].power_w


def test_the_books_balance_and_snow_makes_the_room_damper_and_colder(case_with):
    """Energy: the room's paths add up (`room_paths` raises where not), with 5 kg x 2.834 MJ each day for the snow."""
    damp, kwh = [], []
    for gains in ([], [{"name": "car", "vapour": "car with snow"}]):
        case = case_with({**COLD, "gain": gains})
        run = case.simulate(case.heaters(np.array([2000.0])), hourly_output=True)
        hours = hours_of(case, run, 0, 0)
        paths = room_paths(
            case.plan,
            case.envelope,
            case.network,
            hours,
            (case.weather.harmonic.mean_c, case.weather.harmonic.amplitude_k),
        )
        damp.append(moisture_hours(case, hours).mould_hours)
        kwh.append(hours.hourly_output.heater_w[:, hours.column].sum())
    assert paths["vapour of other gains"].sum() == pytest.approx(len(hours.outdoor_c) / 24.0 * 5.0 * 2.834e6 / 3600.0)
    assert damp[1] > damp[0]
    assert kwh[1] > kwh[0]


def test_of_vapour_in_the_room_a_hut_takes_its_steady_share(case_with):
    """m/(m + M): air that hut and room exchange over that and what room and outdoors exchange."""
    dry, wet = (
        case_with({**COLD, "hut": HUT, "gain": gains}).network.room_air for gains in ([], [{"vapour": "2.4 kg/day"}])
    )
    plan = case_with({**COLD, "hut": HUT, "gain": []}).plan
    m = float(dry.hut_change_kg_s[0])
    room = plan.room.volume_m3 * plan.room.mean_air_changes_per_h / plan.hut.volume_m3 / plan.hut.air_changes_per_h
    added = (wet.vapour_kg_s - dry.vapour_kg_s)[:, 0] * 3600.0
    assert m > 0.0
    assert added == pytest.approx(np.full(24, 0.1 / (1.0 + room)), rel=0.05)


@pytest.mark.parametrize(
    ("gain", "words"),
    [
        ({"name": "x"}, "no power; write for example"),
        ({"vapour": "5 litres"}, "is no amount of vapour; write for example"),
        ({"vapour": "campfire"}, "'unvented propane burner'"),
        ({"vapour": "2000 kg/day"}, "write at most 1,000 kg/day"),
        ({"vapour": "-1 kg/day"}, "is no amount of vapour"),
        ({"vapour": "1 kg/day", "where": "water"}, "vapour goes to the air"),
        ({"vapour": "unvented propane burner"}, "follows its power"),
    ],
)
def test_faults_in_words(workshop, gain, words):
    assert words in faults_of({**workshop, "gain": [gain]})


def test_vapour_in_a_room_of_given_temperature_is_refused(workshop):
    room = {**workshop["room"], "temperature": "12 degC"}
    assert "gain, vapour: changes nothing" in faults_of({**workshop, "room": room, "gain": [{"vapour": "1 kg/day"}]})
