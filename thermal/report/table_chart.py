"""Small charts of a table of many plans: one for each weather file, each plan and setting with its band."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure

from thermal.analysis.table_row import TableRow
from thermal.core.shown_text import cut
from thermal.report.answer_table import line_label
from thermal.report.charts import BLUE, GREY, STYLE, blank_figure

MOST_CHARTS, MOST_LINES, IN_A_ROW = 12, 40, 3


def table_chart(rows: Sequence[TableRow], column: str, label: str) -> Figure | None:
    """One small chart for each weather file; None where no row has the figure.

    Parameters
    ----------
    rows : sequence of TableRow
        The rows.
    column : str
        Column of the figure; those of its band end in _low and _high.
    label : str
        What it is, with its unit.
    """
    known = [row for row in rows if getattr(row, column) is not None]
    if not known:
        return None
    climates = list(dict.fromkeys(row.climate for row in known))[:MOST_CHARTS]
    lines = list({(row.plan, row.setting): row for row in known}.values())[:MOST_LINES]
    ends = [getattr(row, name) or 0.0 for row in known for name in (column, f"{column}_high")] + [1.0]
    across = min(len(climates), IN_A_ROW)
    down = -(-len(climates) // across)
    with mpl.rc_context(STYLE):
        figure = blank_figure(3.5 + 2.4 * across, down * (0.9 + 0.17 * len(lines)))
        grid = figure.subplots(down, across, squeeze=False, sharex=True, sharey=True).ravel()
        for axes, climate in zip(grid, climates, strict=False):
            _draw(axes, [row for row in known if row.climate == climate], lines, column)
            axes.set_xlim(0, 1.05 * max(ends))
            axes.xaxis.set_major_formatter("{x:,.0f}")
            axes.set_title(cut(climate, 30), loc="left", fontsize=9)
        for axes in grid[len(climates) :]:
            axes.set_visible(False)
        for axes in grid[max(len(climates) - across, 0) : len(climates)]:
            axes.set_xlabel(label, fontsize=8)
            axes.tick_params(labelbottom=True)
    return figure


def left_out(rows: Sequence[TableRow]) -> str:
    """What of a table the charts do not show; empty where they show all."""
    climates, lines = {row.climate for row in rows}, {(row.plan, row.setting) for row in rows}
    parts = []
    if len(climates) > MOST_CHARTS:
        parts.append(f"the first {MOST_CHARTS} of {len(climates):,} weather files")
    if len(lines) > MOST_LINES:
        parts.append(f"the first {MOST_LINES} of {len(lines):,} plans and settings")
    return f"The charts show {' and '.join(parts)}." if parts else ""


def _draw(axes: Any, rows: Sequence[TableRow], lines: Sequence[TableRow], column: str) -> None:
    """The lines of one weather file."""
    places = {(line.plan, line.setting): place for place, line in enumerate(lines)}
    for row in rows:
        place, value = places.get((row.plan, row.setting)), getattr(row, column)
        if place is None:
            continue
        low, high = getattr(row, f"{column}_low"), getattr(row, f"{column}_high")
        if low is not None and high is not None:
            axes.plot([low, high], [place, place], color=GREY, lw=2.5, solid_capstyle="butt")
        axes.plot(value, place, "o", color=BLUE, ms=4)
    axes.set_yticks(range(len(lines)), [line_label(line) for line in lines], fontsize=7)
    axes.set_ylim(len(lines) - 0.4, -0.6)
    axes.grid(axis="x", lw=0.4, color=GREY, alpha=0.5)
