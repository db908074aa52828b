"""Tables with one row for each value of each sensor, turned into one column for each sensor."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from thermal.climate.cell_numbers import cell_numbers
from thermal.climate.table_layout import TextTable
from thermal.data.column_words import has_word, plain, words_table

MOST_SENSORS = 60
HELD_H = 24  # how long a value holds in a history that has a row only where it changes; our judgement
STEP = "5min"


def long_columns(table: TextTable, times: tuple[str, ...]) -> tuple[list[str], str] | None:
    """Columns that name the sensor of each row, and the column of values; None where a row holds several values.

    Parameters
    ----------
    table : TextTable
        The table.
    times : tuple of str
        Headings of the columns of times.
    """
    words, cells = words_table()["long"], table.cells
    others = [str(name) for name in cells.columns if name not in times]
    values = [name for name in others if has_word(plain(name), words["value"]) and _holds_numbers(cells[name])]
    names = [
        name
        for name in others
        if name not in values
        and _names_sensors(cells[name])
        and not has_word(plain(name), words_table()["time"]["not_these"])
    ]
    if len(values) != 1 or not any(has_word(plain(name), words["name"]) for name in names):
        return None
    numbers = [name for name in others if name not in (*values, *names) and _holds_numbers(cells[name])]
    if any(not has_word(plain(name), ["result", "table", "id", "*index*", "no"]) for name in numbers):
        return None
    return names, values[0]


def _holds_numbers(cells: pd.Series) -> bool:
    """Whether some cells are numbers; a state may also be a word, such as "unavailable"."""
    return bool(pd.to_numeric(cells.str.replace(",", "."), errors="coerce").notna().mean() > 0.3)


def _names_sensors(cells: pd.Series) -> bool:
    """Whether cells are a few words that come again and again."""
    return bool(0 < cells.nunique() <= MOST_SENSORS and cells.str.contains(r"[^\W\d]|[%°]", regex=True).mean() > 0.5)


def sensor_columns(
    table: TextTable, clock: pd.DatetimeIndex, names: list[str], value: str, on_change: bool
) -> tuple[TextTable, pd.DatetimeIndex]:
    """The same values with a column for each sensor and a row for each time.

    Parameters
    ----------
    table : TextTable
        The table, one row for each value.
    clock : DatetimeIndex
        Time of each row.
    names : list of str
        Columns that name the sensor.
    value : str
        Column of the values.
    on_change : bool
        True where a value holds until the next row of its sensor.

    Returns
    -------
    table : TextTable
        Its headings are the words that name each sensor.
    clock : DatetimeIndex
        Time of each row.
    """
    titles = table.cells[names].apply(lambda row: " ".join(dict.fromkeys(cell for cell in row if cell)), axis=1)
    numbers = cell_numbers(table.cells[value]).values
    rows = pd.DataFrame({"title": titles.to_numpy(), "value": numbers.to_numpy()}, index=clock)
    rows = rows[rows.index.notna()].sort_index(kind="stable")
    columns = {}
    for title, part in rows.groupby("title", sort=False):
        series = part["value"][~part.index.duplicated(keep="last")]
        columns[str(title)] = _held(series, rows.index) if on_change else series
    wide = pd.DataFrame(columns)
    text = wide.map(lambda number: "" if pd.isna(number) else repr(float(number)))
    notes = [f"one row for each value; sensors told by {', '.join(map(repr, names))}: {len(columns)}"]
    if on_change:
        notes += [f"a value holds until the next one of its sensor, at most {HELD_H} h"]
    line_numbers = text.set_axis(pd.RangeIndex(2, 2 + len(text)), axis=0)
    return replace(table, cells=line_numbers, notes=(*table.notes, *notes)), pd.DatetimeIndex(wide.index)


def is_on_change(times: tuple[str, ...], value: str) -> bool:
    """Whether a history has a row only where a value changes, by its headings."""
    return any(has_word(plain(name), words_table()["long"]["on_change"]) for name in (*times, value))


def _held(series: pd.Series, times: pd.DatetimeIndex) -> pd.Series:
    """Values every five minutes, each held until the next one."""
    grid = pd.DataFrame({"time": pd.date_range(times[0].floor(STEP), times[-1].ceil(STEP), freq=STEP)})
    known = pd.DataFrame({"time": series.index, "value": series.to_numpy()})
    known["time"] = known["time"].astype(grid["time"].dtype)
    held = pd.merge_asof(grid, known, on="time", direction="backward", tolerance=pd.Timedelta(hours=HELD_H))
    return held.set_index("time")["value"]
