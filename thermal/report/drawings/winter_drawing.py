"""Charts of the coldest winter and of its coldest week, with the figures of every hour for `hover.js` to read out.

For scripts: each line has the class "line" and one of "outdoors", "room", "water-unheated", "water-heated"; the drawing
has data-x and data-y (see `canvas.Plot.scale`), x in hours of the winter and y in the shown unit of temperature.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from markupsafe import Markup

from thermal.analysis.assessment import Assessment
from thermal.analysis.case import INSTALLED, UNHEATED, hours_of
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report.drawings.canvas import (
    NARROW,
    WIDE,
    Canvas,
    Plot,
    day_text,
    figure,
    month_starts,
    padded_range,
    round_ticks,
    spread,
    text_width,
)

HALF_WEEK_H = 84
HEIGHT = {"winter": {WIDE: 250.0, NARROW: 226.0}, "week": {WIDE: 240.0, NARROW: 240.0}}
NAMES = {  # class and name of each line, in the order in which they cover each other
    "outdoors": "outdoors",
    "room": "room",
    "water-unheated": "water, no heater",
    "water-heated": "water with heater",
}


@dataclass(frozen=True)
class HourlyLine:
    """One line of the charts: its class, and its temperature in each hour in the shown unit."""

    kind: str
    values: Array


def winter_figure(assessment: Assessment) -> Markup:
    """Chart of the coldest winter; `hover.js` reads out each of its hours."""
    whole = slice(0, len(temperature_lines(assessment)[0].values))
    drawings = [_drawing(assessment, "winter", size, whole) for size in (WIDE, NARROW)]
    return figure("winter", drawings, READ_OUT + hourly_data(assessment))


def week_figure(assessment: Assessment) -> Markup:
    """Chart of the week round the coldest hour; `hover.js` reads out each of its hours."""
    week = coldest_week(assessment)
    return figure("week", [_drawing(assessment, "week", size, week) for size in (WIDE, NARROW)], READ_OUT)


def winter_alt(assessment: Assessment, span: slice) -> str:
    """Some hours of the coldest winter in words, with the lowest and the highest of each line.

    Parameters
    ----------
    assessment : Assessment
        Result of `assess`.
    span : slice
        The hours.
    """
    plan, unit = assessment.case.plan, UNIT_SYSTEMS[assessment.case.plan.units].unit("temperature")
    parts = []
    for line in temperature_lines(assessment):
        low, high = float(line.values[span].min()), float(line.values[span].max())
        parts.append(f"{NAMES[line.kind]} {low:z.1f} to {high:z.1f} {unit}".replace("-", "−"))
    minimum = UNIT_SYSTEMS[plan.units].text("temperature", plan.keep.floor_c)
    return f"Lowest and highest temperatures: {'; '.join(parts)}. The minimum water temperature is {minimum}."


READ_OUT = '<p class="read-out" role="status" hidden></p>'  # `hover.js` shows it, and writes in it


def temperature_lines(assessment: Assessment) -> list[HourlyLine]:
    """Temperatures of every hour of the coldest winter, in the order of `NAMES`; no room where its air is given."""
    case = assessment.case
    units, winter = UNIT_SYSTEMS[case.plan.units], assessment.unheated.index(assessment.coldest)
    heated, unheated = (hours_of(case, assessment.shown, winter, design) for design in (INSTALLED, UNHEATED))
    water_nodes = case.network.vessels.water_nodes if case.network.vessels else ()
    values = {
        "outdoors": heated.outdoor_c,
        "water-unheated": unheated.end(water_nodes[-1], water_nodes),
        "water-heated": heated.end(water_nodes[-1], water_nodes),
    }
    if "air" in case.network.nodes:
        values["room"] = heated.mean(case.network.nodes.index("air"))
    return [HourlyLine(kind, units.value("temperature", values[kind])) for kind in NAMES if kind in values]


def coldest_week(assessment: Assessment) -> slice:
    """Hours of the week round the coldest hour outdoors."""
    outdoors = temperature_lines(assessment)[0].values
    middle = int(np.argmin(outdoors))
    first = max(0, min(middle - HALF_WEEK_H, len(outdoors) - 2 * HALF_WEEK_H))
    return slice(first, min(first + 2 * HALF_WEEK_H, len(outdoors)))


def hourly_data(assessment: Assessment) -> str:
    """The figures of every hour as JSON in the page: the first of each, then its change from hour to hour.

    Temperatures are in tenths of the shown unit, the heater in tens of watts, rounded up as everywhere.
    """
    case = assessment.case
    winter = assessment.unheated.index(assessment.coldest)
    lines = temperature_lines(assessment)
    heater = hours_of(case, assessment.shown, winter)
    watts = heater.hourly_output.heater_w[:, heater.column]
    columns = [np.round(10.0 * line.values) for line in lines] + [np.ceil(watts / 10.0 - 1e-6)]
    content = {
        "start": case.weather.winters[winter].start.isoformat()[:16],
        "units": case.plan.units,
        "unit": UNIT_SYSTEMS[case.plan.units].unit("temperature"),
        "names": [NAMES[line.kind] for line in lines],
        "changes": [np.diff(column, prepend=0).astype(int).tolist() for column in columns],
    }
    text = json.dumps(content, separators=(",", ":"), ensure_ascii=False).replace("<", "\\u003c")
    return f'<script type="application/json" class="winter-hours">{text}</script>'


def daily_extremes(values: Array) -> list[tuple[int, float]]:
    """Hour and value of the lowest and the highest hour of each day, in order of time."""
    points = []
    for first in range(0, len(values), 24):
        day = values[first : first + 24]
        points += [(first + hour, float(day[hour])) for hour in sorted({int(np.argmin(day)), int(np.argmax(day))})]
    return points


def _drawing(assessment: Assessment, name: str, size: str, span: slice) -> str:
    """One of the two charts in one of the two sizes."""
    plan, lines = assessment.case.plan, temperature_lines(assessment)
    units = UNIT_SYSTEMS[plan.units]
    canvas = Canvas(name, size, HEIGHT[name][size])
    shown = [line.values[span] for line in lines]
    minimum = units.value("temperature", plan.keep.floor_c)
    most = 6 if canvas.narrow else 7
    low, high = padded_range([minimum, *(float(edge) for values in shown for edge in (values.min(), values.max()))])
    plot = Plot(
        34.0 if canvas.narrow else 40.0,
        canvas.width - (4.0 if canvas.narrow else 152.0),
        76.0 if canvas.narrow else 22.0,
        canvas.height - 24.0,
        span.start, max(span.stop - 1, span.start + 1), low, high,
    )  # fmt: skip
    canvas.axis(plot, round_ticks(low, high, most))
    canvas.text(0, plot.top - 9, units.unit("temperature"), kind="soft")
    _time_axis(canvas, plot, assessment, name)
    y = plot.y(minimum)
    canvas.line((plot.left, y), (plot.right, y), "minimum")
    for line in lines:
        points = daily_extremes(line.values) if name == "winter" else list(enumerate(line.values))[span]
        canvas.path([(plot.x(hour), plot.y(value)) for hour, value in points], f"line {line.kind}")
    labels = [(line.kind, NAMES[line.kind], float(line.values[span][-1])) for line in lines]
    labels.append(("minimum", "minimum", float(minimum)))
    (_key_above if canvas.narrow else _labels_beside)(canvas, plot, labels)
    canvas.line((plot.left, plot.top), (plot.left, plot.bottom), "cursor")
    title = f"Winter {assessment.coldest.label}" + (", its coldest week" if name == "week" else "")
    return canvas.svg(title, winter_alt(assessment, span), f' data-hours="{span.start} {span.stop}"{plot.scale}')


def _time_axis(canvas: Canvas, plot: Plot, assessment: Assessment, name: str) -> None:
    """Months under the winter, days under its week."""
    winter = assessment.case.weather.winters[assessment.unheated.index(assessment.coldest)]
    start = winter.start.to_pydatetime()
    if name == "winter":
        marks = month_starts(start, int(plot.x_high) + 1)
    else:
        hours = range(int(plot.x_low), int(plot.x_high) + 1)
        midnights = [hour for hour in hours if (start + timedelta(hours=hour)).hour == 0]
        days = midnights[:: 2 if canvas.narrow else 1]
        marks = [(hour, day_text(start + timedelta(hours=hour), assessment.case.plan.units)) for hour in days]
    for hour, label in marks:
        x = plot.x(hour)
        canvas.line((x, plot.bottom), (x, plot.bottom + 4), "tick")
        if x + text_width(label, canvas.letter) <= canvas.width:
            canvas.text(x, plot.bottom + 18, label, kind="soft")


def _labels_beside(canvas: Canvas, plot: Plot, labels: Sequence[tuple[str, str, float]]) -> None:
    """The name of each line at its right end, joined to it."""
    ordered = sorted(labels, key=lambda label: -label[2])
    ends = [plot.y(value) for _, _, value in ordered]
    places = spread(ends, canvas.letter * 1.25, plot.top, plot.bottom)
    for (kind, words, _), end, place in zip(ordered, ends, places, strict=True):
        x = plot.right + 24
        canvas.path([(plot.right, end), (plot.right + 8, place), (x - 3, place)], f"key {kind}")
        canvas.text(x, place + canvas.letter * 0.35, words)


def _key_above(canvas: Canvas, plot: Plot, labels: Sequence[tuple[str, str, float]]) -> None:
    """Names of the lines above the plot, two in a row, each with a piece of its line; warmest first, as in the plot."""
    for i, (kind, words, _) in enumerate(reversed(labels)):
        x, y = (4.0, 172.0)[i % 2], 12.0 + 17.0 * math.floor(i / 2)
        canvas.line((x, y), (x + 24, y), f"key {kind}")
        canvas.text(x + 29, y + canvas.letter * 0.35, words)
