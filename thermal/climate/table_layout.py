"""Rows and columns of a text file: separator, quotes, lines before the headings and annotations are found out."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from thermal.core.table_limits import LONGEST_CELL, check_cell, check_columns
from thermal.data.column_words import heading_unit
from thermal.errors import ClimateError

SEPARATORS = {"\t": "tabs", ";": "semicolons", "|": "vertical bars", ",": "commas"}  # a comma may be in a number too
HEADINGS_WANTED = (
    "write one with a name for each column, such as time_utc,air_c or, of a logger, time,water,room,outdoor"
)
SAMPLE_LINES = 400
CONSISTENT = 0.8  # share of the sampled lines that have the same number of cells
ANNOTATION = re.compile(r'^"?#(datatype|group|default)\b', re.IGNORECASE)
NUMBER = re.compile(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)(e[-+]?\d+)?", re.IGNORECASE)
DATA = re.compile(r"[-+]?\d[\d.,]*(e[-+]?\d+)?|\d{1,4}[-./]\d{1,2}[-./]\d{1,4}\b.*|\d{1,2}:\d{2}.*", re.IGNORECASE)
MOST_BROKEN = 0.02  # share of rows with more cells than headings


@dataclass(frozen=True)
class TextTable:
    """Cells of a file as text.

    Attributes
    ----------
    path : Path
        The file.
    cells : DataFrame
        A column for each heading, without spaces around the cells; its index is the line of the file.
    notes : tuple of str
        A sentence on everything found out.
    separator : str
        What separates its columns.
    """

    path: Path
    cells: pd.DataFrame
    notes: tuple[str, ...]
    separator: str = ","


def read_table(path: Path, text: str) -> TextTable:
    """Cells and headings of a file of any layout.

    Parameters
    ----------
    path : Path
        The file, for messages.
    text : str
        Its text.

    Raises
    ------
    ClimateError
        When it has no line of headings or no rows, or many rows do not fit the headings.
    """
    notes: list[str] = []
    lines = text.split("\n")
    separator, width = _separator(lines)
    check_columns(path, width)
    if width < 2:
        raise ClimateError(f"{path}: no columns separated by commas, semicolons, tabs or bars; use a CSV file")
    if separator != ",":
        notes.append(f"columns are separated by {SEPARATORS[separator]}")
    if any(ANNOTATION.match(line) for line in lines[:SAMPLE_LINES]):
        cells = _annotated_tables(path, lines, separator)
        notes.append("lines of annotations, skipped")
    else:
        first, headings = _headings(path, lines, separator, width)
        if first > 1 and any(line.strip() for line in lines[: first - 1]):
            notes.append(f"lines before the headings, skipped: {first - 1}")
        cells = _cells(path, lines, first, separator, headings, notes)
    return TextTable(path, cells, tuple(notes), separator)


def _split(line: str, separator: str) -> list[str]:
    """Cells of one line."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator, skipinitialspace=True), [])]
    except csv.Error:  # a cell of more than 131,072 characters
        return []


def _separator(lines: list[str]) -> tuple[str, int]:
    """The separator that divides most lines into the same number of cells, and that number; 1 where none divides."""
    sample = [line for line in lines[:SAMPLE_LINES] if line.strip() and not line.startswith("#")][-300:]
    best = (",", 1, 0)
    for separator in SEPARATORS:
        counts = Counter(len(_split(line, separator)) for line in sample)
        width, number = max(counts.items(), key=lambda item: (item[0] > 1, item[1]), default=(1, 0))
        if width > 1 and number >= CONSISTENT * len(sample):
            return separator, width
        if width > 1 and number > best[2]:
            best = separator, width, number
    return best[0], best[1]


def _is_data(cells: list[str]) -> bool:
    """Whether a line holds values: at least one number or date, and not more words than a row of a history has."""
    filled = [cell for cell in cells if cell]
    values = sum(bool(DATA.fullmatch(cell)) for cell in filled)
    return values > 0 and 3 * values >= len(filled)


def _is_units(cells: list[str]) -> bool:
    """Whether a line holds units only."""
    filled = [cell for cell in cells if cell]
    return bool(filled) and all(heading_unit(cell) == ("", heading_unit(cell)[1]) for cell in filled)


def _headings(path: Path, lines: list[str], separator: str, width: int) -> tuple[int, list[str]]:
    """Line number of the headings, or of the units below them, and the headings; the last text before the values."""
    fewest = max(2, round(0.8 * width))
    before: list[tuple[int, list[str]]] = []
    comment: tuple[int, list[str]] | None = None
    for number, line in enumerate(lines[:SAMPLE_LINES], start=1):
        cells = _split(line, separator)
        if len(cells) < fewest or not any(cells):
            continue
        if line.startswith("#") and cells[0] != "#":
            comment = number, [cells[0].lstrip("# "), *cells[1:]]
        elif not _is_data(cells):
            before.append((number, cells))
        elif before or comment is not None:
            break
        else:
            _refuse_without_headings(path, number, cells)
    if not before and comment is not None:
        return comment
    if not before:
        raise ClimateError(f"{path}: no line of headings above the values; {HEADINGS_WANTED}")
    number, cells = before[-1]
    if len(before) > 1 and _is_units(cells):
        above = before[-2][1] + [""] * len(cells)
        return number, [f"{name} ({unit})" if unit else name for name, unit in zip(above, cells, strict=False)]
    return number, cells


def _refuse_without_headings(path: Path, number: int, cells: list[str]) -> None:
    """Refuse a file whose first line has values already."""
    raise ClimateError(
        f"{path}, line {number}: values ({', '.join(cells[:4])[:60]}) but no line of headings above them;"
        f" {HEADINGS_WANTED}"
    )


def _cells(
    path: Path, lines: list[str], first: int, separator: str, headings: list[str], notes: list[str]
) -> pd.DataFrame:
    """The rows below the headings, as text; rows with more cells than headings are left out and counted."""
    rows = [line if not line.startswith("#") else "" for line in lines[first:]]
    width = max(len(headings), max((len(_split(line, separator)) for line in rows[:50] if line), default=0))
    try:
        table = pd.read_csv(
            io.StringIO("\n".join(rows)), sep=separator, header=None, names=list(range(width + 1)), dtype=str,
            na_filter=False, skip_blank_lines=False, skipinitialspace=True, on_bad_lines="skip", index_col=False,
        )  # fmt: skip
    except (ValueError, OverflowError) as fault:  # the parser errors of pandas are ValueErrors
        reason = str(fault).strip().rpartition("error: ")[2]
        raise ClimateError(f"{path}: not a table of values separated by {SEPARATORS[separator]} ({reason})") from fault
    table = table.fillna("").set_axis(pd.RangeIndex(first + 1, first + 1 + len(table)), axis=0)
    if sum(map(len, rows)) > LONGEST_CELL:
        lengths = table.map(len).max(axis=1)
        check_cell(path, int(lengths.idxmax()), int(lengths.max()))
    table = table[(table != "").any(axis=1)]
    if not len(table):
        raise ClimateError(f"{path}: headings but no rows; use a file with hours in it")
    table = table.apply(lambda column: column.str.strip())
    extra = (table.iloc[:, len(headings) :] != "").any(axis=1)
    skipped = max(0, sum(bool(line.strip()) for line in rows) - len(table)) + int(extra.sum())
    if skipped:
        where = f", line {table.index[extra][0]}" if extra.any() else ""
        if skipped > MOST_BROKEN * (len(table) + skipped):
            raise ClimateError(
                f"{path}{where}: more cells than the {len(headings)} headings in {skipped} rows; correct the separators"
            )
        notes.append(f"rows with more cells than headings, skipped: {skipped}")
    kept = table[~extra].iloc[:, : len(headings)]
    repeats = (kept.to_numpy() == [cell for cell in headings]).all(axis=1) if len(kept) else []
    return kept[[not repeat for repeat in repeats]].set_axis(pd.Index(_unique(headings)), axis=1)


def _unique(headings: list[str]) -> list[str]:
    """Headings of which each occurs once: a number is added to one that occurs before."""
    count: Counter[str] = Counter()
    names = []
    for heading in headings:
        count[heading] += 1
        names.append(heading if count[heading] == 1 else f"{heading}#{count[heading]}")
    return names


def _annotated_tables(path: Path, lines: list[str], separator: str) -> pd.DataFrame:
    """All tables of an annotated CSV, in which every table has annotations and headings of its own."""
    starts, inside = [], False
    for number, line in enumerate(lines):
        if ANNOTATION.match(line):
            inside = True
        elif inside and line.strip():
            starts.append(number)
            inside = False
    ends = [*starts[1:], len(lines)]
    tables = []
    for start, end in zip(starts, ends, strict=True):
        part = [line if not ANNOTATION.match(line) else "" for line in lines[:end]]
        tables.append(_cells(path, part, start + 1, separator, _split(lines[start], separator), []))
    if not tables:
        raise ClimateError(f"{path}: annotations but no line of headings below them")
    return pd.concat(tables).fillna("")
