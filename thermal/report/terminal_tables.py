"""Tables for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.markup import escape
from rich.table import Table

from thermal.report.table_data import Rows


def pairs(rows: Sequence[tuple[str, ...]]) -> Table:
    """Rows of labels and values without headings."""
    grid = Table(box=None, show_header=False, pad_edge=False)
    for row in rows:
        grid.add_row(*(escape(item) for item in row))
    return grid


def rows(table_: Rows) -> Table:
    """A table with headings."""
    return table(list(table_.heads), list(table_.cells), table_.left)


def table(heads: list[str], rows: list[tuple[str, ...]], left: int = 1) -> Table:
    """A table with headings from lists of text.

    Parameters
    ----------
    heads : list of str
        Headings of the columns.
    rows : list of tuple of str
        Rows of cells.
    left : int
        Number of columns that hold words and are aligned left; the others hold figures.
    """
    grid = Table(box=box.SIMPLE, pad_edge=False, collapse_padding=True)
    for index, head in enumerate(heads):
        word = max(map(len, head.split()), default=1)
        grid.add_column(escape(head), justify="left" if index < left else "right", min_width=word, overflow="fold")
    for row in rows:
        grid.add_row(*(escape(cell) for cell in row))
    return grid
