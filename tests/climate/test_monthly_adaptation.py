"""A weather file adapted to another town's monthly means, held to that town's own hours."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import numpy as np
import pandas as pd
import pytest

from thermal.analysis.case import group_by_topology
from thermal.analysis.heater_sizing import size_heaters
from thermal.analysis.plan_weather import scene_of
from thermal.climate.joined_halves import join_halves
from thermal.climate.library import load_climate, nearest_series
from thermal.climate.monthly_adaptation import adapt_to_town, monthly_means, town_of
from thermal.climate.winter_minima import once_in_20_years
from thermal.errors import ClimateError, OverwinterError
from thermal.plan.reader import plan_of, with_settings

GARAGE = tomllib.loads((files("thermal") / "plan" / "examples" / "garage-metric.toml").read_text("utf-8"))
DAYS = {10: 31, 11: 30, 12: 31, 1: 31, 2: 28, 3: 31, 4: 30}


def degree_hours(climate, below_c: float) -> float:
    """Of a mean winter, October to April, by the hours the file has of each month. [K h]"""
    air = climate.hours["air_c"].dropna()
    deficit = (below_c - air).clip(lower=0.0)
    by_month = deficit.groupby(pd.DatetimeIndex(air.index).month).mean()
    return float(sum(24 * days * by_month[month] for month, days in DAYS.items()))


@pytest.fixture(scope="module")
def springfield():
    return load_climate("springfield-il")


@pytest.mark.parametrize(("name", "below_c"), [("golden-co", 10.0), ("golden-co", 18.0), ("newark-nj", 18.0),
                                               ("sand-point-ak", 18.0)])  # fmt: skip
def test_degree_hours_of_the_other_town_within_3_percent(springfield, name, below_c):
    """Newark's hours below 10 degC come out 6 % too many without its record low: milder winters vary less."""
    town = load_climate(name)
    moved = adapt_to_town(springfield, town_of(monthly_means(town), None))
    np.testing.assert_allclose(monthly_means(moved), monthly_means(town), atol=0.02)
    assert degree_hours(moved, below_c) == pytest.approx(degree_hours(town, below_c), rel=0.03)


@pytest.mark.parametrize("name", ["golden-co", "newark-nj", "sand-point-ak"])
def test_the_record_low_sets_the_cold_of_20_years(springfield, name):
    town = join_halves(load_climate(name))
    low_c = once_in_20_years(town)
    moved = adapt_to_town(springfield, town_of(monthly_means(town), low_c))
    assert once_in_20_years(moved) == pytest.approx(low_c, abs=0.2)
    assert degree_hours(moved, 10.0) == pytest.approx(degree_hours(town, 10.0), rel=0.035)


@pytest.mark.parametrize("name", ["golden-co", "newark-nj"])
def test_the_heater_of_the_other_town_within_10_percent(name):
    """Both sized by the same rule for rare cold; the sun, which an adapted file lacks, is left out."""
    town = join_halves(load_climate(name))
    means = [round(float(mean), 1) for mean in monthly_means(town)]
    own = {"climate.series": name, "climate.sun": False}
    moved = {
        "climate.sun": False, "climate.monthly_mean": means,
        "climate.record_low": f"{once_in_20_years(town):.1f} degC",
        "climate.site_elevation": f"{town.header.elevation_m:.0f} m",
    }  # fmt: skip
    needed_w = []
    for settings in (own, moved):
        case = scene_of(plan_of(with_settings({**GARAGE, "measure": []}, settings)))
        needed_w.append(float(size_heaters(group_by_topology([case.plan], case.weather)[0], case.design).needed_w[0]))
    print(name, needed_w)
    assert needed_w[1] == pytest.approx(needed_w[0], rel=0.10)


def test_hours_keep_their_life_and_the_header_says_what_was_done(springfield):
    means = monthly_means(springfield) + 2.0
    moved = adapt_to_town(springfield, town_of(means, None, 500.0))
    np.testing.assert_allclose(moved.hours["air_c"] - springfield.hours["air_c"], 2.0, atol=1e-6)
    assert "shifted by month" in moved.header.processing
    assert moved.header.elevation_m == 500.0
    assert moved.header.source.startswith("adapted from Springfield")


def test_no_step_appears_between_two_months(springfield):
    means = monthly_means(springfield) + np.where(np.arange(12) % 2, 3.0, -3.0)
    moved = adapt_to_town(springfield, town_of(means, None))
    shift = (moved.hours["air_c"] - springfield.hours["air_c"]).dropna()
    assert shift.diff().abs().max() < 0.4  # the year's end, a leap day apart


@pytest.mark.parametrize(
    ("means", "record_low_c", "words"),
    [
        ([1.0] * 11, None, "write 12"),
        ([23, 22, 19, 15, 11, 8, 7, 9, 12, 15, 18, 21], None, "coldest month is July"),
        ([-3, -1, 4, 10, 15, 20, 22, 21, 17, 11, 5, -1], -1.0, "not below the coldest month"),
        ([-3, -1, 4, 10, 15, 20, 22, 21, 17, 11, 5, -1], -55.0, "does not fit"),
    ],
)
def test_figures_that_do_not_fit_are_refused(springfield, means, record_low_c, words):
    with pytest.raises(ClimateError, match=words):
        adapt_to_town(springfield, town_of(means, record_low_c))


def test_a_plan_names_both(springfield):
    with pytest.raises(OverwinterError, match="goes with monthly_mean"):
        plan_of(with_settings(GARAGE, {"climate.record_low": "-20 degC"}))
    with pytest.raises(OverwinterError, match="12"):
        plan_of(with_settings(GARAGE, {"climate.monthly_mean": [1.0, 2.0]}))


def test_the_nearest_file_by_the_great_circle():
    """St Louis, Missouri (38.63 N, 90.20 W) lies some 140 km south of Springfield airport (from memory)."""
    name, far_km = nearest_series(38.63, -90.20)
    assert name == "springfield-il"
    assert far_km == pytest.approx(140.0, rel=0.05)
