"""Chart of heater needed and cost at each minimum water temperature, and of the species that it is warm enough for.

For scripts: the drawing has data-x and data-watts-y, data-cost-y (place and value at both ends of each axis); the line
with the class "chosen" is hidden, give it a transform of "translate(x 0)" and show it.
"""

from __future__ import annotations

from markupsafe import Markup

from thermal.analysis.comparison_results import Comparison, FloorStep
from thermal.core.display_units import UNIT_SYSTEMS
from thermal.plan.model import Plan
from thermal.report.drawings.canvas import NARROW, WIDE, Canvas, Plot, figure, round_ticks, wrap

PANEL = {WIDE: 120.0, NARROW: 110.0}
ROW = 17.0


def minimums_figure(plan: Plan, comparison: Comparison, alt: str) -> Markup:
    """Chart of heater needed, cost and species by minimum water temperature.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    alt : str
        The chart in words.
    """
    return figure("floors", [_drawing(plan, comparison, size, alt) for size in (WIDE, NARROW)])


def _drawing(plan: Plan, comparison: Comparison, size: str, alt: str) -> str:
    """The chart in one size."""
    units = UNIT_SYSTEMS[plan.units]
    steps = [step for step in comparison.floors if step.result.needed_w is not None]
    temperatures = [float(units.value("temperature", step.floor_c)) for step in steps] or [0.0, 1.0]
    low, high = temperatures[0], max(temperatures[-1], temperatures[0] + 1.0)
    right = Canvas("floors", size, 0).width - 12.0
    frame = Plot(48.0, right, 0.0, 1.0, low, high, 0.0, 1.0)
    rows = _species_rows(plan, steps, frame, size)
    first, second = 46.0, 46.0 + PANEL[size] + 38.0
    names_top = second + PANEL[size] + 56.0
    canvas = Canvas("floors", size, names_top + ROW * (sum(len(row[1]) for row in rows) + 1) + 6.0)
    yours = float(units.value("temperature", plan.keep.floor_c))
    scales = ""
    for top, field, words, kind in (
        (first, "needed_w", "heater needed, W", "water-heated"),
        (second, "cost", f"{plan.power.currency} for heating, {comparison.season.short}", "water-unheated solid"),
    ):
        values = [float(getattr(step.result, field)) for step in steps] or [0.0]
        plot = Plot(48.0, right, top, top + PANEL[size], low, high, 0.0, 1.05 * max(*values, 1.0))
        canvas.axis(plot, round_ticks(0.0, plot.y_high, 4))
        canvas.text(0, top - 10, words, kind="soft")
        canvas.path(
            [(plot.x(x), plot.y(value)) for x, value in zip(temperatures, values, strict=False)], f"line {kind}"
        )
        canvas.line((plot.x(yours), top), (plot.x(yours), plot.bottom), "minimum")
        ends = f"{plot.bottom:g} 0 {plot.top:g} {plot.y_high:.6g}"
        scales += f' data-{"watts" if field == "needed_w" else "cost"}-y="{ends}"'
    x = frame.x(yours)
    canvas.text(x, 14, "your minimum", "middle" if x > 90 else "start")
    canvas.line((x, 19), (x, first), "minimum")
    for tick in round_ticks(low, high, 6 if canvas.narrow else 9):
        canvas.line((frame.x(tick), plot.bottom), (frame.x(tick), plot.bottom + 4), "tick")
        canvas.text(frame.x(tick), plot.bottom + 18, f"{tick:g}", "middle", "soft")
    canvas.text(0, plot.bottom + 36, f"minimum water temperature, {units.unit('temperature')}", kind="soft")
    _species(canvas, rows, names_top)
    canvas.line((0, first), (0, plot.bottom), "chosen")
    return canvas.svg("Other minimum water temperatures", alt, frame.scale.split(" data-y")[0] + scales)


def _species_rows(plan: Plan, steps: list[FloorStep], frame: Plot, size: str) -> list[tuple[float, list[str], str]]:
    """Where the names of each step with species begin, the names in lines, and on which side of that they stand."""
    units, letter = UNIT_SYSTEMS[plan.units], 13.5 if size == WIDE else 12.0
    rows = []
    for step in steps:
        if not step.species:
            continue
        x, names = frame.x(float(units.value("temperature", step.floor_c))), ", ".join(step.species)
        words = f"{units.text('temperature', step.floor_c, 0)}: {names}"
        if size == NARROW:
            rows.append((4.0, wrap(words, frame.right - 4.0, letter), "start"))
        elif x < 0.6 * frame.right:
            rows.append((x, wrap(words, frame.right - x - 10.0, letter), "start"))
        else:
            rows.append((x, wrap(words, x - 30.0, letter), "end"))
    return rows


def _species(canvas: Canvas, rows: list[tuple[float, list[str], str]], top: float) -> None:
    """The names of species, each beside the coldest minimum that is warm enough for it to feed or grow."""
    canvas.text(0, top, "warm enough to feed or grow:", kind="soft")
    y = top + ROW + 3
    for x, lines, anchor in rows:
        if not canvas.narrow:
            canvas.add(f'<circle class="dot" cx="{x:.1f}" cy="{y - 4:.1f}" r="3"/>')
        for line in lines:
            shift = 0.0 if canvas.narrow else (8.0 if anchor == "start" else -8.0)
            canvas.text(x + shift, y, line, anchor)
            y += ROW
