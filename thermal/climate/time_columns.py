"""Which columns of a file hold the time: one, a date and a clock, or year, month, day and hour."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from thermal.climate.date_order import STAMP, WrittenTimes, looks_like_time, parse_times
from thermal.climate.table_layout import TextTable
from thermal.data.column_words import has_word, plain, words_table
from thermal.errors import ClimateError

CLOCK = re.compile(r"^\d{1,2}[:.h]\d{2}([:.]\d{2})?(\s*[ap]\.?m\.?)?$|^\d{1,2}\s*[ap]\.?m\.?$", re.IGNORECASE)
ZONE = re.compile(r"(?:^|[^a-z])(?:utc|gmt)\s*([+-]\d{1,2})?:?(\d{2})?", re.IGNORECASE)
PARTS = ("year", "month", "day", "hour", "minute")


@dataclass(frozen=True)
class TimesOfRows:
    """Times of the rows of a table.

    Attributes
    ----------
    written : WrittenTimes
        The times, with the offset from UTC that a heading gives where the cells give none.
    headings : tuple of str
        Columns that they come from.
    notes : tuple of str
        A sentence on everything decided.
    """

    written: WrittenTimes
    headings: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def has_offset(self) -> bool:
        """Whether every time that can be read has an offset from UTC."""
        readable = ~self.written.clock.isna()
        return bool(readable.any() and np.isfinite(self.written.offset_h[readable]).all())

    def in_utc(self) -> pd.DatetimeIndex:
        """The times in UTC, where they have an offset."""
        return (self.written.clock - pd.to_timedelta(self.written.offset_h, unit="h")).tz_localize("UTC")


def times_of(table: TextTable, asked: str | None = None, column: str | None = None) -> TimesOfRows:
    """Times of the rows of a table.

    Parameters
    ----------
    table : TextTable
        The table.
    asked : str, optional
        "day-first" or "month-first", as the user says.
    column : str, optional
        Heading of the column of times, as the user says.

    Raises
    ------
    ClimateError
        When no columns hold times, or they cannot be read, or the order of day and month is open.
    """
    cells = table.cells
    headings = (column,) if column is not None else time_headings(cells)
    if not headings:
        names = ", ".join(repr(str(name)) for name in list(cells.columns)[:12])
        raise ClimateError(
            f'{table.path}: no time among the columns {names}; name one "time", or add --column time="HEADING"'
        )
    try:
        written = parse_times(_joined_text(cells, headings), asked)
    except ValueError as fault:
        message = str(fault)
        where = f"{table.path}, " if message.startswith("line ") else f"{table.path}: "
        raise ClimateError(where + message) from fault
    zone = next((match for name in headings if (match := ZONE.search(name.replace("_", " ")))), None)
    notes = list(written.notes)
    if zone is not None and not np.isfinite(written.offset_h).any():
        hours = float(zone[1] or 0)
        hours += np.copysign(float(zone[2] or 0) / 60.0, hours)
        written = replace(written, offset_h=np.full(len(cells), hours))
        notes.append(f"times are in UTC{'' if hours == 0 else f' {hours:+g} h'}, as their heading says")
    return TimesOfRows(written, headings, tuple(notes))


def time_headings(cells: pd.DataFrame) -> tuple[str, ...]:
    """Headings of the columns that hold the time, in the order date, clock; empty where there are none."""
    words = words_table()["time"]
    plain_names = {str(name): plain(str(name)) for name in cells.columns}
    named = {
        name: text == "" or has_word(text, words["whole"])
        for name, text in plain_names.items()
        if not has_word(text, words["not_these"])
    }
    dated = [name for name in named if looks_like_time(cells[name])]
    whole = [name for name in dated if named[name] and not _is_date_only(cells[name])]
    if whole:
        return (next((name for name in whole if "utc" in plain_names[name].split()), whole[0]),)
    clocks = [name for name in named if _is_clock(cells[name]) and name not in dated]
    dates = [name for name in dated if _is_date_only(cells[name])]
    hours = [name for name, text in plain_names.items() if text in words["hour"] and name not in dated]
    for name in dates:
        beside = [clock for clock in (*clocks, *hours) if clock != name]
        if beside:
            return name, beside[0]
    parts = {part: next((name for name, text in plain_names.items() if text in words[part]), None) for part in PARTS}
    if all(parts[part] is not None for part in PARTS[:4]):
        return tuple(name for name in parts.values() if name is not None)
    by_content = [name for name in dated if cells[name].head(50).map(lambda cell: bool(STAMP.match(cell))).mean() > 0.5]
    return tuple(by_content[:1] or [name for name in named if named[name] and plain_names[name]][:1])


def _is_date_only(text: pd.Series) -> bool:
    """Whether a column of dates has no clock, or midnight only with a day's rows to each date."""
    filled = text[text != ""].head(2000)
    clock = filled.str.extract(STAMP.pattern, flags=re.IGNORECASE)["hour"]
    compact = filled.str.fullmatch(r"(?:19|20)\d{6}").mean() > 0.5
    numbers = filled.str.fullmatch(r"\d{9,19}(\.\d+)?").mean() > 0.5
    words = filled.str.contains(r"[a-zA-Z]{3}", regex=True).mean() > 0.5
    if numbers or (words and not compact):
        return bool(words and not filled.str.contains(r"\d:\d\d", regex=True).any())
    midnight = clock.dropna().isin(["0", "00"]).all() and len(filled) > 48
    return bool(compact or clock.isna().all() or (midnight and filled.nunique() < len(filled) / 10))


def _is_clock(text: pd.Series) -> bool:
    """Whether a column holds times of day."""
    filled = text[text != ""].head(500)
    return len(filled) > 0 and bool(filled.map(lambda cell: bool(CLOCK.match(cell))).mean() > 0.5)


def _joined_text(cells: pd.DataFrame, headings: tuple[str, ...]) -> pd.Series:
    """The time of each row as one text."""
    if len(headings) == 1:
        return cells[headings[0]]
    if len(headings) == 2:
        date = cells[headings[0]].str.replace(r"[ T]0{1,2}:00(:00)?(\.0+)?$", "", regex=True)
        date = date.str.replace(r"^((?:19|20)\d\d)(\d\d)(\d\d)$", r"\1-\2-\3", regex=True)
        return (date + " " + _clock_text(cells[headings[1]])).str.strip()
    year, month, day, hour, *minute = (cells[name].str.replace(r"\.0+$", "", regex=True) for name in headings)
    clock = _clock_text(hour)
    if minute:
        clock = clock.str.replace(r":\d\d$", "", regex=True) + ":" + minute[0].str.zfill(2)
    return year + "-" + month + "-" + day + " " + clock


def _clock_text(clock: pd.Series) -> pd.Series:
    """Times of day as hours and minutes: 7 is 7:00, and 730 is 7:30 where numbers go beyond 24."""
    whole = clock.str.fullmatch(r"\d{1,4}")
    numbers = pd.to_numeric(clock.where(whole), errors="coerce")
    if not whole.any():
        return clock
    hour, minute = (numbers // 100, numbers % 100) if numbers.max() > 24 else (numbers, 0 * numbers)
    written = hour.map("{:.0f}".format) + ":" + minute.map("{:02.0f}".format)
    return clock.mask(whole, written)
