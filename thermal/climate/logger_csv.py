"""A data logger's CSV: times, and hourly temperatures of outdoor air, room and water, and heater power."""

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

LONGEST_GAP_H = 6  # longest gap in outdoor temperature and heater power, filled by a straight line
HEADINGS = {
    "time": ("time", "date", "timestamp", "local_time"),
    "outdoor_c": ("outdoor", "outside", "out"),
    "room_c": ("room", "air", "garage", "indoor", "shed"),
    "water_c": ("water", "tank", "fish"),
    "heater_w": ("watts", "watt", "heater", "power", "w"),
}


@dataclass(frozen=True)
class Log:
    """Hourly means of a log over whole days of local time.

    Attributes
    ----------
    times : DatetimeIndex
        Start of each hour, local time.
    outdoor_c : Array or None, shape (hour,)
        Outdoor air temperature [degC]; None where it was not logged.
    room_c : Array or None, shape (hour,)
        Room air temperature [degC], NaN in missing hours; None where it was not logged.
    water_c : Array or None, shape (hour,)
        Water temperature [degC], NaN in missing hours; None where it was not logged.
    heater_w : Array or None, shape (hour,)
        Heater power [W]; None where it was not logged.
    """

    times: pd.DatetimeIndex
    outdoor_c: Array | None
    room_c: Array | None
    water_c: Array | None
    heater_w: Array | None


def read_log(path: Path) -> Log:
    """Read a logger's file.

    Parameters
    ----------
    path : Path
        The CSV file, gzipped or not. Temperatures are in Fahrenheit where a heading says F, otherwise in Celsius.

    Returns
    -------
    Log
        Its hourly means.

    Raises
    ------
    ClimateError
        When the file cannot be read, has no times, no water or room temperature, or too long a gap in outdoor
        temperature or heater power.
    """
    table = _table(path)
    result = {key: _heading(table, words) for key, words in HEADINGS.items()}
    if result["time"] is None:
        raise ClimateError(f"{path}: no column of times; name it 'time'")
    times = _times(table[result["time"]], path)
    columns = {
        key: _numbers(table[name], str(name)) for key, name in result.items() if key != "time" and name is not None
    }
    if not {"room_c", "water_c"} & set(columns):
        raise ClimateError(f"{path}: neither a 'water' nor a 'room' column; calibration needs at least one of them")
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
                what = "outdoor temperature" if name == "outdoor_c" else "heater power"
                raise ClimateError(
                    f"{path}, {gone:%Y-%m-%d %H:%M}: no {what} for more than {LONGEST_GAP_H} h; fill in the missing"
                    " hours, or leave out the column"
                )
    arrays = {
        name: hourly[name].to_numpy(dtype=float) if name in hourly else None for name in HEADINGS if name != "time"
    }
    return Log(pd.DatetimeIndex(hourly.index), **arrays)


def _table(path: Path) -> pd.DataFrame:
    """The columns of the file as they are."""
    text, _ = decode(path)
    separator = ";" if text.split("\n", 1)[0].count(";") else ","
    try:
        return pd.read_csv(io.StringIO(text), sep=separator, decimal="," if separator == ";" else ".", comment="#")
    except (ValueError, pd.errors.ParserError) as fault:
        notes = str(fault).strip().rpartition("error: ")[2]
        raise ClimateError(f"{path}: not a table of comma- or semicolon-separated values ({notes})") from fault


OFFSET = (
    r"(\d)\s*(?:Z|[+-]\d\d:?\d\d|(?<=:\d\d)\s*[+-]\d\d)$"  # an offset at the end of a time; a date may end in "-05" too
)


def _times(column: pd.Series, path: Path) -> pd.DatetimeIndex:
    """Local times; an offset is left out, because a logger shows the clock of its place."""
    if not len(column):
        raise ClimateError(f"{path}: a heading but no rows; add the logged hours")
    written = column.astype(str).str.replace(OFFSET, r"\1", regex=True)
    try:
        times = pd.DatetimeIndex(pd.to_datetime(written, format="ISO8601", errors="coerce")).tz_localize(None)
    except ValueError as fault:  # offsets in a form that OFFSET does not match, and not the same in all rows
        raise ClimateError(f"{path}: times are not all written in one form ({fault})") from fault
    if times.isna().any():
        first = int(times.isna().argmax())
        raise ClimateError(
            f"{path}, line {first + 2}: {str(column.iloc[first])[:40]!r} is not a time; write for example 2026-01-31"
            " 18:00"
        )
    check_span(path, times)
    return times


def _heading(table: pd.DataFrame, words: tuple[str, ...]) -> str | None:
    """The first heading that begins with one of the words."""
    for word in words:
        for name in table.columns:
            if re.match(rf"{word}(?![a-z])", str(name).strip().lower().replace("_", " ")):
                return str(name)
    return None


def _numbers(column: pd.Series, heading: str) -> Array:
    """Numbers of a column, degF converted to degC by its heading; NaN for any other text."""
    values = pd.to_numeric(column, errors="coerce").to_numpy(dtype=float)
    fahrenheit = re.search(r"(?:[\s_(\[°]|deg)F\b", heading, re.IGNORECASE)
    return np.asarray((values - 32.0) / 1.8 if fahrenheit else values)
