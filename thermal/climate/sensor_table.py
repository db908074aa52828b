"""One reader for weather files and logs: times, columns by role, units, and a list of what every column is read as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import pandas as pd

from thermal.climate.cell_numbers import cell_numbers
from thermal.climate.column_roles import ColumnUse, assign_roles, existing_heading, kind_of, option_of, role_of_option
from thermal.climate.long_form import is_on_change, long_columns, sensor_columns
from thermal.climate.plausible_values import in_si, limits
from thermal.climate.table_layout import TextTable, read_table
from thermal.climate.text_file import check_span, decode
from thermal.climate.time_columns import TimesOfRows, times_of
from thermal.core.suggest import nearest
from thermal.data.column_words import ColumnUnit, column_roles, column_units, heading_unit
from thermal.errors import ClimateError

SHOWN_ROWS = 3  # implausible values that a message shows


@dataclass(frozen=True)
class ReadOptions:
    """What the user says about a file.

    Attributes
    ----------
    dates : str or None
        "day-first" or "month-first".
    columns : mapping of str to str
        Headings by role, as in `--column`; "none" for a role that is not to be read.
    units : mapping of str to str
        Units by role, as in `--unit`.
    """

    dates: str | None = None
    columns: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class SensorTable:
    """Numbers of a file by role, in the units of the file.

    Attributes
    ----------
    path : Path
        The file.
    weather : bool
        Whether it is a weather file.
    times : TimesOfRows
        Times of the rows.
    numbers : DataFrame
        A column for each role; its index is the line of the file.
    units : dict of str to (ColumnUnit or None)
        Units by role; None where neither heading nor cells give one.
    uses : tuple of ColumnUse
        What every column is read as.
    notes : tuple of str
        A sentence on everything decided.
    asked_units : frozenset of str
        Roles whose units the user says.
    """

    path: Path
    weather: bool
    times: TimesOfRows
    numbers: pd.DataFrame
    units: dict[str, ColumnUnit | None]
    uses: tuple[ColumnUse, ...]
    notes: tuple[str, ...]
    asked_units: frozenset[str] = frozenset()

    def with_units(self, decided: Mapping[str, ColumnUnit]) -> SensorTable:
        """The same with units for roles that had none."""
        uses = tuple(
            replace(use, unit=decided[use.role]) if use.role is not None and use.role in decided else use
            for use in self.uses
        )
        return replace(self, units={**self.units, **decided}, uses=uses)

    def without(self, role: str, why: str) -> SensorTable:
        """The same without the column of a role."""
        uses = tuple(
            replace(use, role=None, reading=f"{use.reading}, {why}") if use.role == role else use for use in self.uses
        )
        units = {name: unit for name, unit in self.units.items() if name != role}
        return replace(self, numbers=self.numbers.drop(columns=role), units=units, uses=uses)

    def user_gave_unit(self, role: str) -> bool:
        """Whether the user says the unit of a role."""
        return role in self.asked_units


def read_sensors(path: Path, options: ReadOptions, weather: bool, only: str | None = None) -> SensorTable:
    """Read a file of any layout.

    Parameters
    ----------
    path : Path
        The file, gzipped or not.
    options : ReadOptions
        What the user says about it.
    weather : bool
        True for a weather file, False for a log.
    only : str, optional
        The role of the file's one sensor, whatever its heading says.

    Raises
    ------
    ClimateError
        When it cannot be read, or a column or the order of its dates is open.
    """
    text, notes = decode(path)
    table = read_table(path, text)
    asked = {key: heading for key, heading in options.columns.items() if key != "time"}
    heading = options.columns.get("time")
    time_column = None if heading is None else existing_heading(heading, table.cells)
    times = times_of(table, options.dates, time_column)
    table, times = _one_row_for_each_time(table, times)
    uses = assign_roles(table.cells, times.headings, asked, weather)
    if only is not None:
        uses = _single(path, uses, only)
    numbers, units, notes = {}, {}, [*notes, *table.notes, *times.notes]
    given_units = {role_of_option(option, weather).name: _unit_of_name(unit) for option, unit in options.units.items()}
    for place, use in enumerate(uses):
        if use.role is None or use.role == "time":
            continue
        role = column_roles()[use.role]
        watts = role.kind in ("irradiance", "power")
        cells = cell_numbers(table.cells[use.heading], table.separator == ",", role.high if watts else 0.0)
        unit = given_units.get(use.role) or use.unit or cells.unit
        if unit is not None and unit.kind != role.kind:
            raise ClimateError(f"{path}: {use.heading!r} in {unit.shown} cannot be the {use.reading}")
        numbers[use.role], units[use.role] = cells.values, unit
        uses[place] = replace(use, unit=unit)
        if cells.missing:
            notes.append(f"{use.heading!r}: numbers that stand for no value, such as -9999: {cells.missing}")
    check_span(path, times.written.clock)
    return SensorTable(
        path, weather, times, pd.DataFrame(numbers, index=table.cells.index), units, tuple(uses), tuple(notes),
        frozenset(given_units),
    )  # fmt: skip


def _one_row_for_each_time(table: TextTable, times: TimesOfRows) -> tuple[TextTable, TimesOfRows]:
    """A table with one row for each value pivoted to columns; any other as it is."""
    found_long = long_columns(table, times.headings)
    if found_long is None:
        return table, times
    names, value = found_long
    utc = times.has_offset
    clock = times.in_utc().tz_localize(None) if utc else times.written.clock
    wide, clock = sensor_columns(table, clock, names, value, is_on_change(times.headings, value))
    offset = np.full(len(clock), 0.0 if utc else np.nan)
    return wide, replace(times, written=replace(times.written, clock=clock, offset_h=offset))


def _unit_of_name(name: str) -> ColumnUnit:
    """The unit that `--unit` names."""
    _, unit = heading_unit(f"({name})")
    known = column_units()
    if name in known or unit is not None:
        return known.get(name) or unit  # type: ignore[return-value]
    raise ClimateError(f"--unit: {name!r} is not a unit of a column; {nearest(name, known)}")


def _single(path: Path, uses: list[ColumnUse], only: str) -> list[ColumnUse]:
    """The one column of a file that has a single sensor, read as the role that the user gives the file."""
    role = column_roles()[only]
    same = [use for use in uses if use.role == only]
    if not same:
        same = [use for use in uses if use.role != "time" and _may_be(use, role.kind)]
    if len(same) != 1:
        names = ", ".join(repr(use.heading) for use in (same or uses)[:8])
        how = "no column" if not same else "more than one column"
        raise ClimateError(
            f"{path}: {how} may be the {role.shown} ({names}); write it in the heading, for example"
            f" '{role.option} {'W' if role.kind == 'power' else '°C'}'"
        )
    return [
        replace(use, role=only, reading=role.shown)
        if use is same[0]
        else use if use.role == "time" else replace(use, role=None, reading=use.reading)
        for use in uses
    ]  # fmt: skip


def _may_be(use: ColumnUse, kind: str) -> bool:
    """Whether a column may hold values of a kind, by the unit and the words of its heading."""
    words, unit = heading_unit(use.heading)
    banned = use.role is None and use.reading.startswith(
        ("a mark", "a count", "not a value", "temperature of the soil")
    )
    return kind_of(words, unit) == kind and not banned


def si_values(table: SensorTable, role: str, unit: ColumnUnit, index: pd.DatetimeIndex) -> tuple[pd.Series, list[str]]:
    """Values of a role in SI units; those outside what is possible are left out and counted.

    Parameters
    ----------
    table : SensorTable
        The file.
    role : str
        The role.
    unit : ColumnUnit
        Unit of its numbers.
    index : DatetimeIndex
        Times of the rows.

    Returns
    -------
    values : Series of float
        With the times as index.
    notes : list of str
        A sentence where values are left out.

    Raises
    ------
    ClimateError
        When more than 2 % of them are impossible.
    """
    kind = column_roles()[role]
    values = in_si(table.numbers[role], unit)
    odd = values.notna() & ~values.between(kind.low, kind.high)
    use = next(use for use in table.uses if use.role == role)
    if odd.sum() > limits()["marks"]["most_implausible"] * values.notna().sum():
        rows = ", ".join(
            f"line {line}: {table.numbers[role][line]:g}" for line in table.numbers.index[odd][:SHOWN_ROWS]
        )
        raise ClimateError(
            f"{table.path}: {int(odd.sum()):,} of {int(values.notna().sum()):,} values of {use.heading!r} are"
            f" impossible for {kind.shown} in {unit.shown} ({rows}); {unit_hint(table, role)}, or leave the cells empty"
        )
    notes = []
    if odd.any():
        first = table.numbers.index[odd][0]
        notes.append(
            f"{use.heading!r}: values that cannot be, left out: {int(odd.sum())}, the first in line {first}"
            f" ({table.numbers[role][first]:g} {unit.shown})"
        )
    return values.mask(odd).set_axis(index), notes


def unit_hint(table: SensorTable, role: str) -> str:
    """How the user can give the unit of a column."""
    kind = column_roles()[role]
    examples = {"temperature": "degF", "power": "kW", "speed": "km/h", "share": "percent"}
    unit = examples.get(kind.kind, "UNIT")
    return f"if they are in another unit, add for example --unit {option_of(kind, table.weather)}={unit}"


def listing(uses: tuple[ColumnUse, ...]) -> list[str]:
    """One line for every column: what it is read as, or that it is not used, and why.

    Parameters
    ----------
    uses : tuple of ColumnUse
        What every column is read as.
    """
    width = min(40, max((len(repr(use.heading)) for use in uses), default=0))
    lines = []
    for use in uses:
        unit = f", in {use.unit.shown}" if use.unit is not None and use.unit.shown and use.role != "time" else ""
        what = f"read as {use.reading}{unit}" if use.role is not None else f"not used: {use.reading}"
        lines.append(f"{use.heading!r:{width}}  {what}")
    return lines


def columns_text(uses: tuple[ColumnUse, ...], most: int = 12) -> str:
    """The columns and what they are, for the message that one is missing."""
    names = [f"{use.heading!r} ({use.reading})" for use in uses[:most]]
    return ", ".join(names) + (f" and {len(uses) - most} more" if len(uses) > most else "")
