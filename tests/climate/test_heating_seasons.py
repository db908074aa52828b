"""Each row of the winters is the hour it should be: series that count their own hours."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.climate.dataset import Header, climate_from
from thermal.climate.forcing import NEITHER, OutdoorColumns
from thermal.climate.heating_seasons import winters_of
from thermal.climate.season_calendar import SPIN_UP_H

DEGREES_AN_HOUR, WIND_AN_HOUR = 0.001, 0.0005


def counted(first: str, last: str, timezone: str = "UTC"):
    """A climate whose air and wind rise by as much each hour, and a column that is the number of the hour."""
    index = pd.date_range(first, last, freq="h", tz="UTC")
    number = np.arange(len(index), dtype=float)
    table = pd.DataFrame(
        {"air_c": DEGREES_AN_HOUR * number, "rh_pct": 50.0, "wind_m_s": WIND_AN_HOUR * number}, index=index
    )
    columns = OutdoorColumns(pd.DataFrame({"number": number}, index=index), NEITHER)
    return climate_from(table, Header("made", "nowhere", latitude=45.0, timezone=timezone)), columns


def test_each_row_is_the_hour_that_its_time_says():
    """1 October 2019, 0:00 in Denver (UTC - 7 h) is hour 30 x 24 + 7 after 1 September in UTC; a row is a mean."""
    weather = winters_of(*(counted("2019-09-01", "2020-05-15", "America/Denver")[0], (2019,)))
    winter = weather.winters[0]
    assert (winter.start, winter.hours, winter.complete) == (pd.Timestamp("2019-10-01"), 213 * 24, True)
    assert weather.spin_up_h == SPIN_UP_H == 14 * 24
    number = 30 * 24 + 7 - 14 * 24 + np.arange(14 * 24 + 213 * 24)
    assert weather.outdoor_c[:, 0] == pytest.approx(DEGREES_AN_HOUR * (number + 0.5))
    assert weather.wind_m_s[:, 0] == pytest.approx(WIND_AN_HOUR * (number + 0.5))


def test_columns_of_sun_and_sky_are_of_the_same_hours():
    """They are means of their hours already, so none is shifted by half an hour."""
    climate, columns = counted("2019-09-01", "2020-05-15", "America/Denver")
    weather = winters_of(climate, (2019,), columns)
    assert weather.columns is not None
    number = 30 * 24 + 7 - 14 * 24 + np.arange(14 * 24 + 213 * 24)
    assert weather.columns[:, 0, 0] == pytest.approx(number)


def test_a_file_that_begins_with_its_winter_has_its_first_two_weeks_twice():
    """As spin-up, then counted; the last row is the mean of the last two hours, and the shorter winter is padded."""
    weather = winters_of(counted("2019-10-01", "2020-12-01")[0])
    assert [(winter.year, winter.hours) for winter in weather.winters] == [(2019, 213 * 24), (2020, 61 * 24)]
    air = weather.outdoor_c / DEGREES_AN_HOUR
    # the hour between the end of the spin-up and the first one counted is the mean of the two, as any row is
    assert air[: 14 * 24 - 1, 0] == pytest.approx(np.arange(14 * 24 - 1) + 0.5)
    assert air[14 * 24 :, 0] == pytest.approx(np.arange(213 * 24) + 0.5)
    begun = 366 * 24  # 1 October 2020: hours of a leap year later
    assert air[: 75 * 24, 1] == pytest.approx(begun - 14 * 24 + np.arange(75 * 24) + 0.5)
    assert air[75 * 24 :, 1] == pytest.approx(begun + 61 * 24)


def test_the_angle_of_the_year_is_zero_on_its_coldest_day():
    """A file that is coldest on the 25th of January, by hand; its cosine is 1 there and 0 a quarter of a year off."""
    index = pd.date_range("2018-07-01", periods=2 * 8760, freq="h", tz="UTC")
    days = np.asarray((index - pd.Timestamp("2019-01-25 12:00", tz="UTC")) / pd.Timedelta("1D"))
    climate = climate_from(
        pd.DataFrame({"air_c": 8.0 - 14.0 * np.cos(2.0 * np.pi * days / 365.0)}, index=index),
        Header("made", "nowhere", latitude=45.0),
    )
    weather = winters_of(climate, (2018,))
    rows = weather.season_cos[weather.row_range(0), 0]
    hours = weather.winters[0].times()
    coldest = hours[rows == rows.max()]
    assert {day.date().isoformat() for day in coldest} <= {"2019-01-24", "2019-01-25", "2019-01-26"}
    quarter = hours.get_loc(pd.Timestamp("2019-01-25 12:00") - pd.Timedelta(days=91))
    assert rows[quarter] == pytest.approx(0.0, abs=0.03)
    assert weather.season_sin[weather.row_range(0), 0][quarter] == pytest.approx(-1.0, abs=0.01)
