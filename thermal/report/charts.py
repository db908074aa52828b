"""Charts of an assessment as matplotlib figures, clear to colour-blind readers and in grey."""

from __future__ import annotations

import io
import warnings
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.dates import AutoDateLocator, ConciseDateFormatter
from matplotlib.figure import Figure

from thermal.analysis.assessment import Assessment
from thermal.analysis.case import INSTALLED, UNHEATED, hours_of
from thermal.analysis.heat_groups import (
    AIR,
    BOTTOM,
    CHANGE,
    GAINS,
    HOUSE,
    SIDES,
    STORED,
    TOP,
    legend_order,
    month_groups,
)
from thermal.analysis.results import Outage
from thermal.core.display_units import DisplayUnits
from thermal.report.heat_paths_text import plain_path
from thermal.report.sentences import display_units
from thermal.report.table_data import heat_text, month_name

# The palette of Okabe & Ito, which colour-blind readers can tell apart.
INK, BLUE, ORANGE, GREEN, GREY = "#222222", "#0072B2", "#D55E00", "#009E73", "#8C8C8C"
GROUP_LOOKS = {  # colour and hatch of each group of heat paths
    SIDES: (BLUE, ""),
    TOP: (ORANGE, "//"),
    BOTTOM: (GREEN, ".."),
    AIR: ("#CC79A7", "--"),
    CHANGE: (GREY, "||"),
    HOUSE: (GREY, "++"),
    GAINS: (GREY, "\\\\"),
    STORED: (GREY, ""),
}
OUTAGE_SHOWN_H = 72
DPI = 130
STYLE: dict[Any, Any] = {
    "font.size": 9,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": GREY,
    "axes.labelcolor": INK,
    "svg.fonttype": "none",
    "text.parse_math": False,  # a "$" in a currency or a name is a character like others
}


def winter_chart(assessment: Assessment) -> Figure:
    """Chart of the coldest winter and its coldest week: outdoors, room, and water with and without heaters."""
    case, units = assessment.case, display_units(assessment)
    winter = assessment.unheated.index(assessment.coldest)
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 5.4)
        upper, lower = figure.subplots(2, 1)
        times = case.weather.winters[winter].times()
        lines = _temperatures(assessment, winter)
        coldest = int(np.argmin(hours_of(case, assessment.shown, winter).outdoor_c))
        week = slice(max(0, coldest - 84), coldest + 84)
        for axes, hours_shown in ((upper, slice(None)), (lower, week)):
            for label, values, colour, style, width in lines:
                axes.plot(
                    times[hours_shown],
                    units.value("temperature", values[hours_shown]),
                    color=colour,
                    ls=style,
                    lw=width,
                    label=label,
                )
            floor = units.value("temperature", case.plan.keep.floor_c)
            axes.axhline(floor, color=INK, lw=0.8, ls=(0, (1, 2)), label="minimum")
            axes.set_ylabel(f"temperature, {units.unit('temperature')}")
            axes.margins(x=0)
            locator = date_ticks()
            axes.xaxis.set_major_locator(locator)
            axes.xaxis.set_major_formatter(ConciseDateFormatter(locator))
        upper.set_title(f"Winter {case.weather.winters[winter].label}", loc="left")
        lower.set_title("Its coldest week", loc="left")
        upper.legend(ncols=3, frameon=False, fontsize=8, loc="upper center", bbox_to_anchor=(0.5, 1.32))
    return figure


def months_chart(assessment: Assessment) -> Figure:
    """Chart of the heat by group of paths in each month of the typical winter: losses upwards, gains downwards."""
    months = assessment.season.months
    groups = month_groups(months, assessment.case.plan)
    places, order = np.arange(len(months)), legend_order(groups)
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 3.6)
        axes = figure.subplots()
        up, down, bars = np.zeros(len(months)), np.zeros(len(months)), {}
        for group, sign in [*((group, 1.0) for group in reversed(order)), *((group, -1.0) for group in order)]:
            values = sign * np.maximum(0.0, [sign * month[group] for month in groups])
            colour, hatch = GROUP_LOOKS[group]
            base = up if sign > 0 else down
            bars[group] = axes.bar(places, values, bottom=base, color=colour, hatch=hatch, edgecolor="white", lw=0.4)
            up, down = (up + values, down) if sign > 0 else (up, down + values)
        axes.axhline(0, color=INK, lw=0.6)
        axes.set_xticks(places, [f"{month_name(month.month)}\nheater\n{heat_text(month.kwh)}" for month in months])
        axes.set_ylabel("heat, kWh a month")
        axes.legend([bars[group] for group in order], order, frameon=False, loc="upper left", bbox_to_anchor=(1.0, 1.0))
    return figure


def design_chart(assessment: Assessment) -> Figure:
    """Chart of the heat by path at the hour of peak heat demand."""
    paths = {name: watts for name, watts in assessment.season.design_paths_w.items() if abs(watts) >= 0.5}
    names = sorted(paths, key=lambda name: paths[name])
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 0.6 + 0.26 * len(names))
        axes = figure.subplots()
        values = [paths[name] for name in names]
        bars = axes.barh(
            [plain_path(name) for name in names], values, color=[BLUE if value >= 0 else GREEN for value in values]
        )
        axes.bar_label(bars, fmt="%.0f", padding=3, fontsize=8)
        axes.axvline(0, color=INK, lw=0.6)
        axes.set_xlabel("heat loss of the water, W (gains are negative)")
        axes.margins(x=0.12)
    return figure


def outage_chart(assessment: Assessment) -> Figure:
    """Chart of the tank temperature after a power cut, from each worst day of the table, and with lid and blankets."""
    outage, units, plan = assessment.outage, display_units(assessment), assessment.case.plan
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 2.9)
        axes = figure.subplots()
        hours = np.arange(OUTAGE_SHOWN_H + 1)
        for curve, label, colour, style in outage_curves(outage, units):
            shown = units.value("temperature", np.array(curve[: len(hours)]))
            axes.plot(hours, shown, color=colour, ls=style, lw=1.6, label=label)
        limits = [("minimum", plan.keep.floor_c)] + (
            [("lethal", outage.lethal_c)] if outage.lethal_c is not None else []
        )
        limits += [("freezing", 0.0)] if min(map(min, outage.curves_c.values())) <= 0.0 else []
        for name, limit in limits:
            level = units.value("temperature", limit)
            axes.axhline(level, color=INK, lw=0.8, ls=(0, (1, 2)))
            axes.annotate(name, (OUTAGE_SHOWN_H, level), fontsize=8, ha="right", va="bottom")
        axes.set_xticks(range(0, OUTAGE_SHOWN_H + 1, 12))
        axes.set_xlabel("hours after the power fails")
        axes.set_ylabel(f"tank, {units.unit('temperature')}")
        axes.margins(x=0)
        axes.legend(frameon=False, fontsize=8)
    return figure


def outage_curves(outage: Outage, units: DisplayUnits) -> list[tuple[tuple[float, ...], str, str, Any]]:
    """Curve, label, colour and line style of each line of the outage chart.

    Parameters
    ----------
    outage : Outage
        Power cuts.
    units : DisplayUnits
        Units of the reader, for the order of dates.
    """
    looks = ((BLUE, (0, (5, 2))), (GREEN, (0, (2, 1))), (GREY, (0, (6, 2, 1, 2))))
    lines: list[tuple[tuple[float, ...], str, str, Any]] = [
        (curve, f"tank as it is, power fails {units.moment(start)}", *look)
        for (start, curve), look in zip(outage.curves_c.items(), looks, strict=False)
    ]
    start = outage.with_both.worst_start or outage.worst_start
    return [*lines, (outage.curve_lid_c, f"with foam lid and blankets, power fails {units.moment(start)}", ORANGE, "-")]


def date_ticks() -> AutoDateLocator:
    """Ticks of a time axis from some hours to a whole winter; with at least 5 instead of 3 some spans have no step."""
    return AutoDateLocator(minticks=3, maxticks=8)


def png(figure: Figure) -> bytes:
    """A figure as PNG bytes; a sign of a name that no font has becomes a box."""
    buffer = io.BytesIO()
    layout = figure.get_layout_engine()
    assert layout is not None
    options = {"compress_level": 3}  # 3 % larger, in two thirds of the time
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing")
        layout.execute(figure)  # `savefig` would lay out and render the figure twice
        figure.set_layout_engine("none")
        FigureCanvasAgg(figure).print_png(buffer, pil_kwargs=options)
    return buffer.getvalue()


def blank_figure(width: float, height: float) -> Figure:
    """An empty figure.

    Parameters
    ----------
    width, height : float
        Size [inch].
    """
    return Figure(figsize=(width, height), layout="tight", dpi=DPI)


def _temperatures(assessment: Assessment, winter: int) -> list[tuple[str, np.ndarray, str, Any, float]]:
    """Label, hourly temperatures [degC], colour, line style and line width of each line."""
    case = assessment.case
    heated, unheated = (hours_of(case, assessment.shown, winter, design) for design in (INSTALLED, UNHEATED))
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    lines: list[tuple[str, np.ndarray, str, Any, float]] = [("outdoors", heated.outdoor_c, GREY, "-", 0.5)]
    if "air" in case.network.nodes:
        lines.append(("room", heated.mean(case.network.nodes.index("air")), GREEN, "-", 1.1))
    lines.append(("water, unheated", unheated.end(water_nodes[-1], water_nodes), BLUE, (0, (5, 2)), 1.4))
    lines.append(("water, heated", heated.end(water_nodes[-1], water_nodes), ORANGE, "-", 1.6))
    return lines
