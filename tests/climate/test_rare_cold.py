"""The cold spell of about once in 20 years, against Gumbel's law of scipy and hand-made winters."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from thermal.climate.dataset import Climate, Header, climate_from
from thermal.climate.design_winter import design_weather, with_deeper_spell
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import load_climate
from thermal.climate.rare_cold import rare_cold
from thermal.climate.winter_minima import frequency_factor, residual_sd, winter_minima
from thermal.physics import moist_air

WARM = -5.0  # least of the hand-made winters, without their cold spells


def winters(lows: list[float], noise: float = 0.0, kind: str = "observed", **header) -> Climate:
    """Whole winters at -5 degC and summers at 15 degC, each winter with two hours of one low in January."""
    index = pd.date_range("1990-07-01", f"{1990 + len(lows)}-06-30 23:00", freq="h", tz="UTC")
    cold = index.month.isin([10, 11, 12, 1, 2, 3, 4])
    air = pd.Series(np.where(cold, WARM, 15.0), index=index)
    air += np.random.default_rng(1).normal(0.0, noise, len(air)) if noise else 0.0
    for year, low in enumerate(lows, start=1991):
        air.loc[f"{year}-01-20 06:00" : f"{year}-01-20 07:00"] = low
    return climate_from(pd.DataFrame({"air_c": air}), Header("made", "nowhere", kind=kind, **header))


def rare(climate: Climate, given_c: float | None = None):
    return rare_cold(climate, winters_of(climate), given_c)


@pytest.mark.parametrize("years", [2.0, 10.0, 20.0, 50.0])
def test_the_factor_is_that_of_gumbels_law(years):
    """A law of the smallest value with mean -15 and sd 3 degC, by scipy: gumbel_l, and mirrored, gumbel_r."""
    scale = 3.0 * math.sqrt(6.0) / math.pi
    law = stats.gumbel_l(loc=-15.0 + np.euler_gamma * scale, scale=scale)
    assert (law.mean(), law.std()) == pytest.approx((-15.0, 3.0))
    assert -15.0 - 3.0 * frequency_factor(years) == pytest.approx(law.ppf(1.0 / years))
    mirrored = stats.gumbel_r(loc=15.0 - np.euler_gamma * scale, scale=scale)
    assert 15.0 + 3.0 * frequency_factor(years) == pytest.approx(mirrored.isf(1.0 / years))


def test_twenty_years_are_about_1_9_standard_deviations():
    assert frequency_factor(20.0) == pytest.approx(1.866, abs=0.0005)


def test_some_winters_give_their_own_mean_and_standard_deviation():
    lows = [-10.0, -14.0, -12.0, -18.0]
    climate = winters(lows)
    assert winter_minima(climate) == pytest.approx(lows)
    by_scipy = stats.gumbel_l.ppf(0.05, *_moments(np.mean(lows), np.std(lows, ddof=1)))
    found = rare(climate)
    assert found.outdoor_c == pytest.approx(by_scipy)
    assert (found.recorded_c, found.winters, found.basis) == (pytest.approx(-18.0), 4, "few winters")


def _moments(mean: float, sd: float) -> tuple[float, float]:
    scale = sd * math.sqrt(6.0) / math.pi
    return mean + np.euler_gamma * scale, scale


def test_ten_winters_of_a_station_speak_for_themselves():
    lows = [-10.0, -14.0, -12.0, -15.0, -11.0, -9.0, -13.0, -16.0, -12.0, -10.0]
    assert rare(winters(lows)) is None
    assert rare(winters(lows[:9])) is not None
    few = winters_of(winters(lows), (1990, 1991))
    assert rare_cold(winters(lows), few).winters == 10  # two chosen winters, sized by all ten


@pytest.mark.parametrize("where", ["source", "processing"])
def test_a_reanalysis_gets_two_kelvin_more_whatever_its_length(where):
    lows = [-10.0, -14.0, -12.0, -15.0, -11.0, -9.0, -13.0, -16.0, -12.0, -10.0]
    found = rare(winters(lows, **{where: "MERRA-2 Reanalysis, grid point"}))
    station = min(np.mean(lows) - 1.8658 * np.std(lows, ddof=1), min(lows))
    assert found.basis == "reanalysis"
    assert found.outdoor_c == pytest.approx(station - 2.0, abs=0.001)


def test_constant_weather_is_not_made_colder():
    index = pd.date_range("2020-09-01", periods=270 * 24, freq="h", tz="UTC")
    still = climate_from(pd.DataFrame({"air_c": -3.0}, index=index), Header("still", "nowhere"))
    assert residual_sd(still) == pytest.approx(0.0, abs=1e-9)
    assert rare(still) is None


def test_weather_that_repeats_itself_is_not_made_colder():
    index = pd.date_range("2019-07-01", periods=8760, freq="h", tz="UTC")
    day = np.arange(len(index)) / 24
    air = 8 - 14 * np.cos(2 * np.pi * (day - 200) / 365.25) + 5 * np.sin(2 * np.pi * day)
    wave = climate_from(pd.DataFrame({"air_c": air}, index=index), Header("wave", "nowhere", kind="typical year"))
    assert rare(wave) is None


def test_one_winter_takes_its_scatter_from_its_hours():
    """Noise of 2 K about two waves: 0.7 of it is the standard deviation of the minima, 1.866 of them the depth."""
    index = pd.date_range("2019-07-01", periods=8760, freq="h", tz="UTC")
    day = np.arange(len(index)) / 24
    wave = 8 - 14 * np.cos(2 * np.pi * (day - 200) / 365.25) + 3 * np.sin(2 * np.pi * day)
    air = wave + np.random.default_rng(2).normal(0.0, 2.0, len(index))
    climate = climate_from(pd.DataFrame({"air_c": air}, index=index), Header("one", "nowhere"))
    assert residual_sd(climate) == pytest.approx(2.0, rel=0.03)
    found = rare(climate)
    assert found.recorded_c - found.outdoor_c == pytest.approx(1.866 * 0.7 * 2.0, rel=0.04)


def test_never_more_than_ten_kelvin_deeper():
    found = rare(winters([-6.0, -30.0, -8.0]))
    assert found.outdoor_c >= -30.0 - 10.0
    wild = rare(winters([-10.0, -10.0], noise=12.0))
    assert wild.recorded_c - wild.outdoor_c == pytest.approx(10.0)


def test_a_record_low_of_the_plan_comes_first():
    climate = winters([-10.0, -14.0, -12.0])
    assert rare(climate, -40.0).outdoor_c == -40.0
    assert rare(climate, -40.0).basis == "plan"
    assert rare(climate, -12.0) is None  # a recorded hour is as cold already


def test_typical_years_are_made_colder():
    for name in ("golden-co", "sand-point-ak"):
        found = rare(load_climate(name))
        assert found.basis == "typical year"
        assert 2.0 < found.recorded_c - found.outdoor_c < 10.0


def test_a_cold_spell_is_lowered_most_at_its_coldest_hour():
    air = np.full(240, 2.0)
    air[100] = -4.0
    lower = with_deeper_spell(air, 100, -10.0)
    assert lower[100] == pytest.approx(-10.0)
    assert lower[100 - 24] == pytest.approx(2.0 - 3.0)  # half the depth a day away
    assert lower[100 + 24] == pytest.approx(2.0 - 3.0)
    assert (np.flatnonzero(lower != air) == np.arange(100 - 47, 100 + 48)).all()
    assert (with_deeper_spell(air, 100, 5.0) == air).all()


def test_the_design_winter_is_the_coldest_one_with_its_humidity():
    weather = winters_of(load_climate("springfield-il"))
    design = design_weather(weather, -30.0)
    assert [winter.label for winter in design.winters] == ["2017"]
    assert not design.winters[0].complete
    assert design.outdoor_c.min() == pytest.approx(-30.0)
    assert design.winters[0].start.hour == 0
    column = [winter.label for winter in weather.winters].index("2017")
    first = int((design.winters[0].start - weather.winters[column].start) / pd.Timedelta("1h"))
    rows = slice(first, first + len(design.outdoor_c))
    recorded = weather.outdoor_c[rows, column]
    changed = np.flatnonzero(np.abs(design.outdoor_c[:, 0] - recorded) > 1e-9)
    assert len(changed) == 95
    assert changed.min() >= design.spin_up_h + 7 * 24  # a week as recorded before it
    given, made = (
        moist_air.vapour_pressure(ratio, weather.pressure_pa) / moist_air.water_saturation_pressure(air)
        for ratio, air in (
            (weather.humidity_ratio[rows, column], recorded), (design.humidity_ratio[:, 0], design.outdoor_c[:, 0]),
        )
    )  # fmt: skip
    assert made == pytest.approx(given, rel=1e-6)
