"""Numbers in the cells of a column: decimal point or comma, thousands, units and marks beside them."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pandas as pd

from thermal.data.column_words import ColumnUnit, unit_words, words_table

NUMBER = re.compile(r"^([-+]?[\d.,' ]*\d[.,]?(?:[eE][-+]?\d{1,3})?)\s*([^\d\s.,]{0,8}|[Cc]elsius|[Ff]ahrenheit)$")
LARGEST = 1e9  # a number beyond is none that a sensor gives


@dataclass(frozen=True)
class CellNumbers:
    """Numbers of a column.

    Attributes
    ----------
    values : Series of float
        NaN where a cell holds no number, or one that stands for a missing value.
    unit : ColumnUnit or None
        Unit that stands beside most numbers; None for none.
    missing : int
        Cells with a number that stands for a missing value, such as -9999.
    """

    values: pd.Series
    unit: ColumnUnit | None
    missing: int


LONGEST_NUMBER = 100  # characters of a number in a cell


def as_numbers(cells: pd.Series) -> pd.Series:
    """Cells as numbers; NaN for text, and for a whole number of more digits than a number can have."""
    try:
        return pd.to_numeric(cells, errors="coerce").astype(float)
    except OverflowError:
        short = cells.where(cells.astype(str).str.len() <= LONGEST_NUMBER)
        return pd.to_numeric(short, errors="coerce").astype(float)


def cell_numbers(cells: pd.Series, comma_separates: bool = False, least_mark: float = 0.0) -> CellNumbers:
    """Numbers of a column of text.

    Parameters
    ----------
    cells : Series of str
        The cells.
    comma_separates : bool
        Whether commas separate the columns of the file: one inside a cell then marks thousands before three digits.
    least_mark : float
        Positive numbers up to this are values, even if they are of those that often stand for no value.
    """
    text = cells.str.replace("−", "-", regex=False)
    values = as_numbers(text)
    unit = None
    if values.notna().sum() < (text != "").sum():
        parts = text.str.extract(NUMBER.pattern)
        digits = parts[0].str.replace(r"[ ']", "", regex=True)
        values = as_numbers(_with_point(digits, comma_separates))
        beside = parts[1].dropna().str.lower().replace("", pd.NA).dropna()
        if len(beside) > 0.5 * values.notna().sum() > 0:
            unit = unit_words().get(str(beside.mode().iloc[0]).replace("º", "°"))
    values = values.where(values.abs() <= LARGEST)
    marks = values.isin([float(number) for number in words_table()["missing"]["numbers"]])
    marks &= (values < 0) | (values > least_mark)
    return CellNumbers(values.mask(marks), unit, int(marks.sum()))


def _with_point(digits: pd.Series, comma_separates: bool) -> pd.Series:
    """The same numbers with a decimal point and no marks of thousands."""
    both = digits.str.contains(",", regex=False) & digits.str.contains(".", regex=False)
    if both.any():
        last = digits[both].str.rfind(",") > digits[both].str.rfind(".")
        comma_is_decimal = bool(last.mean() > 0.5)
    else:
        point = digits.str.contains(r"^[-+]?\d*\.\d", regex=True).sum()
        comma = digits.str.contains(r"^[-+]?\d*,\d", regex=True).sum()
        thousands = digits.str.contains(r"^[-+]?\d{1,3}(?:,\d{3})+$", regex=True).sum()
        comma_is_decimal = comma > point and not (comma_separates and thousands == comma)
    if comma_is_decimal:
        return digits.str.replace(".", "", regex=False).str.replace(",", ".", regex=False)
    return digits.str.replace(",", "", regex=False)
