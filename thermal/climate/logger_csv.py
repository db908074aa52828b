"""Data loggers' files: hourly temperatures of outdoor air, room and water, and heater power; one file or several."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.climate.plausible_values import doubt_of_log, oddities, unit_of_log
from thermal.climate.season_calendar import standard_offset
from thermal.climate.sensor_table import (
    ReadOptions,
    SensorTable,
    columns_text,
    listing,
    read_sensors,
    si_values,
    unit_hint,
)
from thermal.core.arrays import Array
from thermal.data.column_words import ColumnUnit, column_roles, column_units
from thermal.errors import ClimateError

LONGEST_GAP_H = 6  # longest gap in outdoor temperature and heater power, filled by a straight line
SHORTEST_STRETCH_H = 72  # of a log with gaps; shorter ones are left out
MOST_STRETCHES = 6  # the longest ones; each has a start of slab and ground that a calibration has to find
COLUMNS = ("outdoor_c", "room_c", "water_c", "heater_w")
ALL = ""  # key of a file that may have all columns


@dataclass(frozen=True)
class Log:
    """Hourly means of a log over whole days of local time.

    Attributes
    ----------
    times : DatetimeIndex
        Start of each hour, local time. Days without outdoor temperature or heater power are left out.
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

    def stretches(self) -> list[slice]:
        """Rows of each stretch of hours that follow one another."""
        if not len(self.times):
            return []
        breaks = np.flatnonzero(np.diff(self.times.to_numpy()) != np.timedelta64(1, "h")) + 1
        edges = [0, *breaks.tolist(), len(self.times)]
        return [slice(first, last) for first, last in pairwise(edges)]


@dataclass(frozen=True)
class LogReading:
    """A log, and how its files were read.

    Attributes
    ----------
    log : Log
        The log.
    columns : tuple of str
        One line for every column of every file: what it is read as, or that it is not used.
    notes : tuple of str
        A sentence on everything decided or odd.
    """

    log: Log
    columns: tuple[str, ...]
    notes: tuple[str, ...]


def read_log(path: Path) -> Log:
    """Read one logger's file, its clock as it is written.

    Parameters
    ----------
    path : Path
        The CSV file, gzipped or not.

    Raises
    ------
    ClimateError
        When the file cannot be read, has no times, or no water or room temperature.
    """
    return read_logs({ALL: path}, ReadOptions()).log


def read_logs(
    files: Mapping[str, Path], options: ReadOptions, zone: str | None = None, usual_unit: str | None = None
) -> LogReading:
    """Read a log from one file, or from a file for each sensor.

    Parameters
    ----------
    files : mapping of str to Path
        Files by role: "outdoor_c", "room_c", "water_c", "heater_w", or `ALL` for a file with several columns.
    options : ReadOptions
        What the user says about the files.
    zone : str, optional
        Time zone of the place. Times with an offset from UTC become its standard time; without it, the clock is taken
        as it is written.
    usual_unit : str, optional
        "degC" or "degF": unit of temperatures where neither headings nor values tell.

    Raises
    ------
    ClimateError
        When a file cannot be read, a column is open, values contradict their unit, or there is no water and no room
        temperature.
    """
    series: dict[str, pd.Series] = {}
    lines: list[str] = []
    notes: list[str] = []
    for only, path in files.items():
        table = read_sensors(path, _options_of(only, files, options), weather=False, only=only or None)
        if only == ALL and not {"room_c", "water_c"} & set(table.numbers) and len(files) == 1:
            raise ClimateError(
                f"{path}: neither a water nor a room temperature among the columns {columns_text(table.uses)};"
                ' calibration needs at least one of them: name it, or add --column water="HEADING" or --column'
                ' room="HEADING"'
            )
        columns, table = _local_columns(table, zone, usual_unit, notes)
        lines += [f"{path.name}: {line}" if len(files) > 1 else line for line in listing(table.uses)]
        for role, values in columns.items():
            if role in series:
                raise ClimateError(f"{path}: the {column_roles()[role].shown} is in another file already")
            series[role] = values
    if not {"room_c", "water_c"} & set(series):
        raise ClimateError("fit: neither a water nor a room temperature; calibration needs at least one of them")
    if "outdoor_c" not in series:
        notes.append("no outdoor air temperature in the log: it comes from the plan's weather file")
    if "heater_w" not in series:
        notes.append("no heater power in the log: it is that of the heaters that the plan names, or none")
    return LogReading(_log(series, next(iter(files.values())), notes), tuple(lines), tuple(notes))


def _options_of(only: str, files: Mapping[str, Path], options: ReadOptions) -> ReadOptions:
    """What the user says about one of several files: columns and units of the roles that it may have."""
    elsewhere = [role for role in (column_roles() if only else files) if role not in (ALL, only)]
    foreign = {column_roles()[role].option for role in elsewhere}

    def kept(words: Mapping[str, str]) -> dict[str, str]:
        return {option: word for option, word in words.items() if option not in foreign}

    return replace(options, columns=kept(options.columns), units=kept(options.units))


def _local_columns(
    table: SensorTable, zone: str | None, usual_unit: str | None, notes: list[str]
) -> tuple[dict[str, pd.Series], SensorTable]:
    """Hourly means of a file in SI units by local time, and the file with the units decided."""
    index = _local_times(table, zone, notes)
    table = table.with_units(_missing_units(table, index, usual_unit, notes))
    columns: dict[str, pd.Series] = {}
    for role in table.numbers:
        unit = table.units[role]
        assert unit is not None
        values, left_out = si_values(table, role, unit, index)
        values = values[values.index.notna()].sort_index(kind="stable")
        if not values.notna().any():
            raise ClimateError(
                f"{table.path}: no numbers for {column_roles()[role].shown}; leave the column out, or log again"
            )
        doubt = doubt_of_log(role, values)
        if doubt and not table.user_gave_unit(role):
            heading = next(use.heading for use in table.uses if use.role == role)
            raise ClimateError(
                f"{table.path}: {heading!r} cannot be in {unit.shown}: {doubt}; {unit_hint(table, role)}"
            )
        notes += [f"{table.path.name}: {note}" for note in (*table.notes, *left_out)] if not columns else left_out
        if role != "heater_w":
            notes += oddities(values, column_roles()[role].shown)
        if len(values):
            columns[role] = values.resample("h").mean()
    return columns, table


def _missing_units(
    table: SensorTable, index: pd.DatetimeIndex, usual_unit: str | None, notes: list[str]
) -> dict[str, ColumnUnit]:
    """Units of columns whose headings have none: all temperatures of one file have the same."""
    decided = {}
    if table.units.get("heater_w", "") is None:
        decided["heater_w"] = column_units()["W"]
        notes.append(f"{table.path.name}: heater power without a unit is read in W")
    roles = [role for role, unit in table.units.items() if unit is None and role != "heater_w"]
    if not roles:
        return decided
    rows = table.numbers.set_axis(index)
    rows = rows[rows.index.notna()].sort_index()
    unit = unit_of_log({role: rows[role] for role in roles})
    why = "as their values tell"
    if unit is None and usual_unit is not None:
        unit, why = column_units()[usual_unit], "the plan's unit, since the values may be in °C or in °F"
    if unit is None:
        raise ClimateError(
            f"{table.path}: temperatures without a unit may be in °C or in °F, or no unit fits all;"
            f" {unit_hint(table, roles[0])}"
        )
    notes.append(f"{table.path.name}: temperatures without a unit are read in {unit.shown}, {why}")
    return decided | dict.fromkeys(roles, unit)


def _local_times(table: SensorTable, zone: str | None, notes: list[str]) -> pd.DatetimeIndex:
    """Times of the rows: standard time of the zone where they have an offset from UTC, else as they are written."""
    if zone is None or not table.times.has_offset:
        return table.times.written.clock
    utc = table.times.in_utc().tz_localize(None)
    if not len(utc.dropna()):
        return utc
    notes.append(f"{table.path.name}: times with an offset from UTC are read as standard time of {zone}")
    return utc + pd.Timedelta(standard_offset(zone, int(utc.dropna()[0].year)))


def _log(series: Mapping[str, pd.Series], path: Path, notes: list[str]) -> Log:
    """The log of the hours in which everything is known that a simulation needs."""
    table = pd.DataFrame(dict(series))
    table = table.reindex(pd.date_range(table.index[0], table.index[-1], freq="h"))
    whole = pd.Series(True, index=table.index)
    for name in ("outdoor_c", "heater_w"):
        if name in table:
            filled = table[name].interpolate(limit=LONGEST_GAP_H, limit_area="inside").bfill(limit=1).ffill(limit=1)
            table[name] = filled.mask(_in_long_gap(table[name]))
            whole &= table[name].notna()
    measured = table.columns.intersection(["room_c", "water_c"])
    ends = table[measured].dropna(how="all").index
    whole &= (table.index >= ends[0]) & (table.index <= ends[-1]) if len(ends) else False
    days = _whole_days(whole)
    kept = table[days]
    gone = [
        column_roles()[name].shown for name in ("outdoor_c", "heater_w") if name in table and table[name].isna().any()
    ]
    if not len(kept) and gone:
        first = table.index[~whole][0]
        raise ClimateError(
            f"{path}, {first:%Y-%m-%d %H:%M}: no {' or '.join(gone)} for more than {LONGEST_GAP_H} h, and no"
            f" {SHORTEST_STRETCH_H // 24} whole days without such a gap; leave out the column, or log again"
        )
    arrays = {name: kept[name].to_numpy(dtype=float) if name in kept else None for name in COLUMNS}
    log = Log(pd.DatetimeIndex(kept.index), **arrays)
    if len(log.stretches()) > 1 or len(kept) < len(table) - 48:
        ends = [(log.times[part.start], log.times[part.stop - 1]) for part in log.stretches()]
        parts = ", ".join(f"{first:%Y-%m-%d} to {last:%Y-%m-%d}" for first, last in ends)
        notes.append(f"hours used: {len(kept):,} of {len(table):,}, in whole days without long gaps: {parts}")
    return log


def _in_long_gap(column: pd.Series) -> pd.Series:
    """Hours inside a gap that is too long to be filled."""
    missing = column.isna()
    run = (missing != missing.shift()).cumsum()
    return missing & (missing.groupby(run).transform("sum") > LONGEST_GAP_H)


def _whole_days(whole: pd.Series) -> pd.Series:
    """Hours of the whole days in each stretch; where there are several stretches, only of the longer ones."""
    run = (whole != whole.shift()).cumsum()[whole]
    kept = pd.Series(False, index=whole.index)
    runs = [part.index for _, part in run.groupby(run)]
    for hours in sorted(runs, key=len)[-MOST_STRETCHES:]:
        first, last = hours[0].ceil("D"), (hours[-1] + pd.Timedelta("1h")).floor("D") - pd.Timedelta("1h")
        if len(runs) == 1 or last - first >= pd.Timedelta(hours=SHORTEST_STRETCH_H - 1):
            kept[first:last] = True
    return kept
