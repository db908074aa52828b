"""Tables for the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich import box
from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, JustifyMethod, RenderResult
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
        least, wanted = self._narrowest(), self._widest()
        beside = Measurement.get(console, options.update(max_width=WIDEST), self._grid(least, options)).minimum
        beside -= sum(least)  # columns that the gaps take
        if sum(least) + beside <= options.max_width:
            yield self._grid(_widths(least, wanted, options.max_width - beside), options)
            return
        for row in self.rows:
            yield ""
            yield escape(row[0] or self.heads[0])
            for head, cell in zip(self.heads[1:], row[1:], strict=True):
                if cell:
                    yield escape(f"  {head}: {cell}" if head else f"  {cell}")
        yield ""

    def _narrowest(self) -> list[int]:
        """Width of each column below which a word would be cut; long words may be, figures never."""
        widths = []
        for index, head in enumerate(self.heads):
            words = " ".join([head, *(row[index] for row in self.rows)]).split()
            longest = LONGEST_WORD if index < self.left else WIDEST
            widths.append(max((cell_len(word) for word in words if cell_len(word) <= longest), default=1))
        return widths

    def _widest(self) -> list[int]:
        """Width of each column with nothing in two lines."""
        columns = [[head, *(row[index] for row in self.rows)] for index, head in enumerate(self.heads)]
        return [max(map(cell_len, column)) for column in columns]

    def _grid(self, widths: list[int], options: ConsoleOptions) -> Table:
        """The table with columns of some widths."""
        lines = ASCII_LINES if options.ascii_only else box.SIMPLE
        grid = Table(box=lines, pad_edge=False, collapse_padding=True)
        for index, (head, width) in enumerate(zip(self.heads, widths, strict=True)):
            justify: JustifyMethod = "left" if index < self.left else "right"
            grid.add_column(escape(head), justify=justify, width=width, overflow="fold")
        for row in self.rows:
            grid.add_row(*(escape(cell) for cell in row))
        return grid


def _widths(least: list[int], wanted: list[int], room: int) -> list[int]:
    """Widths of the columns in a room: each its least, and of what is left the same for each, or all that it wants.

    `Table` itself narrows columns below the width that they need at least, and then cuts off the last one.
    """
    missing = [max(most - few, 0) for few, most in zip(least, wanted, strict=True)]
    widths, spare = list(least), room - sum(least)
    for place, index in enumerate(sorted(range(len(least)), key=missing.__getitem__)):
        more = min(missing[index], spare // (len(least) - place))
        widths[index] += more
        spare -= more
    return widths
