"""Charts of packages by price and running cost, and of minimum temperatures by power and cost; readable in grey too."""

from __future__ import annotations

from typing import TYPE_CHECKING

import matplotlib as mpl
import numpy as np

from thermal.analysis.comparison_results import Comparison
from thermal.analysis.minimum_temperature_sweep import working_between
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.charts import BLUE, GREY, INK, ORANGE, STYLE, blank_figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NAME_STEP = 0.72  # K between the names of species, so that they do not overlap


def packages_chart(plan: Plan, comparison: Comparison) -> Figure:
    """Chart of every package by its price and its running cost; the best are joined by a line and numbered.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    design, currency = comparison.package_comparison, plan.power.currency
    best = set(design.pareto_front)
    others = [
        package
        for index, package in enumerate(design.packages)
        if index not in best and package.result.needed_w is not None
    ]
    front = [design.packages[index] for index in design.pareto_front]
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 3.8)
        axes = figure.subplots()
        axes.scatter(
            [package.cost for package in others], [package.result.cost for package in others],
            s=14, facecolors="none", edgecolors=GREY, linewidths=0.7, label="other combinations",
        )  # fmt: skip
        x, y = [package.cost for package in front], [package.result.cost for package in front]
        axes.plot(x, y, color=BLUE, lw=1.2, drawstyle="steps-post", zorder=2)
        axes.scatter(x, y, s=60, color=INK, marker="s", zorder=3, label="best value (numbers as in the table)")
        for number, point in enumerate(zip(x, y, strict=True), start=1):
            axes.annotate(
                str(number), point, color="white", fontsize=6.5, ha="center", va="center", weight="bold", zorder=4,
                in_layout=False,
            )  # fmt: skip
        axes.set_xlabel(f"price of the measures, {currency}")
        axes.set_ylabel(f"heating, {comparison.season.short}, {currency}")
        if not others + front or min(package.result.cost for package in others + front) < 0.3 * max(y, default=0.0):
            axes.set_ylim(bottom=0)
        axes.legend(frameon=False, fontsize=8, loc="upper right")
    return figure


def floors_chart(plan: Plan, comparison: Comparison) -> Figure:
    """Chart of heater needed and cost for each minimum temperature, and of the species that it is warm enough for.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    units, currency = UNIT_SYSTEMS[plan.units], plan.power.currency
    steps = [step for step in comparison.floors if step.result.needed_w is not None]
    floors = np.array([step.floor_c for step in steps])
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 5.4)
        power, cost, names = figure.subplots(3, 1, sharex=True, height_ratios=(2, 2, 1.5))
        power.plot(floors, [step.result.needed_w for step in steps], color=ORANGE, marker="o", ms=3.5)
        power.set_ylabel("heater needed, W")
        cost.plot(floors, [step.result.cost for step in steps], color=BLUE, marker="s", ms=3.5)
        cost.set_ylabel(f"{currency}, {comparison.season.short}")
        for axes in (power, cost):
            axes.axvline(plan.keep.floor_c, color=INK, lw=0.9, ls=(0, (1, 2)))
            axes.set_ylim(bottom=0)
            axes.grid(axis="y", color="#E4E8EB", lw=0.6)
        power.annotate("your minimum", (plan.keep.floor_c, power.get_ylim()[1]), fontsize=8, ha="right", rotation=90,
                       va="top", xytext=(-2, 0), textcoords="offset points")  # fmt: skip
        _species(names, float(floors.max(initial=10.0)))
        ticks = np.arange(2.0, 31.0, 4.0)
        names.set_xticks(ticks, [f"{units.value('temperature', c):.0f}" for c in ticks])
        names.set_xlabel(
            f"minimum water temperature, {units.unit('temperature')}; each species stands at the coldest it works in"
        )
    return figure


def _species(axes: Axes, warmest_c: float) -> None:
    """Names of species, each joined to its coldest working temperature."""
    species_above = [(c, name) for c in np.arange(-1.0, warmest_c, 1.0) for name in working_between(c, c + 1.0)]
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    text_c = -np.inf
    rows = [(coldest_c + 1.0, name) for coldest_c, name in species_above]
    for working_c, name in rows:
        text_c = max(text_c + NAME_STEP, working_c - 0.35 * NAME_STEP * (sum(c == working_c for c, _ in rows) - 1))
        axes.plot([working_c, text_c], [1.0, 0.86], color=GREY, lw=0.6, clip_on=False)
        axes.text(text_c, 0.84, name, rotation=90, fontsize=6.5, ha="center", va="top", color=INK, in_layout=False)
