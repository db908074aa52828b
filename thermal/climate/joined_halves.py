"""One winter put together from the two halves of a calendar year, where a weather file has no other."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from thermal.climate import gap_filling
from thermal.climate.dataset import SKY_COLUMNS, Climate
from thermal.climate.season_calendar import standard_offset

LAST_SPRING_MONTH = 6  # months up to this one are moved behind the months of autumn
WINTER_MONTHS = (10, 11, 12, 1, 2, 3, 4)
STRAY_H = 24  # hours of a neighbouring year that are left out: a year in UTC is not quite one in local time


def join_halves(climate: Climate) -> Climate:
    """The climate with January to June put behind July to December, where that alone makes a winter.

    Parameters
    ----------
    climate : Climate
        The weather file.

    Returns
    -------
    Climate
        Unchanged, unless all its hours are of one calendar year north of the equator, without a long gap in winter.
        The hours missing at the turn of the year, three days at most, are filled and counted.

    Raises
    ------
    ClimateError
        When the climate's time zone is not an IANA time zone.
    """
    offset = pd.Timedelta(standard_offset(climate.header.timezone, climate.hours.index[0].year))
    local = climate.hours.index.tz_localize(None) + offset
    year = int(local[len(local) // 2].year)
    inside = climate.hours[local.year == year]
    times = local[local.year == year]
    year_length = pd.Timestamp(year + 1, 1, 1) - pd.Timestamp(year, 1, 1)
    missing_h = (year_length - (times[-1] - times[0])) / pd.Timedelta("1h") - 1
    outside_h = len(local) - len(times)
    if climate.south or missing_h > gap_filling.NEIGHBOUR_H or outside_h > STRAY_H:
        return climate
    spring = inside[times.month <= LAST_SPRING_MONTH]
    moved = spring.set_axis(spring.index + year_length)
    hours = gap_filling.on_the_hour(pd.concat([inside[times.month > LAST_SPRING_MONTH], moved]))
    columns: dict[str, pd.Series] = {
        name: gap_filling.fill_gaps(hours[name].astype(float)) for name in ("air_c", "rh_pct", "wind_m_s")
    }
    columns["filled"] = hours["filled"].isna() | hours["filled"].eq(True)
    for name in SKY_COLUMNS:
        if name in hours:
            columns[name] = gap_filling.fill_gaps(hours[name].astype(float)).fillna(hours[name].median())
    winter = (hours.index + offset).month.isin(WINTER_MONTHS)
    if columns["air_c"][winter].isna().any():
        return climate
    return replace(
        climate, hours=pd.DataFrame(columns), joined_year=year, sun=_joined_sun(climate, offset, year_length)
    )


def _joined_sun(climate: Climate, offset: pd.Timedelta, year_length: pd.Timedelta) -> pd.DataFrame | None:
    """The sun with its spring moved in the same way."""
    if climate.sun is None:
        return None
    local = climate.sun.index.tz_localize(None) + offset
    spring = local.month <= LAST_SPRING_MONTH
    moved = climate.sun[spring].set_axis(climate.sun.index[spring] + year_length)
    joined = pd.concat([climate.sun[~spring], moved])
    return joined[~joined.index.duplicated()].sort_index()
