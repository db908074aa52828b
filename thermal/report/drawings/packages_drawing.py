"""Chart of every package by its price and its running cost; the best are joined by a line, numbered and named.

For scripts: the mark of a package has data-package, its index in the JSON answer (with more than `MOST_MARKS` packages
only the best have marks of their own). The circle with the class "chosen" is hidden; give it cx and cy by data-x and
data-y of the drawing (see `canvas.Plot.scale`; x in money for the measures, y in money for heating) and show it.
"""

from __future__ import annotations

from itertools import pairwise

from markupsafe import Markup

from thermal.analysis.comparison_results import Comparison, Package
from thermal.plan.model import Plan
from thermal.report.drawings.canvas import (
    NARROW,
    WIDE,
    Canvas,
    Plot,
    figure,
    number,
    padded_range,
    round_ticks,
    text_width,
    wrap,
)

MOST_MARKS = 512
MOST_NAMES = 12  # best packages that are named in the chart; with more the table names them
PLOT_HEIGHT = {WIDE: 270.0, NARROW: 210.0}
NAMES_WIDTH = {WIDE: 290.0, NARROW: 300.0}


def packages_figure(plan: Plan, comparison: Comparison, alt: str) -> Markup:
    """Chart of every package by its price and its running cost.

    Parameters
    ----------
    plan : Plan
        The plan, for its currency.
    comparison : Comparison
        Result of `compare`.
    alt : str
        The chart in words.
    """
    return figure("packages", [_drawing(plan, comparison, size, alt) for size in (WIDE, NARROW)])


def front_names(comparison: Comparison) -> list[str]:
    """Name of each of the best packages: what it adds to the largest earlier one that it contains, "2 + a lid"."""
    design = comparison.package_comparison
    front = [design.packages[index] for index in design.pareto_front]
    names = []
    for place, package in enumerate(front):
        inside = [i for i, other in enumerate(front[:place]) if set(other.measures) < set(package.measures)]
        base = max(inside, key=lambda i: len(front[i].measures), default=None)
        added = [name for name in package.measures if base is None or name not in front[base].measures]
        of_base = [] if base is None or not front[base].measures else [str(base + 1)]
        names.append(" + ".join([*of_base, *added]) or "no measures")
    return names


def _drawing(plan: Plan, comparison: Comparison, size: str, alt: str) -> str:
    """The chart in one size."""
    design, currency = comparison.package_comparison, plan.power.currency
    best = [design.packages[index] for index in design.pareto_front]
    shown = [(index, package) for index, package in enumerate(design.packages) if package.result.needed_w is not None]
    names = [wrap(name, NAMES_WIDTH[size], 13.0)[:2] for name in front_names(comparison)]
    names = names if len(names) <= MOST_NAMES else []
    listed = sum(6.0 + 16.0 * len(lines) for lines in names) + 14.0
    height = PLOT_HEIGHT[size] + 62.0
    canvas = Canvas("packages", size, height + listed if size == NARROW else max(height, listed))
    x_low, x_high = padded_range([package.cost for _, package in shown] or [0.0])
    y_low, y_high = padded_range([package.result.cost for _, package in shown] or [0.0])
    y_low = max(y_low, 0.0) if y_low > 0.3 * y_high else 0.0
    right = canvas.width - (10.0 if canvas.narrow or not names else NAMES_WIDTH[size] + 42.0)
    top = 38.0 if canvas.narrow else 24.0
    plot = Plot(48.0, right, top, 24.0 + PLOT_HEIGHT[size], x_low, x_high, y_low, y_high)
    canvas.axis(plot, round_ticks(y_low, y_high, 6))
    words = f"{currency} for heating, {comparison.season.short}"
    canvas.text(0, 11, words, kind="soft")
    if y_low > 0:
        below = (0.0, 26.0) if canvas.narrow else (text_width(words, canvas.letter) + 12.0, 11.0)
        canvas.text(*below, "(this axis does not begin at 0)", kind="soft")
    for price in round_ticks(max(x_low, 0.0), x_high, 5 if canvas.narrow else 6):
        canvas.line((plot.x(price), plot.bottom), (plot.x(price), plot.bottom + 4), "tick")
        canvas.text(plot.x(price), plot.bottom + 18, f"{price:,.10g}", "middle", "soft")
    canvas.text((plot.left + plot.right) / 2, plot.bottom + 35, f"price of the measures, {currency}", "middle", "soft")
    _marks(canvas, plot, [pair for pair in shown if pair[0] not in design.pareto_front])
    _front(canvas, plot, design.pareto_front, best)
    x, y = (4.0, plot.bottom + 62.0) if canvas.narrow else (plot.right + 20.0, 20.0)
    for place, lines in enumerate(names):
        canvas.rect(x, y - 11, 20, 15, "badge")
        canvas.text(x + 10, y + 0.8, str(place + 1), "middle", "inside")
        for line in lines:
            canvas.text(x + 26, y + 1, line)
            y += 16.0
        y += 6.0
    canvas.add('<circle class="chosen" r="12"/>')
    return canvas.svg("Packages of measures", alt, plot.scale)


def _marks(canvas: Canvas, plot: Plot, others: list[tuple[int, Package]]) -> None:
    """A small circle for each package that is not among the best; all of them as one path where they are many."""
    places = [(index, plot.x(package.cost), plot.y(package.result.cost)) for index, package in others]
    if len(places) <= MOST_MARKS:
        for index, x, y in places:
            canvas.add(f'<circle class="other" data-package="{index}" cx="{number(x)}" cy="{number(y)}" r="3.2"/>')
    else:
        dots = dict.fromkeys(f"M{x:.0f} {y:.0f}h0" for _, x, y in places)
        canvas.add(f'<path class="others" d="{"".join(dots)}"/>')


def _front(canvas: Canvas, plot: Plot, indices: tuple[int, ...], best: list[Package]) -> None:
    """The best packages: numbered squares, joined by steps."""
    points = [(plot.x(package.cost), plot.y(package.result.cost)) for package in best]
    steps = [corner for (x0, y0), (x1, y1) in pairwise(points) for corner in ((x0, y0), (x1, y0))]
    if points:
        canvas.path([*steps, points[-1]], "line front")
    beside = (-99.0, -99.0)
    for place, (index, (x, y)) in enumerate(zip(indices, points, strict=True)):
        x = min(max(x, beside[0] + 19.0), x + 8.0) if abs(y - beside[1]) < 17.0 else x
        beside = (x, y)
        canvas.add(f'<g class="best" data-package="{index}">')
        canvas.rect(x - 9, y - 8, 18, 16, "badge")
        canvas.text(x, y + 4.5, str(place + 1), "middle", "inside")
        canvas.add("</g>")
