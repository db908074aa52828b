"""Chart of the heat by group of paths in each month of the typical winter: losses upwards, gains downwards."""

from __future__ import annotations

from markupsafe import Markup

from thermal.analysis.assessment import Assessment
from thermal.analysis.heat_groups import GAINS, STORED, legend_order, month_groups, stack_order, zone_of
from thermal.report.drawings.canvas import (
    MONTHS,
    NARROW,
    WIDE,
    Canvas,
    Plot,
    figure,
    round_ticks,
    spread,
)
from thermal.report.table_data import heat_text, month_name

HEIGHT = {WIDE: 300.0, NARROW: 320.0}
LABELS = {GAINS: "gains (pump, lamps, sun)", STORED: "stored heat"}


def months_figure(assessment: Assessment) -> Markup:
    """Chart of the heat by group of paths in each month of the typical winter."""
    return figure("months", [_drawing(assessment, size) for size in (WIDE, NARROW)])


def months_alt(assessment: Assessment) -> str:
    """The chart in words, with its figures."""
    months, season = month_groups(assessment.season.months, assessment.case.plan), assessment.season
    parts = [
        f"{month_name(month.month)}: {', '.join(f'{group} {heat_text(kwh)}' for group, kwh in groups.items())};"
        f" heater {heat_text(month.kwh)}"
        for month, groups in zip(season.months, months, strict=True)
    ]
    return (
        f"Heat that leaves the {zone_of(assessment.case.plan)} in each month by group of paths, in kWh; gains are"
        f" negative. {'. '.join(parts)}."
    )


def _drawing(assessment: Assessment, size: str) -> str:
    """The chart in one size."""
    months, season = month_groups(assessment.season.months, assessment.case.plan), assessment.season
    canvas = Canvas("months", size, HEIGHT[size])
    high = max((sum(max(kwh, 0.0) for kwh in month.values()) for month in months), default=1.0)
    low = min((sum(min(kwh, 0.0) for kwh in month.values()) for month in months), default=0.0)
    low, high = min(low, 0.0), max(high, 1e-3)
    ticks = [tick for tick in round_ticks(low, high * 1.04, 5) if tick >= 0.0]
    plot = Plot(
        46.0, canvas.width - (4.0 if canvas.narrow else 206.0), 84.0 if canvas.narrow else 24.0, canvas.height - 44.0,
        0.0, max(len(months), 1), 1.04 * low, high * 1.04,
    )  # fmt: skip
    canvas.add_patterns(legend_order(months))
    canvas.axis(plot, ticks)
    canvas.text(0, plot.top - 10, "kWh a month", kind="soft")
    for index, (month, groups) in enumerate(zip(season.months, months, strict=True)):
        _stack(canvas, plot, index, stack_order(groups, legend_order(months)))
        x = plot.x(index + 0.5)
        canvas.text(x, plot.bottom + 18, MONTHS[int(month.month[5:7]) - 1], "middle")
        canvas.text(x, plot.bottom + 36, heat_text(month.kwh), "middle", "strong")
    canvas.text(0, plot.bottom + 36, "heater", kind="soft")
    canvas.line((plot.left, plot.y(0.0)), (plot.right, plot.y(0.0)), "zero")
    _legend(canvas, plot, months)
    return canvas.svg("Heat by month", months_alt(assessment))


def _stack(canvas: Canvas, plot: Plot, index: int, groups: dict[str, float]) -> None:
    """The groups of one month, from the zero line upwards and downwards, in the order of the legend."""
    up = down = 0.0
    left, right = plot.x(index + 0.14), plot.x(index + 0.86)
    for group, kwh in groups.items():
        base = up if kwh >= 0 else down
        top, bottom = plot.y(max(base, base + kwh)), plot.y(min(base, base + kwh))
        canvas.add(
            f'<rect class="area" data-group="{group}" x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}"'
            f' height="{bottom - top:.1f}" {canvas.fill(group)}/>'
        )
        up, down = (up + kwh, down) if kwh >= 0 else (up, down + kwh)


def _legend(canvas: Canvas, plot: Plot, months: list[dict[str, float]]) -> None:
    """Names of the groups from top to bottom as in the stacks: right of the last stack, or above on a phone."""
    order = legend_order(months)
    if canvas.narrow:
        places = [(4.0 + 168.0 * (i % 2), 10.0 + 17.0 * (i // 2)) for i in range(len(order))]
    else:
        stack = [abs(months[-1][group]) for group in order]
        heights = spread([plot.y(sum(stack[i:])) for i in range(len(order))], 22.0, plot.top + 40, plot.bottom)
        places = [(plot.right + 12.0, y) for y in heights]
    for group, (x, y) in zip(order, places, strict=True):
        canvas.add(
            f'<rect class="area" data-legend="{group}" x="{x:.1f}" y="{y - 6:.1f}" width="16" height="12"'
            f" {canvas.fill(group)}/>"
        )
        canvas.text(x + 22, y + canvas.letter * 0.35, LABELS.get(group, group))
