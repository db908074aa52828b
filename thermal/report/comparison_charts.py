"""Charts of packages by price and running cost, and of minimum temperatures by watts and money; readable in grey."""

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

NAME_STEP = 0.72  # kelvin between the names of species, so that they do not overlap


def packages_chart(plan: Plan, comparison: Comparison) -> Figure:
    """Every package: what it costs to buy and to run; the best ones joined and numbered."""
    design, currency = comparison.package_comparison, plan.power.currency
    best = set(design.pareto_front)
    rest = [
        package
        for place, package in enumerate(design.packages)
        if place not in best and package.result.needed_w is not None
    ]
    front = [design.packages[place] for place in design.pareto_front]
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 3.8)
        axes = figure.subplots()
        axes.scatter(
            [package.cost for package in rest], [package.result.cost for package in rest],
            s=14, facecolors="none", edgecolors=GREY, linewidths=0.7, label="other combinations",
        )  # fmt: skip
        x, y = [package.cost for package in front], [package.result.cost for package in front]
        axes.plot(x, y, color=BLUE, lw=1.2, drawstyle="steps-post", zorder=2)
        axes.scatter(x, y, s=60, color=INK, marker="s", zorder=3, label="best value (numbers as in the table)")
        for number, at in enumerate(zip(x, y, strict=True), start=1):
            axes.annotate(
                str(number), at, color="white", fontsize=6.5, ha="center", va="center", weight="bold", zorder=4,
                in_layout=False,
            )  # fmt: skip
        axes.set_xlabel(f"price of the measures, {currency}")
        axes.set_ylabel(f"heating in a typical winter, {currency}")
        axes.set_ylim(bottom=0)
        axes.legend(frameon=False, fontsize=8, loc="upper right")
    return figure


def floors_chart(plan: Plan, comparison: Comparison) -> Figure:
    """Watts and money for each minimum temperature, and the species that work from there up."""
    units, currency = UNIT_SYSTEMS[plan.units], plan.power.currency
    steps = [step for step in comparison.floors if step.result.needed_w is not None]
    floors = np.array([step.floor_c for step in steps])
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 5.4)
        power, cost, names = figure.subplots(3, 1, sharex=True, height_ratios=(2, 2, 1.5))
        power.plot(floors, [step.result.needed_w for step in steps], color=ORANGE, marker="o", ms=3.5)
        power.set_ylabel("heater needed, W")
        cost.plot(floors, [step.result.cost for step in steps], color=BLUE, marker="s", ms=3.5)
        cost.set_ylabel(f"{currency} in a typical winter")
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
    """Names of species, each tied to its coldest working temperature."""
    named = [(c, name) for c in np.arange(-1.0, warmest_c, 1.0) for name in working_between(c, c + 1.0)]
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    place = -np.inf
    rows = [(below + 1.0, name) for below, name in named]
    for at, name in rows:
        place = max(place + NAME_STEP, at - 0.35 * NAME_STEP * (sum(c == at for c, _ in rows) - 1))
        axes.plot([at, place], [1.0, 0.86], color=GREY, lw=0.6, clip_on=False)
        axes.text(place, 0.84, name, rotation=90, fontsize=6.5, ha="center", va="top", color=INK, in_layout=False)
