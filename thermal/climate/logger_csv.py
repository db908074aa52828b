"""A logger's CSV: time and any of outdoor, room and water temperature and heater watts, by whole hours."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.climate.text_file import check_span, decode
from thermal.core.arrays import Array
from thermal.errors import ClimateError

LONGEST_GAP_H = 6  # of outdoor air and watts, which drive the model; bridged by straight lines
HEADINGS = {
    "time": ("time", "date", "timestamp", "local_time"),
    "outdoor_c": ("outdoor", "outside", "out"),
    "room_c": ("room", "air", "garage", "indoor", "shed"),
    "water_c": ("water", "tank", "fish"),
    "heater_w": ("watts", "watt", "heater", "power", "w"),
}


@dataclass(frozen=True)
class Log:
    """Hourly means over whole days of local time; None for what was not logged, not-a-number where it is missing."""

    times: pd.DatetimeIndex
    outdoor_c: Array | None
    room_c: Array | None
    water_c: Array | None
    heater_w: Array | None


def read_log(path: Path) -> Log:
    """Read a logger's file; temperatures in Fahrenheit where a heading says F.

    Raises
    ------
    ClimateError
        When the file cannot be read, has no times, no water or room temperature, or too little of them.
    """
    table = _table(path)
    result = {key: _heading(table, words) for key, words in HEADINGS.items()}
    if result["time"] is None:
        raise ClimateError(f"{path}: no column of times; head it 'time'")
    times = _times(table[result["time"]], path)
    columns = {
        key: _numbers(table[name], str(name)) for key, name in result.items() if key != "time" and name is not None
    }
    if not {"room_c", "water_c"} & set(columns):
        raise ClimateError(f"{path}: neither a 'water' nor a 'room' column; there is nothing to fit to")
    hourly = pd.DataFrame(columns).set_axis(times).sort_index().resample("h").mean()
    days = hourly.index.normalize()
    first = days[0] + pd.Timedelta(days=int(hourly.index[0] != days[0]))
    hourly = hourly.loc[first : days[-1] + pd.Timedelta(days=int(hourly.index[-1].hour == 23)) - pd.Timedelta("1h")]
    for name in ("outdoor_c", "heater_w"):
        if name in hourly:
            hourly[name] = (
                hourly[name].interpolate(limit=LONGEST_GAP_H, limit_area="inside").bfill(limit=1).ffill(limit=1)
            )
            if hourly[name].isna().any():
                gone = hourly.index[hourly[name].isna()][0]
                raise ClimateError(f"{path}: no {name.split('_')[0]} for more than {LONGEST_GAP_H} h from {gone}")
    arrays = {
        name: hourly[name].to_numpy(dtype=float) if name in hourly else None for name in HEADINGS if name != "time"
    }
    return Log(pd.DatetimeIndex(hourly.index), **arrays)


def _table(path: Path) -> pd.DataFrame:
    text, _ = decode(path)
    separator = ";" if text.split("\n", 1)[0].count(";") else ","
    try:
        return pd.read_csv(io.StringIO(text), sep=separator, decimal="," if separator == ";" else ".", comment="#")
    except (ValueError, pd.errors.ParserError) as fault:
        notes = str(fault).strip().rpartition("error: ")[2]
        raise ClimateError(f"{path}: is not a table of comma- or semicolon-separated values ({notes})") from fault


OFFSET = r"(\d)\s*(?:Z|[+-]\d\d:?\d\d|(?<=:\d\d)\s*[+-]\d\d)$"  # at a time's end; "-05" ends a date too


def _times(column: pd.Series, path: Path) -> pd.DatetimeIndex:
    """Local times; a zone's offset is dropped, since a logger shows the clock of its place."""
    if not len(column):
        raise ClimateError(f"{path}: has a heading but no rows")
    written = column.astype(str).str.replace(OFFSET, r"\1", regex=True)
    try:
        times = pd.DatetimeIndex(pd.to_datetime(written, format="ISO8601", errors="coerce")).tz_localize(None)
    except ValueError as fault:  # zones in a form that pandas knows and we do not, and not the same in all rows
        raise ClimateError(f"{path}: its times are not all of one form ({fault})") from fault
    if times.isna().any():
        first = int(times.isna().argmax())
        raise ClimateError(
            f"{path}, line {first + 2}: {str(column.iloc[first])[:40]!r} is not a time such as 2026-01-31 18:00"
        )
    check_span(path, times)
    return times


def _heading(table: pd.DataFrame, words: tuple[str, ...]) -> str | None:
    for word in words:
        for name in table.columns:
            if re.match(rf"{word}(?![a-z])", str(name).strip().lower().replace("_", " ")):
                return str(name)
    return None


def _numbers(column: pd.Series, heading: str) -> Array:
    values = pd.to_numeric(column, errors="coerce").to_numpy(dtype=float)
    fahrenheit = re.search(r"(?:[\s_(\[°]|deg)F\b", heading, re.IGNORECASE)
    return np.asarray((values - 32.0) / 1.8 if fahrenheit else values)
