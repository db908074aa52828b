"""Rules of the weather on figures made by hand: what a random mutant once changed unnoticed."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.climate.cell_numbers import cell_numbers
from thermal.climate.dataset import Header, climate_from
from thermal.climate.date_order import _missing_steps, parse_times
from thermal.climate.gap_filling import fill_gaps
from thermal.climate.heating_seasons import coldest_days
from thermal.climate.logger_csv import _in_long_gap, _whole_days
from thermal.climate.plausible_values import HALF_YEAR_DAYS, MONTH_HOURS, _swing, doubt_of_air, unit_of_air
from thermal.climate.text_file import PLAUSIBLE_C, decode
from thermal.core.table_limits import LONGEST_CELL
from thermal.errors import ClimateError


def hours(values, first: str = "2017-01-01") -> pd.Series:
    return pd.Series(values, index=pd.date_range(first, periods=len(values), freq="h"), dtype=float)


@pytest.mark.parametrize(
    ("cells", "numbers"),
    [
        (["1.234,5 °C", "2.000,25 °C"], [1234.5, 2000.25]),
        (["1,234.5 °C", "2,000.25 °C"], [1234.5, 2000.25]),
        (["1,5 °C", "-2,25 °C"], [1.5, -2.25]),
        (["1.5 °C", "-2.25 °C"], [1.5, -2.25]),
    ],
)
def test_the_last_mark_of_a_number_is_its_decimal_mark(cells, numbers):
    assert list(cell_numbers(pd.Series(cells)).values) == numbers


def test_dates_without_a_clock_are_midnight_and_minutes_end_at_59():
    times = parse_times(pd.Series(["2017-01-05", "2017-01-06", "2017-01-07"]))
    assert list(times.clock) == list(pd.date_range("2017-01-05", periods=3))
    many = [f"2017-01-05 {hour:02d}:{minute:02d}" for hour in range(10) for minute in range(60)]
    times = parse_times(pd.Series([*many, "2017-01-05 10:60"]))
    assert times.clock[:-1].notna().all()
    assert times.clock[-1] is pd.NaT
    assert times.clock[599] == pd.Timestamp("2017-01-05 09:59")
    assert "left out: 1" in times.notes[0]


def test_two_digits_of_a_year_are_of_this_century_below_70():
    days = [f"{day}.01.{year}" for year in (69, 70) for day in (13, 14)]
    assert [clock.year for clock in parse_times(pd.Series(days)).clock] == [2069, 2069, 1970, 1970]


def test_the_order_of_dates_says_which_line_decides():
    """The 13th is no month: line 3 leaves no other order than day first."""
    text = pd.Series(["11.01.2017", "12.01.2017", "13.01.2017"], index=[1, 2, 3])
    times = parse_times(text)
    assert times.order == "day-first"
    assert times.notes == ("dates are day-first: '13.01.2017' in line 3 leaves no other order",)
    same = parse_times(pd.Series(["11.11.2017", "12.12.2017"]))  # the same in both orders: nothing is decided
    assert same.notes == ()


def test_the_coldest_three_days_are_found_within_the_winter():
    """Cold hours 240 to 311 of the winter, which begins at row 48; colder spin-up does not count."""
    air = np.zeros((48 + 720, 2))
    air[:48] = -30.0
    air[48 + 240 : 48 + 312, 0] = -10.0
    air[48 + 500 : 48 + 572, 1] = -10.0
    flags = coldest_days(air, lambda _: slice(48, 48 + 720))
    assert list(np.flatnonzero(flags[:, 0])) == list(range(48 + 240, 48 + 312))
    assert list(np.flatnonzero(flags[:, 1])) == list(range(48 + 500, 48 + 572))


def test_a_gap_of_a_day_and_a_half_is_filled_from_two_days_before_and_after():
    """By hand: hour by hour the day before the gap is 1 and the day after 3, so the blend rises from 1 to 3."""
    series = hours(np.zeros(240))
    series[:96], series[132:] = 1.0, 3.0
    series[96:132] = np.nan
    filled = fill_gaps(series)
    expected = [1.0 + 2.0 * (i + 1) / 37.0 for i in range(36)]
    assert filled[96:132].to_numpy() == pytest.approx(expected)


def test_a_month_counts_in_the_swing_from_20_days_on():
    """January at 0 and 20 days of February at 10 degC are 10 K apart; 19 days are not looked at, nor is one month."""
    january = np.zeros(31 * 24)
    assert _swing(hours(np.append(january, np.full(20 * 24, 10.0)))) == 10.0
    assert _swing(hours(np.append(january, np.full(19 * 24, 10.0)))) == 0.0
    assert _swing(hours(np.zeros(48))) == 0.0


def test_air_without_a_unit_is_celsius_where_only_that_is_possible():
    """A winter about -5: as degF it would be -20.6 degC. Numbers about 280 are kelvins."""
    rng = np.random.default_rng(3)
    cold = hours(-5.0 + rng.normal(0.0, 4.0, 24 * 60))
    assert unit_of_air(cold, 48.0).name == "degC"
    assert unit_of_air(cold + 273.15, 48.0).name == "K"
    warm = hours(45.0 + rng.normal(0.0, 4.0, 24 * 60), "2017-07-01")
    assert unit_of_air(warm, 48.0).name == "degF"
    assert doubt_of_air(warm, 48.0)


def test_a_short_file_is_coldest_by_the_20th_of_january_and_half_a_year_later_in_the_south():
    air = pd.date_range("2017-01-01", periods=24 * 40, freq="h", tz="UTC")
    found = {}
    for latitude in (48.0, -40.0):
        table = pd.DataFrame({"air_c": np.zeros(len(air))}, index=air)
        found[latitude] = climate_from(table, Header("made", "nowhere", latitude=latitude)).harmonic()
    assert not found[48.0].fitted
    assert found[48.0].coldest_h == 20 * 24
    assert found[-40.0].coldest_h == 202 * 24


def test_the_wave_of_a_short_file_is_that_of_its_header_where_it_has_one():
    """The ground's year is assumed only where neither hours nor header tell the mean; the coldest day stays assumed."""
    index = pd.date_range("2017-01-01", periods=24 * 40, freq="h", tz="UTC")
    table = pd.DataFrame({"air_c": np.zeros(len(index))}, index=index)
    told = climate_from(table, Header("made", "nowhere", annual_mean_c=9.0, annual_amplitude_k=14.0)).harmonic()
    assert (told.mean_c, told.amplitude_k, told.coldest_h, told.fitted) == (9.0, 14.0, 480.0, True)
    height = climate_from(table, Header("made", "nowhere", annual_amplitude_k=14.0)).harmonic()
    assert (height.amplitude_k, height.fitted) == (14.0, False)


def test_air_is_plausible_from_the_coldest_to_the_warmest_recorded_outside_antarctica():
    """WMO archive of extremes: -69.6 degC in Greenland, 56.7 degC in Death Valley (from memory); rounded outwards."""
    assert -72.0 < PLAUSIBLE_C[0] < -69.6
    assert 56.7 < PLAUSIBLE_C[1] < 62.0


def test_dates_that_differ_in_both_orders_are_not_guessed():
    """Hours of 1 February, or of 2 January: both are whole days without a gap."""
    text = pd.Series([f"01.02.2017 {hour:02d}:00" for hour in range(24)])
    with pytest.raises(ValueError, match="day-first"):
        parse_times(text)
    assert parse_times(text, "day-first").clock[0] == pd.Timestamp("2017-02-01")


def test_half_a_year_without_a_warm_hour_is_doubted_from_its_first_day_on():
    """Half a year anywhere that people grow has an hour above freezing; a day less says nothing."""
    assert "hottest hour" in doubt_of_air(hours([-5.0] * 24 * HALF_YEAR_DAYS, "2016-10-01"))
    assert "hottest hour" not in doubt_of_air(hours([-5.0] * 24 * (HALF_YEAR_DAYS - 1), "2016-10-01"))


def test_a_hot_month_of_winter_is_doubted_from_its_first_whole_count_on():
    """A mean of 29 degC in January is not that of latitude 50; an hour less than a month says nothing."""
    assert "winter months" in doubt_of_air(hours([29.0] * MONTH_HOURS, "2017-01-01"), 50.0)
    assert "winter months" not in doubt_of_air(hours([29.0] * (MONTH_HOURS - 1), "2017-01-01"), 50.0)


@pytest.mark.parametrize(
    ("latitude", "elevation_m", "coldest_c", "hottest_c"),
    [
        (62.0, 100.0, -38.0, 20.0),  # inner Siberia
        (64.1, 10.0, 0.0, 11.5),  # Iceland's coast
        (51.5, 20.0, 5.5, 19.0),  # southern England
        (39.7, 1650.0, -0.5, 23.5),  # high plains of Colorado
        (1.3, 15.0, 26.5, 28.5),  # Malay peninsula
        (-36.8, 20.0, 11.0, 20.0),  # northern New Zealand
    ],
)
def test_a_year_of_a_real_place_is_not_doubted_and_one_with_the_swing_of_siberia_is(
    latitude, elevation_m, coldest_c, hottest_c
):
    """Coldest and warmest month about as in climate normals (from memory), 8 K between night and noon.

    Inner Siberia's 58 K between its months are found nowhere below a latitude of 55 degrees.
    """
    times = pd.date_range("2017-01-01", periods=365 * 24, freq="h")
    days = np.arange(len(times)) / 24.0
    wave = -np.cos(2.0 * np.pi * (days - (20.0 if latitude >= 0 else 202.0)) / 365.0)
    around = pd.Series((hottest_c + coldest_c) / 2.0 + 4.0 * np.sin(2.0 * np.pi * days), index=times)
    assert doubt_of_air(around + (hottest_c - coldest_c) / 2.0 * wave, latitude, elevation_m) == ""
    if abs(latitude) < 55.0:
        assert doubt_of_air(around + 29.0 * wave, latitude, elevation_m)


def test_a_gap_is_long_from_seven_hours_on_and_two_with_a_reading_between_are_not_one():
    """Six hours are filled; of 4 + 4 hours round a reading none is long, of seven all are."""
    column = hours(np.ones(48))
    column[5:11] = column[14:18] = column[19:23] = column[30:37] = np.nan
    column[47] = np.nan
    assert list(np.flatnonzero(_in_long_gap(column))) == list(range(30, 37))


def test_whole_days_of_each_stretch_are_kept_and_short_stretches_are_not():
    """By hand: a stretch from 5:00 of day 0 to 12:00 of day 9 has the days 1 to 8; one of two days beside it none."""
    whole = hours(np.ones(24 * 14)).astype(bool)
    whole[:5] = whole[9 * 24 + 13 : 11 * 24] = whole[13 * 24 :] = False
    kept = _whole_days(whole)
    assert list(np.flatnonzero(kept)) == list(range(24, 9 * 24))
    alone = whole.copy()
    alone[: 11 * 24] = False  # the only stretch counts however short
    assert list(np.flatnonzero(_whole_days(alone))) == list(range(11 * 24, 13 * 24))


def test_missing_times_are_counted_whether_the_newest_is_first_or_last():
    """By hand: 0:00, 1:00, 2:00 and 5:00 lack two; a time before the last one by more than a clock change is no log."""
    clock = pd.DatetimeIndex([f"2017-01-05 {hour}:00" for hour in (0, 1, 2, 5)])
    assert _missing_steps(clock) == _missing_steps(clock[::-1]) == 2
    assert _missing_steps(clock[:2]) == _missing_steps(clock[1::-1]) == 0
    assert _missing_steps(clock[:1]) == 0
    assert _missing_steps(clock[[1, 3, 0, 2]]) is None


def test_a_yearly_wave_is_fitted_from_300_days_on():
    """As `Climate.harmonic` says: fewer days are laid on an assumed wave."""
    found = []
    for days in (299, 300):
        index = pd.date_range("2017-01-01", periods=days * 24, freq="h", tz="UTC")
        wave = 8.0 - 14.0 * np.cos(2.0 * np.pi * (np.arange(len(index)) / 24.0 - 20.0) / 365.25)
        found.append(climate_from(pd.DataFrame({"air_c": wave}, index=index), Header("made", "nowhere")).harmonic())
    assert [each.fitted for each in found] == [False, True]
    assert found[1].amplitude_k == pytest.approx(14.0, abs=0.05)


def test_a_long_line_of_short_cells_is_read_and_one_long_cell_is_refused_with_its_line(tmp_path):
    file = tmp_path / "long.csv"
    cells = "12.5;" * (LONGEST_CELL // 5 + 10)
    file.write_text(f"time;air\n{cells}\n", "utf-8")
    assert decode(file)[0].split("\n")[1] == cells
    file.write_text(f"time;air\n1;{'x' * (LONGEST_CELL + 1)}\n", "utf-8")
    with pytest.raises(ClimateError, match="line 2"):
        decode(file)
