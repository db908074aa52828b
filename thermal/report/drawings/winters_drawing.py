"""Chart of all winters side by side: how cold it was outdoors and in unheated water, and the heating.

For scripts: the drawing has data-kwh-y (place and value at both ends of the axis of heating); the bar of each complete
winter has data-winter, its number among them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from markupsafe import Markup

from thermal.analysis.assessment import Assessment
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.report.drawings.canvas import NARROW, WIDE, Canvas, Plot, figure, padded_range, round_ticks, text_width

HEIGHT = {WIDE: 420.0, NARROW: 420.0}


def winters_figure(assessment: Assessment, marks: Mapping[int, Sequence[str]], alt: str) -> Markup:
    """Chart of all winters side by side.

    Parameters
    ----------
    assessment : Assessment
        Result of `assess`.
    marks : dict of int to sequence of str
        What to say of some winters, by index, as `assessment_tables.marked_winters` gives it.
    alt : str
        The chart in words.
    """
    return figure("winters", [_drawing(assessment, marks, size, alt) for size in (WIDE, NARROW)])


def _drawing(assessment: Assessment, marks: Mapping[int, Sequence[str]], size: str, alt: str) -> str:
    """The chart in one size."""
    canvas, units = Canvas("winters", size, HEIGHT[size]), UNIT_SYSTEMS[assessment.case.plan.units]
    unheated = assessment.unheated
    water, outdoors = (
        [float(units.value("temperature", getattr(winter, name))) for winter in unheated]
        for name in ("coldest_c", "coldest_outdoors_c")
    )
    minimum = float(units.value("temperature", assessment.case.plan.keep.floor_c))
    low, high = padded_range([minimum, *water, *outdoors])
    right = canvas.width - (6.0 if canvas.narrow else 84.0)
    upper = Plot(44.0, right, 62.0, 212.0, 0.0, len(unheated), low, high)
    canvas.axis(upper, round_ticks(low, high, 6))
    canvas.text(0, upper.top - 8, units.unit("temperature"), kind="soft")
    key = (("circle", "coldest water, no heater"), ("triangle", "coldest hour outdoors"))
    for i, (shape, words) in enumerate(key):
        x, y = (8.0, 10.0 + 17.0 * i) if canvas.narrow else (8.0 + 230.0 * i, 12.0)
        _mark(canvas, shape, x, y)
        canvas.text(x + 10, y + 4.5, words)
    y = upper.y(minimum)
    canvas.line((upper.left, y), (upper.right, y), "minimum")
    canvas.text(upper.right if canvas.narrow else upper.right + 6, y - 5 if canvas.narrow else y + 4.5, "minimum",
                "end" if canvas.narrow else "start")  # fmt: skip
    for i, (warm, cold) in enumerate(zip(water, outdoors, strict=True)):
        x = upper.x(i + 0.5)
        canvas.line((x, upper.y(warm)), (x, upper.y(cold)), "lead")
        _mark(canvas, "circle", x, upper.y(warm))
        _mark(canvas, "triangle", x, upper.y(cold))
    return canvas.svg("All winters", alt, _heating(canvas, assessment, marks, right))


def _mark(canvas: Canvas, shape: str, x: float, y: float) -> None:
    """A circle for water, a triangle for outdoors."""
    if shape == "circle":
        canvas.add(f'<circle class="mark-water" cx="{x:.1f}" cy="{y:.1f}" r="4"/>')
    else:
        canvas.add(f'<path class="mark-outdoors" d="M{x - 4.5:.1f} {y - 4:.1f}h9l-4.5 8z"/>')


def _heating(canvas: Canvas, assessment: Assessment, marks: Mapping[int, Sequence[str]], right: float) -> str:
    """Heating of each winter, those of the table stronger and named; incomplete ones are left empty.

    Returns the scale of its axis as attributes.
    """
    bills = assessment.season.winter_costs
    kwh = [bill.kwh if bill.complete else 0.0 for bill in bills]
    bottom = canvas.height - 22.0
    plot = Plot(44.0, right, 296.0, bottom, 0.0, len(kwh), 0.0, max(*kwh, 1.0))
    canvas.axis(plot, round_ticks(0.0, plot.y_high, 4))
    canvas.text(0, 238, "heating, kWh a winter", kind="soft")
    for i, energy in enumerate(kwh):
        left, width = plot.x(i + 0.15), 0.7 * (plot.right - plot.left) / len(kwh)
        if bills[i].complete:
            number = sum(bill.complete for bill in bills[:i])
            canvas.add(
                f'<rect class="{"bar" if i in marks else "bar pale"}" data-winter="{number}" x="{left:.1f}"'
                f' y="{plot.y(energy):.1f}" width="{width:.1f}" height="{plot.bottom - plot.y(energy):.1f}"/>'
            )
    _names(canvas, plot, marks, kwh)
    labels = [bill.label for bill in bills]
    widest = max(text_width(label, canvas.letter) for label in labels) + 6.0
    every = max(1, int(-(-widest // ((plot.right - plot.left) / len(labels)))))
    for i in range(0, len(labels), every):
        canvas.text(plot.x(i + 0.5), plot.bottom + 17, labels[i], "middle", "soft")
    return f' data-kwh-y="{plot.bottom:g} 0 {plot.top:g} {plot.y_high:.6g}"'


def _names(canvas: Canvas, plot: Plot, marks: Mapping[int, Sequence[str]], kwh: Sequence[float]) -> None:
    """What is said of a winter, above its bar, in rows so that no two names overlap."""
    ends: list[float] = []
    for winter in sorted(marks):
        words = ", ".join(marks[winter])
        if not words:
            continue
        half, x = text_width(words, canvas.letter) / 2.0, plot.x(winter + 0.5)
        place = min(max(x, half), canvas.width - half)
        row = next((i for i, end in enumerate(ends) if place - half > end + 6.0), len(ends))
        ends = [*ends, 0.0] if row == len(ends) else ends
        ends[row] = place + half
        y = 256.0 + 16.0 * row
        canvas.line((x, y + 3), (x, plot.y(kwh[winter])), "lead")
        canvas.text(place, y, words, "middle")
