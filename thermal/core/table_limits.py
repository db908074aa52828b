"""Limits of the tables in CSV files."""

from __future__ import annotations

from pathlib import Path

from thermal.errors import ClimateError

LONGEST_CELL = 1 << 20  # characters; one that a quotation mark opens and none closes is as long as the file
MOST_COLUMNS = 1000


def check_columns(path: Path, count: int) -> None:
    """Check the number of columns of a file, of which each is looked at.

    Raises
    ------
    ClimateError
        When there are more than 1,000.
    """
    if count > MOST_COLUMNS:
        raise ClimateError(f"{path}: has {count:,} columns; at most {MOST_COLUMNS:,} are allowed")


def check_cell(path: Path, line: int, length: int) -> None:
    """Check the length of the longest cell of a line.

    Parameters
    ----------
    path : Path
        The file, for the message.
    line : int
        Its line, for the message.
    length : int
        Characters of the cell.

    Raises
    ------
    ClimateError
        When there are more than 1 MiB.
    """
    if length > LONGEST_CELL:
        raise ClimateError(
            f"{path}, line {line}: a cell has {length:,} characters; at most {LONGEST_CELL:,} are allowed, so look"
            " for a quotation mark that is not closed"
        )
