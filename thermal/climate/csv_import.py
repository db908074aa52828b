"""Import of any hourly CSV. Headings, units, clock and separators are detected, and every guess is reported."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
import pandas as pd

from thermal.climate.text_file import PLAUSIBLE_C, check_span, decode
from thermal.errors import ClimateError

TIME_WORDS = ("time_utc", "time_hour", "datetime", "date_time", "timestamp", "dt", "time", "valid", "date", "zeit", "")
AIR_WORDS = ("air_c", "temp_air", "dry-bulb", "dry_bulb", "temperature", "temp", "tempf", "tempc", "t2m", "tair", "air")
RH_WORDS = ("rh_pct", "relative_humidity", "rhum", "humid", "humidity", "rh")
WIND_WORDS = ("wind_m_s", "wind_speed", "wspd", "windspeed", "wind")
DEW_WORDS = ("dew_c", "dew_point", "dew-point", "dewpoint", "dwpt", "dew")
SUN_WORDS = {  # on the horizontal, square to the sun, of the sky, and the sky's longwave
    "sun_w_m2": ("sun_w_m2", "ghi", "global_horizontal", "shortwave_radiation", "solar_radiation", "solar", "sun"),
    "direct_w_m2": ("direct_w_m2", "dni", "direct_normal"),
    "diffuse_w_m2": ("diffuse_w_m2", "dhi", "diffuse_horizontal", "diffuse_radiation"),
    "infrared_w_m2": ("infrared_w_m2", "horizontal_infrared", "longwave_radiation", "infrared", "ir"),
}
CLOUD_WORDS = ("cloud_okta", "cldc", "cloud_cover", "cloudcover", "totcld", "cloud")
SUN_UNITS = {"kj": 1000.0 / 3600.0, "mj": 1e6 / 3600.0, "btu": 3.15459}  # of an hour, to W/m2
WIND_UNITS = {"mph": 0.44704, "km/h": 1 / 3.6, "kmh": 1 / 3.6, "kph": 1 / 3.6, "kt": 0.514444, "knots": 0.514444}
HOTTEST_C = 48.0  # a column without a unit that rises above this is in Fahrenheit


@dataclass(frozen=True)
class ImportedSeries:
    """An imported CSV in SI units.

    Attributes
    ----------
    hours : DataFrame
        Index in UTC; columns air_c [degC] and, where the file has them, rh_pct [%] and wind_m_s [m/s].
    notes : tuple of str
        One sentence on everything that was guessed or repaired.
    typical : bool
        True for a typical year, put together from months of different years.
    """

    hours: pd.DataFrame
    notes: tuple[str, ...]
    typical: bool


def import_csv(path: Path, zone: str | None = None) -> ImportedSeries:
    """Read an hourly CSV with headings and units of any kind.

    Parameters
    ----------
    path : Path
        The file, gzipped or not.
    zone : str, optional
        Time zone of times without an offset, such as "America/Chicago".

    Returns
    -------
    ImportedSeries
        Its hours in SI units, and notes on what was guessed.

    Raises
    ------
    ClimateError
        When the file cannot be read, has no time or air temperature, or local times without a time zone.
    """
    text, notes = decode(path)
    table = _table(path, text, notes)
    index = _stamps(path, table, zone, notes)
    air = _column(table, AIR_WORDS)
    if air is None:
        raise ClimateError(
            f"{path}: no air temperature among the columns {_column_list(table)}; name one air_c or temp_f"
        )
    columns = {"air_c": _celsius(air, _numbers(table[air]), notes)}
    rh, wind = _column(table, RH_WORDS), _column(table, WIND_WORDS)
    if rh is not None:
        columns["rh_pct"] = _percent(rh, _numbers(table[rh]), notes)
    if wind is not None:
        columns["wind_m_s"] = _wind(wind, _numbers(table[wind]), notes)
    columns |= _sun_and_sky(table, notes)
    hours = pd.DataFrame({name: values.to_numpy() for name, values in columns.items()}, index=index)
    typical = _is_typical(hours.index)
    if typical:
        notes.append("a typical year (its months come from different years); the months are joined from July to June")
        hours.index = _one_run(hours.index)
    return ImportedSeries(_tidy(path, hours, notes), tuple(notes), typical)


def _table(path: Path, text: str, notes: list[str]) -> pd.DataFrame:
    """Columns as text; the line of headings, the separator and the decimal comma are detected."""
    lines = text.splitlines()
    start = next((i for i, line in enumerate(lines[:40]) if re.search(r"(?i)temp|air_c|dry.?bulb|t2m", line)), None)
    if start is None:
        raise ClimateError(
            f'{path}: no column heading with "temp" in the first 40 lines; name the air temperature temp_c or temp_f'
        )
    head = lines[start]
    separator = max((";", "\t", ","), key=head.count)
    if start:
        notes.append(f"lines before the heading, skipped: {start}")
    if separator != ",":
        notes.append(f"columns are separated by {'tabs' if separator == chr(9) else 'semicolons'}")
    rows = list(csv.reader(io.StringIO("\n".join(lines[start:])), delimiter=separator))
    width = len(rows[0])
    whole = [row for row in rows[1:] if len(row) == width]
    if len(whole) < 24:
        raise ClimateError(f"{path}: fewer than 24 complete rows; use a file with at least a day of hours")
    if len(rows) - 1 - len(whole) > 0:
        notes.append(f"incomplete rows, skipped: {len(rows) - 1 - len(whole)}")
    names = [name.strip() for name in rows[0]]
    return pd.DataFrame(
        whole,
        columns=pd.Index([f"{name}" if names.count(name) == 1 else f"{name}#{i}" for i, name in enumerate(names)]),
    )


def _column_list(table: pd.DataFrame) -> str:
    """The first headings, for an error message."""
    return ", ".join(repr(str(name)) for name in list(table.columns)[:12])


def _column(table: pd.DataFrame, words: tuple[str, ...]) -> str | None:
    """The first column whose heading, without its unit, begins with one of the words."""
    plain = {name: re.split(r"[\s(\[]", str(name).lower())[0].strip("_") for name in table.columns}
    for word in words:
        for name, first in plain.items():
            if first == word or (word and first.startswith(word + "_")):
                return str(name)
    return None


def _numbers(column: pd.Series) -> pd.Series:
    """Numbers of a text column, with decimal point or comma; NaN for any other text."""
    text = column.astype(str).str.strip()
    if text.str.contains(r"^-?\d+,\d+$").mean() > 0.5:
        text = text.str.replace(",", ".", regex=False)
    return pd.to_numeric(text, errors="coerce").astype("float64")


def _stamps(path: Path, table: pd.DataFrame, zone: str | None, notes: list[str]) -> pd.DatetimeIndex:
    """Times in UTC; local times are converted by their zone, daylight saving time included."""
    date, clock = _column(table, ("date",)), _column(table, ("time", "hour"))
    name = _column(table, TIME_WORDS)
    if date is not None and clock is not None and date != clock:
        text = table[date].astype(str).str.strip() + " " + table[clock].astype(str).str.strip()
        notes.append(f"time: columns {date!r} and {clock!r}")
    elif name is not None:
        text = table[name].astype(str).str.strip()
        notes.append(f"time: column {name!r}")
    else:
        raise ClimateError(f"{path}: no time among the columns {_column_list(table)}; name one time_utc")
    late = text.str.contains(r"[ T]24:00")
    text = text.str.replace(r"([ T])24:00", r"\g<1>00:00", regex=True)
    aware = text.str.contains(r"(?:Z|[+-]\d\d:?\d\d)$").mean() > 0.9
    stamps = pd.to_datetime(text, utc=True, errors="coerce", format="ISO8601")
    if stamps.isna().mean() > 0.1:
        stamps = pd.to_datetime(text, utc=True, errors="coerce", format="mixed")
        notes.append("dates are not ISO 8601; where a date has two readings, the month is read before the day")
    if stamps.isna().mean() > 0.1:
        raise ClimateError(
            f"{path}: {text[stamps.isna()].iloc[0]!r} is not a time; write for example 2020-01-31T07:00Z"
        )
    index = pd.DatetimeIndex(stamps) + pd.to_timedelta(late.to_numpy().astype(int), unit="D")
    if late.any():
        notes.append("24:00 is read as midnight at the end of the day")
    if aware or (name is not None and "utc" in name.lower()):
        notes.append("times are in UTC, or have an offset")
        return index
    return _from_local(path, index.tz_localize(None), zone, notes)


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


def _celsius(name: str, values: pd.Series, notes: list[str], what: str = "air temperature") -> pd.Series:
    """A temperature, its unit detected from the heading or the values. [degC]"""
    label = name.lower()
    if re.search(r"(°|deg|\b|_|temp)f\b|fahrenheit", label):
        unit = "F"
    elif re.search(r"(°|deg|\b|_|temp)c\b|celsius", label):
        unit = "C"
    elif re.search(r"(\b|_)k\b|kelvin", label) or values.median() > 200:
        unit = "K"
    else:
        unit = "F" if values.max() > HOTTEST_C else "C"
        notes.append(f"no unit in the heading {name!r}; the values look like °{unit}")
    notes.append(f"{what}: column {name!r} in {'K' if unit == 'K' else '°' + unit}")
    return {"F": (values - 32) / 1.8, "C": values, "K": values - 273.15}[unit]


def _percent(name: str, values: pd.Series, notes: list[str]) -> pd.Series:
    """Relative humidity, its unit detected from the values; NaN where it is impossible. [%]"""
    share = values.max() <= 1.5
    notes.append(f"humidity: column {name!r} in {'shares of 1, not %' if share else '%'}")
    return (values * (100.0 if share else 1.0)).where(lambda rh: (rh >= 0) & (rh <= 100.5)).clip(upper=100.0)


def _wind(name: str, values: pd.Series, notes: list[str]) -> pd.Series:
    """Wind speed, its unit detected from the heading; NaN where it is impossible. [m/s]"""
    unit = next((unit for unit in WIND_UNITS if unit in name.lower()), "m/s")
    known = unit != "m/s" or re.search(r"m[/_]s|ms", name.lower())
    notes.append(
        f"wind: column {name!r} in {unit}"
        + ("" if known else " (no unit given; if this is wrong, write the unit in the heading)")
    )
    return (values * WIND_UNITS.get(unit, 1.0)).where(lambda speed: (speed >= 0) & (speed < 120))


def _sun_and_sky(table: pd.DataFrame, notes: list[str]) -> dict[str, pd.Series]:
    """Columns of sun, longwave, cloud and dew point, where the file has them."""
    columns = {}
    for kind, words in SUN_WORDS.items():
        if (name := _column(table, words)) is not None:
            columns[kind] = _watts(name, _numbers(table[name]), notes)
    if (name := _column(table, CLOUD_WORDS)) is not None:
        columns["cloud_okta"] = _oktas(name, _numbers(table[name]), notes)
    if (name := _column(table, DEW_WORDS)) is not None:
        columns["dew_c"] = _celsius(name, _numbers(table[name]), notes, "dew point")
    return columns


def _watts(name: str, values: pd.Series, notes: list[str]) -> pd.Series:
    """Radiation, its unit detected from the heading. [W/m2]"""
    unit = next((unit for unit in SUN_UNITS if unit in name.lower()), "")
    written = {"": "W/m²", "kj": "kJ/m² an hour", "mj": "MJ/m² an hour", "btu": "BTU/ft² an hour"}[unit]
    notes.append(f"radiation: column {name!r} in {written}")
    return values * SUN_UNITS.get(unit, 1.0)


def _oktas(name: str, values: pd.Series, notes: list[str]) -> pd.Series:
    """Cloud cover, its unit detected from heading and values; NaN where it is impossible. [okta]"""
    most = values.max()
    if "pct" in name.lower() or "%" in name or most > 10.0:
        unit, whole = "%", 100.0
    elif most <= 1.0 and "okta" not in name.lower():
        unit, whole = "shares of 1", 1.0
    else:
        unit, whole = ("tenths", 10.0) if "tenth" in name.lower() or most > 8.0 else ("eighths", 8.0)
    notes.append(f"cloud cover: column {name!r} in {unit}")
    return (8.0 * values / whole).where(lambda okta: (okta >= 0.0) & (okta <= 8.0))


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
    """Rows in order, one for each time, without impossible temperatures."""
    hours = hours[hours.index.notna()].sort_index()
    odd = (hours["air_c"] < PLAUSIBLE_C[0]) | (hours["air_c"] > PLAUSIBLE_C[1])
    if odd.any():
        notes.append(
            f"temperatures outside {PLAUSIBLE_C[0]:.0f} to {PLAUSIBLE_C[1]:.0f} °C, left out: {int(odd.sum())}"
        )
        hours.loc[odd, "air_c"] = float("nan")
    doubled = hours.index.duplicated(keep=False)
    if doubled.any():
        notes.append(f"times that occur more than once, averaged: {int(hours.index.duplicated().sum())}")
        hours = hours.groupby(level=0).mean()
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
    return hours
