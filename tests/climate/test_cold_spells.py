"""The winters that heaters are sized in first: the coldest by an hour, a day, a week and a month, and no others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from thermal.analysis import heater_sizing
from thermal.analysis.design_results import design_results
from thermal.climate.cold_spells import (
    COLDEST_WINTERS,
    WINTER_WINDOWS_H,
    coldest_winters,
    spell_rows,
    take_winters,
)
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate


@pytest.fixture(scope="module")
def weather():
    return winters_of(load_climate("lorraine-fr"), tuple(range(1998, 2018)))


def test_a_winter_coldest_by_any_mean_is_chosen(weather):
    """One winter made cold for an hour, another for a month, two others for a day."""
    mild = replace(weather, outdoor_c=np.full_like(weather.outdoor_c, 5.0))
    mild.outdoor_c[2000, 3] = -5.0
    mild.outdoor_c[1000:1720, 7] = 0.0
    mild.outdoor_c[1500:1524, 4:6] = 3.0
    chosen = coldest_winters(mild)
    assert {3, 7} <= set(chosen.tolist())
    assert len(chosen) <= COLDEST_WINTERS * len(WINTER_WINDOWS_H)


def test_some_winters_are_what_they_were_among_all(weather):
    index = np.array([2, 13])
    some = take_winters(weather, index)
    assert [winter.label for winter in some.winters] == ["2000", "2011"]
    for name, values in vars(weather).items():
        if isinstance(values, np.ndarray):
            assert np.array_equal(getattr(some, name), values[..., index]), name
    assert some.forcing.end_h.tolist() == weather.forcing.end_h[index].tolist()


def test_a_wrong_choice_of_winters_costs_time_only(case_with, monkeypatch):
    """Were the mildest winter taken for the coldest, whole winters would still find the heater."""
    climate = {"series": "lorraine-fr", "winters": [2006, 2011], "coldest_night": "none"}
    case = case_with({"climate": climate}, drop=("bed",))
    right = design_results(case, [case.plan])[0]
    monkeypatch.setattr(heater_sizing, "coldest_winters", lambda weather: np.array([0]))
    wrong = design_results(case, [case.plan])[0]
    assert wrong.needed_w == pytest.approx(right.needed_w, abs=2.0)
    assert wrong.coldest_c >= case.plan.keep.floor_c - 1e-6


def test_spells_begin_at_midnight_a_week_before_the_coldest_hour_and_end_after_the_coldest_five_days(weather):
    """By hand: coldest at 5:00 of day 100, so from day 93; coldest five days 40 to 44, so ten days to the end of 45."""
    mild = replace(take_winters(weather, np.array([0, 1, 2])), outdoor_c=np.full((len(weather.outdoor_c), 3), 5.0))
    begin = mild.spin_up_h
    mild.outdoor_c[begin + 100 * 24 + 5, 0] = -20.0
    mild.outdoor_c[begin + 40 * 24 : begin + 45 * 24, 0] = -5.0
    mild.outdoor_c[begin + 2 * 24, 1] = -20.0  # too early for a week before it
    last = mild.winters[2].hours // 24
    mild.outdoor_c[begin + last * 24 - 1, 2] = -20.0  # too late for ten days from a week before it
    rows = (spell_rows(mild) - begin) / 24
    assert rows[:, 0].tolist() == [93.0, 36.0]
    assert rows[0, 1:].tolist() == [0.0, last - 10.0]
