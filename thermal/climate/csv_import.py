"""Import of any hourly weather file. Layout, clock, columns and units are found out, and all of it is reported."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
import pandas as pd

from thermal.climate.column_roles import ColumnUse
from thermal.climate.plausible_values import doubt_of_air, limits, oddities, unit_of_air
from thermal.climate.sensor_table import (
    ReadOptions,
    SensorTable,
    columns_text,
    listing,
    read_sensors,
    si_values,
    unit_hint,
)
from thermal.climate.text_file import check_span
from thermal.data.column_words import ColumnUnit, column_units
from thermal.errors import ClimateError

NAMES = {"outdoor_c": "air_c"}  # columns of a weather file that are not called as their role
USUAL_UNITS = {
    "rh_pct": "percent", "wind_m_s": "m/s", "sun_w_m2": "W/m2", "direct_w_m2": "W/m2", "diffuse_w_m2": "W/m2",
    "infrared_w_m2": "W/m2", "cloud_okta": "okta",
}  # fmt: skip
SHARE_MAX = 1.5  # humidity that never exceeds this is a share of 1
WHOLE_SKY = 8.0  # oktas
SAME = 0.5  # how far values of one time may be apart and count as the same, in the unit of the column


@dataclass(frozen=True)
class ImportedSeries:
    """An imported weather file in SI units.

    Attributes
    ----------
    hours : DataFrame
        Index in UTC; columns air_c [degC] and those of rh_pct [%], wind_m_s [m/s], dew_c [degC], sun_w_m2, direct_w_m2,
        diffuse_w_m2, infrared_w_m2 [W/m2] and cloud_okta [okta] that the file has.
    notes : tuple of str
        One sentence on everything that was decided or repaired.
    typical : bool
        True for a typical year, put together from months of different years.
    columns : tuple of ColumnUse
        What every column of the file is read as.
    """

    hours: pd.DataFrame
    notes: tuple[str, ...]
    typical: bool
    columns: tuple[ColumnUse, ...] = ()

    def listing(self) -> list[str]:
        """One line for every column of the file."""
        return listing(self.columns)


def import_csv(
    path: Path,
    zone: str | None = None,
    options: ReadOptions | None = None,
    latitude: float | None = None,
    elevation_m: float = 0.0,
) -> ImportedSeries:
    """Read an hourly weather file of any layout.

    Parameters
    ----------
    path : Path
        The file, gzipped or not.
    zone : str, optional
        Time zone of times without an offset, such as "America/Chicago".
    options : ReadOptions, optional
        What the user says about the file.
    latitude : float, optional
        Degrees north; None where not known. Temperatures that cannot be there are refused.
    elevation_m : float
        Height above sea level [m].

    Returns
    -------
    ImportedSeries
        Its hours in SI units, and what was decided.

    Raises
    ------
    ClimateError
        When the file cannot be read, has no time or outdoor air temperature, or local times without a time zone; when a
        column, a unit or the order of the dates is open; or when the values contradict their unit.
    """
    asked = options or ReadOptions()
    table = read_sensors(path, asked, weather=True)
    if "outdoor_c" not in table.numbers:
        raise ClimateError(
            f"{path}: no outdoor air temperature among the columns {columns_text(table.uses)}; name one air_c or air_f,"
            ' or add --column air="HEADING"'
        )
    notes = list(table.notes)
    index = _utc_times(table, zone, notes)
    unit_is_given = table.units["outdoor_c"] is not None
    unit = table.units["outdoor_c"] or _told_by_values(table, index, latitude, elevation_m, notes)
    if unit.name == "degF" and table.units.get("wind_m_s", unit) is None:
        table = table.without("wind_m_s", "but in what unit? add --unit wind=mph or --unit wind=knots")
    table = table.with_units({"outdoor_c": unit, **_usual_units(table, unit, notes)})
    columns = {}
    for role in table.numbers:
        values, left_out = si_values(table, role, table.units[role] or unit, index)
        columns[NAMES.get(role, role)] = values.to_numpy()
        notes += left_out
    if "cloud_okta" in columns:
        columns["cloud_okta"] = np.minimum(columns["cloud_okta"], WHOLE_SKY)  # 9: a sky that cannot be seen
    hours = pd.DataFrame(columns, index=index)
    hours = hours[hours.index.notna()].sort_index(kind="stable")
    doubt = doubt_of_air(hours["air_c"], latitude, elevation_m)
    if doubt and unit_is_given and not table.user_gave_unit("outdoor_c"):
        heading = next(use.heading for use in table.uses if use.role == "outdoor_c")
        raise ClimateError(f"{path}: {heading!r} cannot be in {unit.shown}: {doubt}. {_give_unit(unit)}")
    _doubt_wind(table, hours)
    typical = _is_typical(hours.index)
    if typical:
        notes.append("a typical year (its months come from different years); the months are joined from July to June")
        hours.index = _one_run(hours.index)
    return ImportedSeries(_tidy(path, hours, notes), tuple(notes), typical, table.uses)


def _give_unit(unit: ColumnUnit) -> str:
    """How to give the unit of the air temperature, the other one first."""
    other, same = ("degC", "degF") if unit.name == "degF" else ("degF", "degC")
    return f"Add --unit air={other}, or --unit air={same} if it is right after all"


def _told_by_values(
    table: SensorTable, index: pd.DatetimeIndex, latitude: float | None, elevation_m: float, notes: list[str]
) -> ColumnUnit:
    """Unit of the air temperature where its heading has none, by its values."""
    values = table.numbers["outdoor_c"].set_axis(index)
    unit = unit_of_air(values[values.index.notna()].sort_index(), latitude, elevation_m)
    heading = next(use.heading for use in table.uses if use.role == "outdoor_c")
    if unit is None:
        raise ClimateError(
            f"{table.path}: the heading {heading!r} has no unit, and the values may be in °C or in °F; add --unit"
            " air=degC or --unit air=degF"
        )
    notes.append(f"no unit in the heading {heading!r}; the values look like {unit.shown}")
    return unit


def _usual_units(table: SensorTable, air_unit: ColumnUnit, notes: list[str]) -> dict[str, ColumnUnit]:
    """Units of the other columns where their headings have none."""
    decided = {}
    for use in table.uses:
        if use.role is None or use.role in ("time", "outdoor_c") or table.units[use.role] is not None:
            continue
        unit = column_units()[USUAL_UNITS[use.role]] if use.role in USUAL_UNITS else air_unit
        if use.role == "cloud_okta":
            unit = column_units()[_cloud_unit(float(table.numbers["cloud_okta"].max()))]
        notes.append(f"no unit in the heading {use.heading!r}; read in {unit.shown}")
        decided[use.role] = unit
    if "rh_pct" in table.numbers and table.numbers["rh_pct"].max() <= SHARE_MAX:
        notes.append("humidity is in shares of 1, not %")
        decided["rh_pct"] = ColumnUnit("share", "share", "shares of 1", 100.0, 0.0)
    return decided


def _cloud_unit(most: float) -> str:
    """Unit of cloud cover whose largest value is known: a file of some weeks has a sky that is all cloud."""
    return "cloud share" if most <= 1.0 else "okta" if most <= 9.0 else "tenths" if most <= 10.0 else "cloud %"


def _doubt_wind(table: SensorTable, hours: pd.DataFrame) -> None:
    """Raise where the wind's mean is beyond that of any station."""
    limit = limits()["marks"]["wind_mean_m_s"]
    if "wind_m_s" in hours and hours["wind_m_s"].mean() > limit:
        raise ClimateError(
            f"{table.path}: the wind's mean would be {hours['wind_m_s'].mean():.0f} m/s, more than {limit:.0f} m/s;"
            f" {unit_hint(table, 'wind_m_s')}, or --column wind=none"
        )


def _utc_times(table: SensorTable, zone: str | None, notes: list[str]) -> pd.DatetimeIndex:
    """Times in UTC; local times are converted by their zone, daylight saving time included."""
    times = table.times
    notes.append(f"time: {'column' if len(times.headings) == 1 else 'columns'} {', '.join(map(repr, times.headings))}")
    if times.has_offset:
        notes.append("times are in UTC, or have an offset")
        return times.in_utc()
    if np.isfinite(times.written.offset_h).any():
        raise ClimateError(f"{table.path}: some times have an offset from UTC and others have none; write all alike")
    return _from_local(table.path, times.written.clock, zone, notes)


def _from_local(path: Path, local: pd.DatetimeIndex, zone: str | None, notes: list[str]) -> pd.DatetimeIndex:
    """Local times converted to UTC."""
    if zone is None:
        raise ClimateError(f"{path}: the times have no time zone; add for example --zone America/Chicago or --zone UTC")
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as fault:
        raise ClimateError(f"{zone!r} is not a time zone; write an IANA name, for example 'America/Chicago'") from fault
    try:
        index = local.tz_localize(zone, ambiguous="infer", nonexistent="shift_forward")
    except ValueError:  # the repeated hour of autumn occurs once only, and nothing tells which one it is
        index = local.tz_localize(zone, ambiguous="NaT", nonexistent="shift_forward")
        notes.append("the repeated hour in autumn is in the file only once; it is left out and filled in")
    notes.append(f"times are local time of {zone}, with daylight saving time")
    return index.tz_convert("UTC")


def _is_typical(index: pd.DatetimeIndex) -> bool:
    """Whether about a year of hours has times from more than two years."""
    stamps = index.dropna()
    return 8700 <= len(stamps) <= 8800 and stamps.year.nunique() > 2


def _one_run(index: pd.DatetimeIndex) -> pd.DatetimeIndex:
    """The same days of the year from July 2001 to June 2002, so that the winter is not split."""
    years = np.where(index.month >= 7, 2001, 2002)
    leap = (index.month == 2) & (index.day == 29)
    parts = {"year": years, "month": index.month, "day": np.where(leap, 28, index.day), "hour": index.hour}
    stamps = pd.to_datetime(pd.DataFrame({**parts, "minute": index.minute}), utc=True)
    return pd.DatetimeIndex(stamps)


def _tidy(path: Path, hours: pd.DataFrame, notes: list[str]) -> pd.DataFrame:
    """Rows in order, one for each time; what is odd in them is noted."""
    hours = hours[hours.notna().any(axis=1)].sort_index()
    doubled = hours.index.duplicated(keep=False)
    if doubled.any():
        hours = _without_repeats(path, hours, notes)
    if hours["air_c"].notna().sum() < 24:
        raise ClimateError(f"{path}: fewer than 24 air temperatures; use a file with at least a day of hours")
    check_span(path, hours.index)
    span = int((hours.index[-1] - hours.index[0]) / pd.Timedelta("1h")) + 1
    whole = (hours.index == hours.index.floor("h")).all()
    missing = max(0, span - len(hours))
    notes.append(f"{len(hours):,} rows from {hours.index[0]:%Y-%m-%d %H:%M} to {hours.index[-1]:%Y-%m-%d %H:%M} UTC")
    if missing and whole:
        notes.append(
            f"missing hours: {missing:,}; gaps of up to 3 days are filled in, a winter with a longer gap is not used"
        )
    if not whole:
        notes.append("times are not on the hour; values are interpolated to the hour")
    notes += oddities(hours["air_c"], "air temperature")
    return hours


def _without_repeats(path: Path, hours: pd.DataFrame, notes: list[str]) -> pd.DataFrame:
    """One row for each time: the mean of rows that agree; rows that do not are of several places."""
    groups = hours["air_c"].groupby(level=0)
    apart = (groups.max() - groups.min()) > SAME
    if apart.sum() > limits()["marks"]["most_implausible"] * len(apart):
        first = apart[apart].index[0]
        raise ClimateError(
            f"{path}: {int(apart.sum()):,} times occur more than once with different temperatures, the first"
            f" {first:%Y-%m-%d %H:%M} UTC; keep the rows of one place only"
        )
    notes.append(f"times that occur more than once, averaged: {int(hours.index.duplicated().sum())}")
    return hours.groupby(level=0).mean()
