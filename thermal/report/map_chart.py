"""A figure of a table drawn over latitude and longitude, one map for each plan and setting; no map is fetched."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure

from thermal.analysis.table_row import COUNTS, TEXTS, TableRow
from thermal.core.suggest import nearest
from thermal.errors import OverwinterError
from thermal.report.answer_table import line_label
from thermal.report.charts import GREY, INK, STYLE, blank_figure

MOST_MAPS, IN_A_ROW = 6, 3
LABELS = {
    "heater_needed_w": "heater needed (W)",
    "buy_w": "heaters to buy (W)",
    "typical_kwh": "heating, typical winter (kWh)",
    "typical_cost": "heating, typical winter ({currency})",
    "worst_kwh": "heating, worst winter (kWh)",
    "worst_cost": "heating, worst winter ({currency})",
    "outage_h": "hours to the minimum in a power cut (h)",
    "mould_h": "hours of possible mould (h)",
    "coldest_unheated_c": "coldest water without a heater (°C)",
}
PLACES = ("latitude", "longitude")


def map_figure(rows: Sequence[TableRow], column: str) -> Figure:
    """A map for each plan and setting of some rows.

    Parameters
    ----------
    rows : sequence of TableRow
        The rows; those without a position are left out.
    column : str
        The figure to show.

    Raises
    ------
    OverwinterError
        When no row has a position or the figure, or there are too many plans and settings, or two currencies.
    """
    placed = [row for row in rows if row.latitude is not None and row.longitude is not None]
    if column in TEXTS | COUNTS | set(PLACES) or not hasattr(TableRow, column):
        raise OverwinterError(f"--value {column!r} is not a figure of the table; {nearest(column, LABELS)}")
    if not any(getattr(row, column) is not None for row in placed):
        what = f"{column} and a position" if placed else "a position; the weather files state none"
        raise OverwinterError(f"map: no row has {what}")
    groups: dict[tuple[str, str], list[TableRow]] = {}
    for row in placed:
        groups.setdefault((row.plan, row.setting), []).append(row)
    if len(groups) > MOST_MAPS:
        raise OverwinterError(
            f"map: the table has {len(groups):,} plans and settings, at most {MOST_MAPS} are drawn; choose some with"
            " --plan or --setting"
        )
    currencies = sorted({row.currency for row in placed if row.currency})
    if "cost" in column and len(currencies) > 1:
        raise OverwinterError(f"map: the costs are in {' and '.join(currencies)}; choose plans of one currency")
    label = LABELS.get(column, column).format(currency="".join(currencies))
    return _maps(list(groups.values()), column, label)


def _maps(groups: list[list[TableRow]], column: str, label: str) -> Figure:
    """The maps side by side with one scale of colours."""
    values = [value for rows in groups for row in rows if (value := getattr(row, column)) is not None]
    across = min(len(groups), IN_A_ROW)
    down = -(-len(groups) // across)
    with mpl.rc_context(STYLE):
        figure = blank_figure(1.8 + 4.0 * across, 4.2 * down)
        figure.set_layout_engine("constrained")  # the other engine cannot place a scale beside several maps
        grid = figure.subplots(down, across, squeeze=False).ravel()
        scale = {"vmin": min(values), "vmax": max(values), "cmap": "cividis"}
        for axes, rows in zip(grid, groups, strict=False):
            points = _draw(axes, rows, column, scale)
            axes.set_title(line_label(rows[0]), loc="left", fontsize=9)
        for axes in grid[len(groups) :]:
            axes.set_visible(False)
        figure.colorbar(points, ax=list(grid[: len(groups)]), label=label, shrink=0.8)
    return figure


def _draw(axes: Any, rows: Sequence[TableRow], column: str, scale: dict[str, Any]) -> Any:
    """One map; of several rows at one place the last is drawn. Places without the figure are crosses."""
    places = {(row.longitude, row.latitude): getattr(row, column) for row in rows}
    answered = [(*place, value) for place, value in places.items() if value is not None]
    empty = [place for place, value in places.items() if value is None]
    east, north, values = np.array(answered, dtype=float).reshape(-1, 3).T
    size = min(max(9000.0 / max(len(places), 1), 12.0), 220.0)  # the more places, the smaller their squares
    points = axes.scatter(east, north, c=values, s=size, marker="s", edgecolors=INK, linewidths=0.3, **scale)
    if empty:
        axes.scatter(*np.array(empty, dtype=float).T, marker="x", color=GREY, label="no answer")
        axes.legend(frameon=False, fontsize=8)
    middle = float(np.mean([latitude for _, latitude in places if latitude is not None]))
    axes.set_aspect(1.0 / max(math.cos(math.radians(middle)), 0.1), adjustable="datalim")
    axes.margins(0.12)
    axes.set_xlabel("degrees east")
    axes.set_ylabel("degrees north")
    return points
