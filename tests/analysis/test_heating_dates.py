"""When heat is needed: hand-made autumns and springs, and the sentence."""

from __future__ import annotations

import pandas as pd
import pytest

from tests.analysis.quick import assess
from thermal.analysis.assessment import Assessment
from thermal.analysis.case import SimulationCase
from thermal.climate.dataset import Header, climate_from
from thermal.climate.heating_seasons import winters_of
from thermal.network.build import build_network, plan_envelope
from thermal.plan.reader import plan_of, with_settings
from thermal.report.heating_dates_text import heating_dates_sentence
from thermal.report.json_csv import assessment_json

LEAKY = {  # little water, which follows outdoors within days
    "keep.floor": "5 degC", "keep.thermostat": "6 degC", "room.lights.power": "0 W", "room.air_changes": 20.0,
    "pump.power": "0 W", "water.tap_temperature": "8 degC", "tank.water_depth": "0.1 m", "tank.stands_on": "frame",
}  # fmt: skip


def cold_between(spells: list[tuple[str, str]]) -> pd.DataFrame:
    """Outdoors 25 degC, but -5 degC in each spell."""
    index = pd.date_range("2018-07-01", "2020-06-30 23:00", freq="h", tz="UTC")
    air = pd.Series(25.0, index=index)
    for first, last in spells:
        air.loc[first:last] = -5.0
    return pd.DataFrame({"air_c": air, "rh_pct": 70.0, "wind_m_s": 2.0})


def answer(workshop, spells: list[tuple[str, str]]) -> Assessment:
    """The demo plan with little water in a leaky room, in hand-made winters."""
    workshop.pop("bed")
    plan = plan_of(with_settings({**workshop, "measure": []}, LEAKY))
    header = Header("made", "nowhere", annual_mean_c=15.0, annual_amplitude_k=0.0)
    climate = climate_from(cold_between(spells), header)
    weather = winters_of(climate)
    network = build_network(plan, weather.pressure_pa, 15.0, 0.0)
    envelope = plan_envelope(plan, weather.pressure_pa)
    return assess(SimulationCase(plan, climate, weather, network, envelope))


def test_dates_follow_the_cold(workshop):
    """Two winters: cold from 1 December to 1 March, and from 10 November to 20 January (more heat in the first)."""
    spells = [("2018-12-01", "2019-03-01"), ("2019-11-10", "2020-01-20")]
    found = answer(workshop, spells)
    dates = found.heating_dates
    typical, earliest = dates.typical, dates.earliest
    assert (typical.winter, earliest.winter) == ("2018", "2019")
    for days, (first, last) in zip((typical, earliest), spells, strict=True):
        assert pd.Timedelta(0) <= pd.Timestamp(days.first) - pd.Timestamp(first) <= pd.Timedelta(days=6)
        assert pd.Timedelta(0) <= pd.Timestamp(days.last) - pd.Timestamp(last) <= pd.Timedelta(days=2)
        assert not days.from_start
        assert not days.to_end
    assert dates.thermostat_c == pytest.approx(6.0)
    content = assessment_json(found)["heating_dates"]
    assert content["typical"]["first"] == typical.first
    assert content["thermostat_c"] == pytest.approx(6.0)
    sentence = heating_dates_sentence(found)
    assert sentence.startswith("Set the thermostat to 6.0 °C. Heat is needed from ")
    assert " December to " in sentence
    assert "In the earliest winter of the weather file (2019) it is needed from " in sentence
    assert sentence.endswith(" November.")


def test_heat_from_the_first_day_may_be_needed_before(workshop):
    found = answer(workshop, [("2018-09-01", "2019-06-01")])
    days = found.heating_dates.typical
    assert (days.first, days.last, days.from_start, days.to_end) == ("2018-10-01", "2019-04-30", True, True)
    assert "from 1 October or earlier to 30 April or later in" in heating_dates_sentence(found)


def test_a_winter_cut_short_has_no_typical_dates(case_with):
    found = assess(case_with({"climate.winters": [2017]}))
    assert found.heating_dates.typical is None
    assert found.heating_dates.earliest.winter == "2017"
    assert found.heating_dates.earliest.last is None  # the file ends in February, while heat is needed
    sentence = heating_dates_sentence(found)
    assert "typical" not in sentence
    assert "earliest winter of the weather file (2017)" in sentence
    begun = assess(case_with({"climate.winters": [2015]}))  # from 22 November on: its autumn is not known
    assert begun.heating_dates.earliest is None
    assert heating_dates_sentence(begun) == ""


def test_no_heat_no_dates(case_with):
    found = assess(case_with({"room.temperature": "20 degC", "climate.winters": [2016]}))
    assert found.heater.needed_w == 0
    assert found.heating_dates.typical is None
    assert heating_dates_sentence(found) == ""


def test_the_rare_cold_spell_does_not_move_the_dates(case_with):
    off, default = (
        assess(case_with({"heater.units": ["1000 W", "1000 W"], **cold})).heating_dates
        for cold in ({"climate.coldest_night": "none"}, {})
    )
    assert off == default
