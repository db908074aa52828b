"""Beds without flow: how long there is ice in them, by the lumped law for a room of one temperature."""

from __future__ import annotations

import pytest

from tests.analysis.quick import assess
from thermal.analysis.frozen_beds import frozen_beds
from thermal.report.question_json import question_json
from thermal.report.question_text import question_sentences

STILL = {"climate.winters": [2016], "climate.coldest_night": "none", "pump.flow": "0 L/h"}


@pytest.fixture(scope="module")
def frosty(case_with):
    return assess(case_with({**STILL, "room.temperature": "-5 degC", "heater.where": "water"}))


def test_beds_without_flow_in_frost_have_ice_all_winter(frosty):
    """The spin-up before the winter is long enough for a bed in air of -5 degC to reach the freezing point."""
    found = frosty.frozen_beds
    assert found.hours_frozen == frosty.case.weather.winters[0].hours
    assert found.first == frosty.case.weather.winters[0].times()[0].isoformat()
    (said,) = [text for text in question_sentences(frosty) if text.startswith("Beds without flow:")]
    assert f"there is ice in their water for {found.hours_frozen:,} h of winter 2016" in said
    assert question_json(frosty)["frozen_beds"]["hours_frozen"] == found.hours_frozen


def test_a_warm_room_and_running_water_have_no_such_line(case_with):
    warm = assess(case_with({**STILL, "room.temperature": "5 degC"}))
    assert warm.frozen_beds.first is None
    assert any("no ice forms in their water" in text for text in question_sentences(warm))
    running = case_with({**STILL, "room.temperature": "-5 degC", "pump.flow": "1500 L/h"})
    assert frozen_beds(running, warm.shown) is None


def test_a_heater_in_the_room_has_no_warm_up_and_says_so(case_with):
    from_air = assess(case_with({**STILL, "heater.where": "room"}))
    begins = "Warm-up of newly filled water is worked out for heaters in the water only."
    assert [text.startswith(begins) for text in question_sentences(from_air, about_heaters=True)].count(True) == 1
    assert not any(text.startswith(begins) for text in question_sentences(from_air))
