"""Tables as rich prints them."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.markup import escape
from rich.table import Table

from thermal.report.table_data import Rows


def pairs(rows: Sequence[tuple[str, ...]]) -> Table:
    """Labels and values side by side."""
    grid = Table(box=None, show_header=False, pad_edge=False)
    for row in rows:
        grid.add_row(*(escape(item) for item in row))
    return grid


def rows(table_: Rows) -> Table:
    """A table ready for the terminal."""
    return table(list(table_.heads), list(table_.cells), table_.left)


def table(heads: list[str], rows: list[tuple[str, ...]], left: int = 1) -> Table:
    """A small table; the first `left` columns are words, the others figures."""
    grid = Table(box=box.SIMPLE, pad_edge=False, collapse_padding=True)
    for place, head in enumerate(heads):
        word = max(map(len, head.split()), default=1)
        grid.add_column(escape(head), justify="left" if place < left else "right", min_width=word, overflow="fold")
    for row in rows:
        grid.add_row(*(escape(cell) for cell in row))
    return grid
