"""Times written in any form. Where day and month could be exchanged, evidence decides, or the file is refused.

An order of day, month and year is possible when all times can be read in it and come one after the other. Where two are
possible, the one is taken that leaves at most a tenth of the missing hours of the other; else the user has to say.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import pandas as pd

ORDERS = {"day-first": "dmy", "month-first": "mdy", "year-first": "ymd"}
STAMP = re.compile(
    r"^(?P<a>\d{1,4})[./-](?P<b>\d{1,2})[./-](?P<c>\d{1,4})\.?"
    r"(?:[\sT,]+(?P<hour>\d{1,2})(?:[:.h](?P<minute>\d{2}))?(?:[:.](?P<second>\d{2})(?:[.,]\d+)?)?"
    r"\s*(?P<half>[ap]\.?\s?m\.?)?)?\s*(?:uhr|h)?"
    r"\s*(?P<offset>Z|UTC|GMT|[+-]\d\d:?\d\d|[+-]\d\d)?$",
    re.IGNORECASE,
)
COMPACT = re.compile(r"^(?P<a>(?:19|20)\d\d)(?P<b>[01]\d)(?P<c>[0-3]\d)(?:T?(?P<hour>\d\d)(?P<minute>\d\d)?\d{0,2})?$")
MONTH = re.compile(r"\b(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\b.*\d", re.IGNORECASE)
EPOCH = re.compile(r"^\d{9,10}(\.\d+)?$|^\d{12,13}(\.\d+)?$|^\d{15,16}$|^\d{18,19}$")
EPOCH_UNITS = ((1e11, "s", "seconds"), (1e14, "ms", "milliseconds"), (1e17, "us", "microseconds"))
CLOCK_CHANGE = pd.Timedelta("1h")  # how far times may step back
FEWER = 0.1  # share of the missing hours of the other order
MOST_UNREADABLE = 0.02


@dataclass(frozen=True)
class WrittenTimes:
    """Times of the rows of a file.

    Attributes
    ----------
    clock : DatetimeIndex
        As they are written, without an offset; NaT where they cannot be read.
    offset_h : Array of float, shape (row,)
        Offset from UTC that is written beside them [h]; NaN where none is.
    order : str
        "day-first", "month-first", "year-first", or "" where nothing had to be decided.
    notes : tuple of str
        A sentence on everything decided.
    """

    clock: pd.DatetimeIndex
    offset_h: np.ndarray
    order: str
    notes: tuple[str, ...]


def looks_like_time(text: pd.Series) -> bool:
    """Whether most of the cells are dates or dates with times, in any form."""
    filled = text[text != ""].head(200)
    return len(filled) > 0 and float(filled.map(_form).ne("").mean()) > 0.5


def _form(cell: str) -> str:
    """Form in which a cell writes a time; empty for none."""
    if STAMP.match(cell):
        return "stamp"
    if COMPACT.match(cell):
        return "compact"
    if EPOCH.match(cell):
        return "epoch"
    return "words" if MONTH.search(cell) else ""


def parse_times(text: pd.Series, asked: str | None = None) -> WrittenTimes:
    """Times of a column of text.

    Parameters
    ----------
    text : Series of str
        The cells, in the order of the file.
    asked : str, optional
        "day-first" or "month-first", as the user says.

    Raises
    ------
    ValueError
        When times cannot be read, or their order cannot be decided; the message says why and what to do.
    """
    forms = text.head(2000).map(_form)
    form = str(forms[forms != ""].mode().get(0, ""))
    if form == "epoch":
        return _from_epoch(text)
    if form == "words":
        return _from_words(text)
    if form == "":
        raise ValueError(_not_a_time(text))
    parts = text.str.extract((STAMP if form == "stamp" else COMPACT).pattern, flags=re.IGNORECASE)
    return _from_parts(text, parts, asked)


def _not_a_time(unreadable: pd.Series) -> str:
    """Message on cells that are no times."""
    line, cell = next(((line, cell) for line, cell in unreadable.items() if cell), (unreadable.index[0], ""))
    return f"line {line}: {cell[:40]!r} is not a time; write for example 2020-01-31T07:00Z"


def _refuse_unreadable(text: pd.Series, clock: pd.DatetimeIndex, notes: list[str]) -> None:
    """Raise where more than a few cells are no times; count the others."""
    unreadable = text[clock.isna()]
    if len(unreadable) > MOST_UNREADABLE * len(text):
        raise ValueError(_not_a_time(unreadable))
    if len(unreadable):
        notes.append(
            f"rows without a readable time, left out: {len(unreadable)}, the first in line {unreadable.index[0]}"
        )


def _from_epoch(text: pd.Series) -> WrittenTimes:
    """Seconds, milliseconds, microseconds or nanoseconds since 1970, in UTC."""
    numbers = pd.to_numeric(text, errors="coerce")
    size = float(numbers.median())
    unit, shown = next(((unit, shown) for limit, unit, shown in EPOCH_UNITS if size < limit), ("ns", "nanoseconds"))
    clock = pd.DatetimeIndex(pd.to_datetime(numbers, unit=unit, errors="coerce")).as_unit("us").round("s")
    notes = [f"times are {shown} since 1970, in UTC"]
    _refuse_unreadable(text, clock, notes)
    return WrittenTimes(clock, np.where(clock.isna(), np.nan, 0.0), "", tuple(notes))


def _from_words(text: pd.Series) -> WrittenTimes:
    """Dates with the name of the month, in English."""
    aware = text.str.contains(r"(?:Z|UTC|GMT|[+-]\d\d:?\d\d)$", regex=True)
    stamps = pd.to_datetime(text, errors="coerce", format="mixed", utc=True)
    notes: list[str] = []
    clock = pd.DatetimeIndex(stamps).tz_localize(None)
    _refuse_unreadable(text, clock, notes)
    return WrittenTimes(clock, np.where(aware, 0.0, np.nan), "", tuple(notes))


def _from_parts(text: pd.Series, parts: pd.DataFrame, asked: str | None) -> WrittenTimes:
    """Times of dates in numbers."""
    first, third = parts["a"].dropna().str.len(), parts["c"].dropna().str.len()
    year_first, year_last = bool((first == 4).mean() >= 0.5), bool((third == 4).mean() > 0.5)
    orders = ["ymd"] if year_first else ["dmy", "mdy"] if year_last else ["dmy", "mdy", "ymd"]
    if asked is not None and not year_first:
        orders = [ORDERS[asked]]
    clocks = {order: _clock(parts, order) for order in orders}
    order, notes = _decide(text, clocks)
    clock = clocks[order]
    _refuse_unreadable(text, clock, notes)
    if (parts["hour"] == "24").any():
        notes.append("24:00 is read as midnight at the end of the day")
    if asked is not None and not year_first:
        notes.append(f"dates are read {asked}, as asked")
    offset = parts["offset"] if "offset" in parts else pd.Series(np.nan, index=parts.index)
    name = next(name for name, letters in ORDERS.items() if letters == order)
    return WrittenTimes(clock, _offset_hours(offset), "" if year_first else name, tuple(notes))


def _clock(parts: pd.DataFrame, order: str) -> pd.DatetimeIndex:
    """Times of the numbers in one order of day, month and year; NaT where they are none."""
    numbers = {
        name: pd.to_numeric(parts[name], errors="coerce") if name in parts else pd.Series(np.nan, index=parts.index)
        for name in ("a", "b", "c", "hour", "minute", "second")
    }
    place = {letter: numbers["abc"[order.index(letter)]] for letter in "dmy"}
    year = place["y"].where(place["y"] >= 100, place["y"] + np.where(place["y"] >= 70, 1900, 2000))
    hour = numbers["hour"].fillna(0)
    if "half" in parts:
        half = parts["half"].str.lower().str[0]
        hour = hour.where(half.isna() | (hour.between(1, 12)), np.nan)
        hour = hour.mask(half == "a", hour % 12).mask(half == "p", hour % 12 + 12)
    minute, second = numbers["minute"].fillna(0), numbers["second"].fillna(0)
    possible = hour.between(0, 23) | ((hour == 24) & (minute == 0))
    possible &= minute.between(0, 59) & second.between(0, 60) & year.between(1, 9999)
    date = pd.DataFrame({"year": year, "month": place["m"], "day": place["d"]}).where(possible)
    seconds = pd.to_timedelta(hour * 3600 + minute * 60 + second, unit="s").dt.as_unit("us")
    with_date = pd.to_datetime(date, errors="coerce").astype("datetime64[us]")
    return pd.DatetimeIndex(with_date + seconds)


def _offset_hours(offset: pd.Series) -> np.ndarray:
    """Offsets from UTC as numbers. [h]"""
    parts = offset.astype("string").str.extract(r"(?P<sign>[+-])(?P<hour>\d\d):?(?P<minute>\d\d)?$")
    hours = (
        pd.to_numeric(parts["hour"], errors="coerce") + pd.to_numeric(parts["minute"], errors="coerce").fillna(0) / 60
    )
    signed = hours.where(parts["sign"] != "-", -hours).astype(float)
    return np.where(offset.notna() & signed.isna(), 0.0, signed.to_numpy(dtype=float, na_value=np.nan))


def _decide(text: pd.Series, clocks: dict[str, pd.DatetimeIndex]) -> tuple[str, list[str]]:
    """The order of day, month and year that the times themselves tell."""
    if len(clocks) == 1:
        return next(iter(clocks)), []
    unreadable = {order: clock.isna() for order, clock in clocks.items()}
    some = ~np.logical_and.reduce(list(unreadable.values()))  # rows that can be read in at least one order
    readable = [order for order in clocks if not (unreadable[order] & some).any()]
    shown = {letters: name for name, letters in ORDERS.items()}
    if not readable:
        lines = [text.index[unreadable[order] & some][0] for order in ("dmy", "mdy")]
        raise ValueError(
            f"line {lines[0]}: {text[lines[0]]!r} is no day-first date, and line {lines[1]}: {text[lines[1]]!r} is no"
            " month-first date; write all dates in one order"
        )
    if len(readable) == 1 or all((clocks[order] == clocks[readable[0]])[some].all() for order in readable):
        other = next((order for order in clocks if order not in readable), None)
        line = text.index[0] if other is None else text.index[unreadable[other] & some][0]
        why = f"{text[line]!r} in line {line} leaves no other order"
        return readable[0], [] if other is None else [f"dates are {shown[readable[0]]}: {why}"]
    missing = {order: _missing_steps(clocks[order]) for order in readable}
    possible = sorted((steps, order) for order, steps in missing.items() if steps is not None)
    if len(possible) == 1:
        order = possible[0][1]
        return order, [f"dates are {shown[order]}: in another order the times would not come one after the other"]
    if len(possible) > 1 and possible[0][0] < possible[1][0] and possible[0][0] <= FEWER * possible[1][0]:
        (fewer, order), (more, _) = possible[:2]
        return order, [f"dates are {shown[order]}: so {fewer:,} times are missing, in another order {more:,}"]
    raise ValueError(
        f"{text.iloc[0]!r} may be day-first or month-first, and nothing in the file tells; add --dates day-first or"
        " --dates month-first"
    )


def _missing_steps(clock: pd.DatetimeIndex) -> int | None:
    """How many times are missing between the first and the last; None where they do not come one after the other."""
    times = clock.dropna()
    if len(times) < 2:
        return 0
    if times[-1] < times[0]:
        times = times[::-1]  # the newest first
    steps = times[1:] - times[:-1]
    forward = steps[steps > pd.Timedelta(0)]
    if (steps < -CLOCK_CHANGE).any() or not len(forward):
        return None
    step = max(forward.to_series().median(), pd.Timedelta("1min"))
    return max(0, int((times[-1] - times[0]) / step + 0.5) + 1 - len(times))
