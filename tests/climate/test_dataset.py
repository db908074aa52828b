from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.climate import gap_filling
from thermal.climate.adjustments import at_elevation
from thermal.climate.dataset import Header, climate_from
from thermal.climate.heating_seasons import winters_of
from thermal.climate.library import available, load_climate, read_climate
from thermal.errors import ClimateError


def wave(start="2019-07-01", hours=8760 * 2, **header):
    index = pd.date_range(start, periods=hours, freq="h", tz="UTC")
    day = np.arange(hours) / 24
    air = 8 - 14 * np.cos(2 * np.pi * (day - 200) / 365.25) + 5 * np.sin(2 * np.pi * day)
    return pd.DataFrame({"air_c": air}, index=index), Header("wave", "nowhere", **header)


def test_the_four_bundled_series_are_there():
    assert set(available()) >= {"springfield-il", "golden-co", "newark-nj", "sand-point-ak"}


def test_springfield_covers_one_whole_winter_and_two_in_part():
    weather = winters_of(load_climate("springfield-il"))
    assert [(one.year, one.complete) for one in weather.winters] == [(2015, False), (2016, True), (2017, False)]
    assert weather.winters[1].hours == 5088


def test_typical_years_are_one_winter_of_one_piece():
    for name in ("golden-co", "sand-point-ak"):
        weather = winters_of(load_climate(name))
        assert [one.complete for one in weather.winters] == [True]
        assert weather.winters[0].label == "typical"


def test_short_gaps_are_filled_and_counted_long_ones_are_not():
    table, header = wave()
    table.iloc[4000:4003] = np.nan  # 3 h: linear
    table.iloc[4100:4140] = np.nan  # 40 h: neighbours
    climate = climate_from(table, header)
    assert climate.hours["air_c"].notna().all()
    assert climate.hours["filled"].sum() == 43
    assert np.abs(climate.hours["air_c"] - wave()[0]["air_c"]).max() < 1.0  # the daily wave is kept
    table.iloc[4100:4200] = np.nan  # 100 h
    with pytest.raises(ClimateError, match="more than 3 days"):
        winters_of(climate_from(table, header), (2019,))


def test_a_linear_fill_would_have_lost_the_night():
    table, _ = wave()
    column = table["air_c"].copy()
    column.iloc[4110:4130] = np.nan
    kept = gap_filling.fill_gaps(column).iloc[4110:4130]
    assert kept.min() < column.interpolate().iloc[4110:4130].min() - 2


def test_absent_rows_count_as_gaps_and_half_hours_are_interpolated():
    table, header = wave()
    thinned = table.drop(table.index[4000:4002])
    assert climate_from(thinned, header).hours["filled"].sum() == 2
    half = table.set_axis(table.index + pd.Timedelta("30min"))
    shifted = climate_from(half, header).hours["air_c"]
    np.testing.assert_allclose(
        shifted.iloc[:100], (half["air_c"].to_numpy()[:100] + half["air_c"].to_numpy()[1:101]) / 2
    )


def test_the_yearly_wave_is_found_again():
    table, header = wave()
    harmonic = climate_from(table, header).harmonic()
    assert harmonic.mean_c == pytest.approx(8, abs=0.3)
    assert harmonic.amplitude_k == pytest.approx(14, abs=0.3)
    assert harmonic.fitted


def test_southern_winters_run_april_to_october():
    table, header = wave(latitude=-40.0)
    first = winters_of(climate_from(table, header), (2020,)).winters[0]
    assert first.start == pd.Timestamp("2020-04-01")
    assert first.hours == 214 * 24


def test_leap_winters_are_a_day_longer():
    table, header = wave(hours=8760)
    assert winters_of(climate_from(table, header), (2019,)).winters[0].hours == 5112


def test_height_lowers_the_air_temperature():
    table, header = wave(elevation_m=100.0)
    climate = climate_from(table, header)
    higher = at_elevation(climate, 600.0)
    assert float((higher.hours["air_c"] - climate.hours["air_c"]).mean()) == pytest.approx(-3.25)


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        ("a,b\n1,2\n", "no column time_utc or air_c"),
        ("time_utc,air_c\nyesterday,1\n", "not an ISO 8601 time"),
        ("time_utc,air_c\n2020-01-01T00:00Z,1\n", "fewer than 24"),
        ("", "cannot be read"),
        (f"time_utc,air_c\n2020-01-01T00:00Z,{'9' * 400}\n2020-01-01T01:00Z,1\n", "fewer than 24"),
        ("time_utc,air_c,Höhe\n", r"is not UTF-8 text \(byte 16\); save it as CSV UTF-8"),
    ],
)
def test_broken_climate_files_are_refused(tmp_path, text, notes):
    path = tmp_path / "hours.csv"
    path.write_text(text, "latin-1")
    with pytest.raises(ClimateError, match=notes):
        read_climate(path)


def test_an_unknown_series_suggests_the_nearest():
    with pytest.raises(ClimateError, match="did you mean 'springfield-il'"):
        load_climate("sprngfield-il")


def test_a_winter_outside_the_series_says_what_is_covered():
    with pytest.raises(ClimateError, match="covers 2015-11-22 to 2018-02-08"):
        winters_of(load_climate("springfield-il"), (1999,))
