"""Picture of a weather file: its winters side by side, their coldest spells, and their degree-hours."""

from __future__ import annotations

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from thermal.climate.dataset import Climate
from thermal.climate.design_conditions import WinterStats, winter_stats
from thermal.climate.heating_seasons import Weather, winters_of
from thermal.climate.joined_halves import join_halves
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS, DisplayUnits
from thermal.report.charts import BLUE, GREY, ORANGE, STYLE, blank_figure, png

SPELLS = (  # field of `WinterStats`, label, colour, marker
    ("coldest_hour_c", "coldest hour", BLUE, "v"),
    ("coldest_3_days_c", "coldest 3 days", ORANGE, "o"),
    ("coldest_week_c", "coldest week", GREY, "s"),
)
MANY_LABELS = 8  # with more winters their names stand upright
MONTHS = ("Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr")
MONTH_STARTS = (0, 31, 61, 92, 123, 151, 182)  # days since 1 October
SEASON_DAYS = 213


def climate_chart(climate: Climate, floor_c: float, units: DisplayUnits = UNIT_SYSTEMS["metric"]) -> bytes:
    """Picture of a weather file as PNG bytes.

    Parameters
    ----------
    climate : Climate
        The weather file.
    floor_c : float
        Degree-hours are counted below this temperature [degC].
    units : DisplayUnits
        Units to show it in.

    Raises
    ------
    ClimateError
        When no winter of the file can be simulated.
    """
    climate = join_halves(climate)
    weather = winters_of(climate)
    stats = winter_stats(climate, weather, floor_c)
    labels = [winter.label for winter in weather.winters]
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 5.4 + 0.12 * len(labels))
        upper, middle, lower = figure.subplots(3, 1, height_ratios=(1.0 + 0.06 * len(labels), 1.2, 1.2))
        _strip(upper, figure, weather, units)
        _spells(middle, stats, units)
        _degree_hours(lower, stats, floor_c, units)
        for axes in (middle, lower):
            axes.set_xticks(range(len(labels)), labels, rotation=90 if len(labels) > MANY_LABELS else 0)
            axes.set_xlim(-0.6, len(labels) - 0.4)
    return png(figure)


def daily_means(weather: Weather) -> Array:
    """Mean outdoor temperature of each day of the season, NaN where a winter has none, shape (winter, day). [degC]"""
    days = np.full((len(weather.winters), SEASON_DAYS), np.nan)
    for index, winter in enumerate(weather.winters):
        rows = slice(weather.spin_up_h, weather.spin_up_h + winter.hours)
        means = weather.outdoor_c[rows, index].reshape(-1, 24).mean(axis=1)
        start = winter.start.replace(month=10 if winter.start.month > 9 or winter.start.month < 5 else 4, day=1)
        start = start if start <= winter.start else start.replace(year=start.year - 1)
        first = (winter.start - start).days
        days[index, first : first + len(means)] = means[: SEASON_DAYS - first]
    return days


def _strip(axes: Axes, figure: Figure, weather: Weather, units: DisplayUnits) -> None:
    """Every day of every winter as a colour, a row for each winter."""
    shown = units.value("temperature", daily_means(weather))
    image = axes.imshow(shown, aspect="auto", cmap="cividis", interpolation="nearest")
    axes.set_yticks(range(len(weather.winters)), [winter.label for winter in weather.winters], fontsize=7)
    if weather.winters[0].start.month in (10, 11, 12, 1, 2, 3):
        axes.set_xticks(MONTH_STARTS, MONTHS, ha="left")
    else:
        axes.set_xlabel("days since 1 April")
    figure.colorbar(image, ax=axes, label=f"mean of the day, {units.unit('temperature')}")


def _spells(axes: Axes, stats: list[WinterStats], units: DisplayUnits) -> None:
    """The coldest hour, three days and week of each winter."""
    for name, label, colour, marker in SPELLS:
        values = units.value("temperature", np.array([getattr(winter, name) for winter in stats]))
        axes.plot(range(len(stats)), values, color=colour, marker=marker, ls="none", ms=5, label=label)
    axes.set_ylabel(f"outdoors, {units.unit('temperature')}")
    axes.legend(frameon=False, fontsize=8, ncols=3, loc="upper center", bbox_to_anchor=(0.5, 1.3))


def _degree_hours(axes: Axes, stats: list[WinterStats], floor_c: float, units: DisplayUnits) -> None:
    """Degree-hours of each winter; those of incomplete winters are paler."""
    factor = units.table["temperature"][1] / 1000.0
    alphas = [1.0 if winter.complete else 0.4 for winter in stats]
    bars = axes.bar(range(len(stats)), [winter.degree_hours * factor for winter in stats], color=BLUE)
    for bar, alpha in zip(bars, alphas, strict=True):
        bar.set_alpha(alpha)
    unit = units.unit("temperature")
    axes.set_ylabel(f"1,000 {unit}·h below {units.value('temperature', floor_c):g} {unit}", fontsize=8)
