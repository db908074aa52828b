"""The halves of one calendar year make a winter only where a weather file has no other, and it is said."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from thermal.analysis.plan_weather import scene_of
from thermal.climate.dataset import Climate, Header, climate_from
from thermal.climate.heating_seasons import winters_of
from thermal.climate.joined_halves import join_halves
from thermal.climate.library import load_climate
from thermal.plan.reader import plan_of


def year(start="2021-01-01", hours=8760, gap=slice(0, 0), **header) -> Climate:
    """Every hour has the number of its day in the year as its temperature, so that each can be found again."""
    index = pd.date_range(start, periods=hours, freq="h", tz="UTC")
    air = pd.Series(index.day_of_year / 10.0, index=index)
    air.iloc[gap] = np.nan
    return climate_from(pd.DataFrame({"air_c": air}), Header("year", "nowhere", **header))


def test_spring_is_put_behind_autumn_of_the_same_year():
    weather = winters_of(join_halves(year()))
    assert weather.joined_year == 2021
    assert [(one.label, one.complete, one.hours) for one in weather.winters] == [("2021", True, 212 * 24)]
    outdoor = weather.outdoor_c[weather.spin_up_h :, 0]
    assert outdoor[12] == pytest.approx(27.4)  # 1 October is day 274
    assert outdoor[92 * 24 + 12] == pytest.approx(0.1)  # 1 January, after 31 + 30 + 31 days
    assert outdoor[212 * 24 - 13] == pytest.approx(12.0)  # 30 April is day 120


def test_a_year_in_utc_is_joined_in_local_time_too():
    joined = join_halves(year(timezone="America/Chicago"))
    assert joined.joined_year == 2021
    assert [one.complete for one in winters_of(joined).winters] == [True]


@pytest.mark.parametrize(
    "climate",
    [
        year("2020-07-01"),  # a winter of its own
        year(hours=8760 * 2),  # two years: a winter of its own
        year(latitude=-40.0),  # winter is in the middle of the year
        year("2021-01-05", hours=8000),  # more than three days are missing at the turn of the year
        year(gap=slice(500, 700)),  # a long gap in January: the halves stay as they are
    ],
)
def test_all_other_files_stay_as_they_are(climate):
    assert join_halves(climate) is climate


def test_newark_is_joined_and_its_missing_hours_are_counted():
    given = load_climate("newark-nj")
    joined = join_halves(given)
    winter = winters_of(joined).winters[0]
    absent = 30  # from 30 December, 24:00 UTC, to 1 January, 06:00 UTC
    assert winter.complete
    assert joined.hours["filled"].sum() - given.hours["filled"].sum() == absent
    assert joined.hours["air_c"].min() == given.hours["air_c"].min()


def test_fitted_logs_keep_their_dates(workshop):
    document = {**workshop, "measure": [], "climate": {"series": "newark-nj"}}
    case = scene_of(plan_of(document), as_dated=True)
    assert [winter.start.year for winter in case.weather.winters] == [2013, 2013]
    assert case.climate.joined_year is None
