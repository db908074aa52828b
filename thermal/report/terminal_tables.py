"""Tables for the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich import box
from rich.console import Console, ConsoleOptions, RenderResult
from rich.markup import escape
from rich.measure import Measurement
from rich.table import Table

from thermal.report.table_data import Rows

WIDEST = 10_000  # columns, more than any table needs
LONGEST_WORD = 14  # letters; a longer word may be cut in two
ASCII_LINES = box.Box("\n".join(["    ", "    ", " -- ", "    ", "    ", " -- ", "    ", "    "]), ascii=True)


def pairs(rows: Sequence[tuple[str, ...]]) -> Table:
    """Rows of labels and values without headings."""
    grid = Table(box=None, show_header=False, pad_edge=False)
    for row in rows:
        grid.add_row(*(escape(item) for item in row))
    return grid


def rows(table_: Rows) -> FittingTable:
    """A table with headings."""
    return table(list(table_.heads), list(table_.cells), table_.left)


def table(heads: list[str], rows: list[tuple[str, ...]], left: int = 1) -> FittingTable:
    """A table with headings from lists of text; where the terminal is too narrow, each row becomes a few lines.

    Parameters
    ----------
    heads : list of str
        Headings of the columns.
    rows : list of tuple of str
        Rows of cells.
    left : int
        Number of columns that hold words and are aligned left; the others hold figures.
    """
    return FittingTable(heads, rows, left)


@dataclass(frozen=True)
class FittingTable:
    """A table that is printed as one where its words fit the terminal, and row by row where they do not.

    Attributes
    ----------
    heads : list of str
        Headings of the columns.
    rows : list of tuple of str
        Rows of cells.
    left : int
        Number of columns that hold words.
    """

    heads: list[str]
    rows: list[tuple[str, ...]]
    left: int

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """The table, or its rows one below the other."""
        grid = _grid(self.heads, self.rows, self.left, options.ascii_only)
        if Measurement.get(console, options.update(max_width=WIDEST), grid).minimum <= options.max_width:
            yield grid
            return
        for row in self.rows:
            yield ""
            yield escape(row[0] or self.heads[0])
            for head, cell in zip(self.heads[1:], row[1:], strict=True):
                if cell:
                    yield escape(f"  {head}: {cell}" if head else f"  {cell}")
        yield ""


def _grid(heads: list[str], rows: list[tuple[str, ...]], left: int, ascii_only: bool) -> Table:
    """The table of `table` where there is room for it."""
    grid = Table(box=ASCII_LINES if ascii_only else box.SIMPLE, pad_edge=False, collapse_padding=True)
    for index, head in enumerate(heads):
        words = " ".join([head, *(row[index] for row in rows)] if index < left else [head]).split()
        word = max((len(word) for word in words if len(word) <= LONGEST_WORD), default=1)
        grid.add_column(escape(head), justify="left" if index < left else "right", min_width=word, overflow="fold")
    for row in rows:
        grid.add_row(*(escape(cell) for cell in row))
    return grid
