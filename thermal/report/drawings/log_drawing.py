"""Charts of a log: measured temperatures, and those of the calibrated plan."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from markupsafe import Markup

from thermal.analysis.calibration import Calibration
from thermal.climate.logger_csv import Log
from thermal.core.arrays import Array
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.drawings.canvas import NARROW, WIDE, Canvas, Plot, day_text, figure, padded_range, round_ticks

HEIGHT = 240.0
SHOWN_DAYS = {WIDE: 7, NARROW: 4}  # dates under a chart


def log_figures(plan: Plan, calibration: Calibration, log: Log) -> list[Markup]:
    """A chart of the water and one of the room, of what was logged.

    Parameters
    ----------
    plan : Plan
        The plan, for its units.
    calibration : Calibration
        Result of the calibration.
    log : Log
        The log it was made from.
    """
    pairs = (("water", log.water_c, calibration.water_c), ("room", log.room_c, calibration.room_c))
    return [
        figure(f"log-{name}", [_drawing(plan, log, size, name, measured, simulated) for size in (WIDE, NARROW)])
        for name, measured, simulated in pairs
        if measured is not None and simulated is not None
    ]


def _drawing(plan: Plan, log: Log, size: str, name: str, measured_c: Array, simulated_c: Array) -> str:
    """One chart in one of the two sizes."""
    units = UNIT_SYSTEMS[plan.units]
    measured, simulated = (units.value("temperature", values) for values in (measured_c, simulated_c))
    hours = np.asarray((log.times - log.times[0]).total_seconds()) / 3600.0
    low, high = padded_range(float(value) for values in (measured, simulated) for value in values[np.isfinite(values)])
    canvas = Canvas(f"log-{name}", size, HEIGHT)
    plot = Plot(40.0, canvas.width - 4.0, 44.0, HEIGHT - 24.0, 0.0, max(float(hours[-1]), 1.0), low, high)
    canvas.axis(plot, round_ticks(low, high, 6))
    canvas.text(0, plot.top - 9, units.unit("temperature"), kind="soft")
    for place, kind, words in ((0.0, "outdoors", f"{name} measured"), (150.0, "water-heated", f"{name} simulated")):
        canvas.line((place, 10.0), (place + 24.0, 10.0), f"key {kind}")
        canvas.text(place + 29.0, 14.0, words)
    for values, kind in ((simulated, "water-heated"), (measured, "outdoors")):
        for rows in _unbroken(log, values):
            points = zip(hours[rows], values[rows], strict=True)
            canvas.path([(plot.x(float(hour)), plot.y(float(value))) for hour, value in points], f"line {kind}")
    days = max(1, round(hours[-1] / 24.0 / SHOWN_DAYS[size]))
    for hour in range(0, int(hours[-1]), 24 * days):
        x = plot.x(hour)
        canvas.line((x, plot.bottom), (x, plot.bottom + 4), "tick")
        time = (log.times[0] + np.timedelta64(hour, "h")).to_pydatetime()
        canvas.text(x, plot.bottom + 18, day_text(time, plan.units), kind="soft")
    return canvas.svg(
        f"Temperature of the {name}, measured and simulated",
        _words(name, units.unit("temperature"), measured, simulated),
    )


def _words(name: str, unit: str, measured: Array, simulated: Array) -> str:
    """The chart in words."""
    ranges = (f"{np.nanmin(values):z.1f} to {np.nanmax(values):z.1f} {unit}" for values in (measured, simulated))
    return "The {} went from {} as measured, and from {} as simulated.".format(name, *ranges).replace("-", "−")


def _unbroken(log: Log, values: Array) -> Iterator[slice]:
    """Rows of each stretch of hours that follow one another and have a value."""
    known = np.isfinite(values)
    for stretch in log.stretches():
        edges = np.flatnonzero(np.diff(np.concatenate([[0], known[stretch].astype(int), [0]]))) + stretch.start
        for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            yield slice(first, last)
