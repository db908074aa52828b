"""Chart of all winters side by side: a strip of temperatures, and one of heating."""

from __future__ import annotations

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from thermal.analysis.assessment import Assessment
from thermal.report.assessment_tables import marked_winters
from thermal.report.charts import BLUE, GREY, INK, ORANGE, STYLE, blank_figure
from thermal.report.sentences import display_units

PALE = "#F4B183"  # of the hue of the marked winters


def winters_chart(assessment: Assessment) -> Figure:
    """Coldest water without a heater, coldest hour outdoors, and heating of every winter."""
    with mpl.rc_context(STYLE):
        figure = blank_figure(7.2, 4.6)
        upper, lower = figure.subplots(2, 1, sharex=True)
        _temperatures(assessment, upper)
        _heating(assessment, lower)
        labels = [winter.label for winter in assessment.unheated]
        lower.set_xticks(range(len(labels)), labels, rotation=90 if len(labels) > 10 else 0)
        lower.set_xlabel("winter, by the year in which it begins")
        lower.margins(x=0.01)
    return figure


def _temperatures(assessment: Assessment, axes: Axes) -> None:
    """Coldest water and coldest hour outdoors of each winter, and the minimum."""
    units, unheated = display_units(assessment), assessment.unheated
    places = np.arange(len(unheated))
    minimum = units.value("temperature", assessment.case.plan.keep.floor_c)
    water, outdoors = (
        units.value("temperature", np.array([getattr(winter, name) for winter in unheated]))
        for name in ("coldest_c", "coldest_outdoors_c")
    )
    axes.vlines(places, outdoors, water, color=GREY, lw=0.6)
    axes.plot(places, outdoors, color=GREY, marker="v", ls="none", ms=5, label="coldest hour outdoors")
    axes.plot(places, water, color=BLUE, marker="o", ls="none", ms=5, label="coldest water, unheated")
    axes.axhline(minimum, color=INK, lw=0.8, ls=(0, (1, 2)), label="minimum")
    axes.set_ylabel(f"temperature, {units.unit('temperature')}")
    axes.legend(ncols=3, frameon=False, fontsize=8, loc="upper center", bbox_to_anchor=(0.5, 1.25))


def _heating(assessment: Assessment, axes: Axes) -> None:
    """Heating of each winter, the winters of the table named; incomplete winters are left empty."""
    bills = assessment.season.winter_costs
    marks = marked_winters(assessment)
    kwh = [bill.kwh if bill.complete else 0.0 for bill in bills]
    bars = axes.bar(range(len(kwh)), kwh, color=[ORANGE if winter in marks else PALE for winter in range(len(kwh))])
    words = [", ".join(marks.get(winter, [])) for winter in range(len(kwh))]
    axes.bar_label(bars, labels=words, rotation=90, padding=3, fontsize=7.5)
    axes.margins(y=0.45)
    axes.set_ylabel("heating, kWh")
