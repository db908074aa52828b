"""Chart of the tank after a power cut: from each worst day of the table, and with lid and blankets."""

from __future__ import annotations

from markupsafe import Markup

from thermal.analysis.assessment import Assessment
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report.drawings.canvas import (
    NARROW,
    WIDE,
    Canvas,
    Plot,
    figure,
    padded_range,
    round_ticks,
    spread,
)

SHOWN_H = 72
HEIGHT = {WIDE: 270.0, NARROW: 330.0}
KINDS = ("bare-1", "bare-2", "bare-3")


def outage_figure(assessment: Assessment) -> Markup:
    """Chart of the tank after a power cut."""
    return figure("outage", [_drawing(assessment, size) for size in (WIDE, NARROW)])


def outage_alt(assessment: Assessment) -> str:
    """The chart in words, with its figures after a day and at its end."""
    unit = UNIT_SYSTEMS[assessment.case.plan.units].unit("temperature")
    parts = [
        f"{name}: {curve[0]:z.1f} {unit} at first, {curve[min(24, len(curve) - 1)]:z.1f} {unit} after 24 hours,"
        f" {curve[-1]:z.1f} {unit} after {len(curve) - 1} hours"
        for _, name, curve in outage_lines(assessment)
    ]
    limits = ", ".join(f"{name} {limit:z.1f} {unit}" for name, limit in outage_limits(assessment))
    return f"Tank temperature after the power fails. {'. '.join(parts)}. Limits: {limits}.".replace(" -", " −")


def outage_lines(assessment: Assessment) -> list[tuple[str, str, list[float]]]:
    """Class, name and temperature at each hour in the shown unit of every line."""
    outage, units = assessment.outage, UNIT_SYSTEMS[assessment.case.plan.units]
    lines = [
        (kind, f"as it is, from {units.moment(start)}", curve)
        for kind, (start, curve) in zip(KINDS, outage.curves_c.items(), strict=False)
    ]
    start = outage.with_both.worst_start or outage.worst_start
    lines.append(("covered", f"lid and blankets, from {units.moment(start)}", outage.curve_lid_c))
    return [
        (kind, name, [float(units.value("temperature", c)) for c in curve[: SHOWN_H + 1]])
        for kind, name, curve in lines
    ]  # fmt: skip


def outage_limits(assessment: Assessment) -> list[tuple[str, float]]:
    """Name and temperature in the shown unit of each limit in the chart."""
    outage, plan = assessment.outage, assessment.case.plan
    limits = [("minimum", plan.keep.floor_c)]
    limits += [("lethal", outage.lethal_c)] if outage.lethal_c is not None else []
    limits += [("freezing", 0.0)] if min(map(min, outage.curves_c.values())) <= 0.0 else []
    units = UNIT_SYSTEMS[plan.units]
    return [(name, float(units.value("temperature", limit))) for name, limit in limits]


def _drawing(assessment: Assessment, size: str) -> str:
    """The chart in one size."""
    lines, limits = outage_lines(assessment), outage_limits(assessment)
    canvas = Canvas("outage", size, HEIGHT[size])
    values = [value for _, _, curve in lines for value in curve] + [limit for _, limit in limits]
    low, high = padded_range(values)
    last = max(len(curve) for _, _, curve in lines) - 1
    key = 22.0 + 17.0 * len(lines)
    plot = Plot(
        40.0, canvas.width - (12.0 if canvas.narrow else 222.0), key if canvas.narrow else 22.0, canvas.height - 42.0,
        0.0, max(last, 1), low, high,
    )  # fmt: skip
    canvas.axis(plot, round_ticks(low, high, 6))
    canvas.text(0, plot.top - 9, UNIT_SYSTEMS[assessment.case.plan.units].unit("temperature"), kind="soft")
    for hour in range(0, last + 1, 24 if canvas.narrow else 12):
        canvas.line((plot.x(hour), plot.bottom), (plot.x(hour), plot.bottom + 4), "tick")
        canvas.text(plot.x(hour), plot.bottom + 18, str(hour), "middle", "soft")
    canvas.text((plot.left + plot.right) / 2, plot.bottom + 36, "hours after the power fails", "middle", "soft")
    for kind, _, curve in lines:
        canvas.path([(plot.x(hour), plot.y(value)) for hour, value in enumerate(curve)], f"line {kind}")
    for name, limit in limits:
        canvas.line((plot.left, plot.y(limit)), (plot.right, plot.y(limit)), "minimum")
        canvas.text(plot.right, plot.y(limit) - 5, name, "end")
    if canvas.narrow:
        for i, (kind, name, _) in enumerate(lines):
            y = 10.0 + 17.0 * i
            canvas.line((4, y), (28, y), f"key {kind}")
            canvas.text(33, y + canvas.letter * 0.35, name)
    else:
        _labels(canvas, plot, lines)
    return canvas.svg("Power cut", outage_alt(assessment))


def _labels(canvas: Canvas, plot: Plot, lines: list[tuple[str, str, list[float]]]) -> None:
    """Names at the right end of the lines, each joined to its own; of lines that end together the warmer is above."""
    ordered = sorted(lines, key=lambda line: (-round(line[2][-1], 1), -sum(line[2])))
    ends = [plot.y(curve[-1]) for _, _, curve in ordered]
    step = canvas.letter * 1.2
    places = spread(ends, 2.2 * step, plot.top, plot.bottom - step)
    for (kind, name, _), end, place in zip(ordered, ends, places, strict=True):
        x = plot.right + 24.0
        canvas.path([(plot.right, end), (x - 15.0, place), (x - 3.0, place)], f"key {kind}")
        what, day = name.split(", ", 1)
        canvas.text(x, place + canvas.letter * 0.35, what)
        canvas.text(x, place + canvas.letter * 0.35 + step, day, kind="soft")
