"""Parts that every chart of a page is made of: elements of SVG, scales, axes, labels beside their lines, the figure.

Each chart is made twice, for a wide page and for a phone; the style sheet `style_charts.html` shows one of them. No
element has a colour here: each has a class, and the style sheet gives it colour, line style and weight.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from html import escape

from markupsafe import Markup

WIDE, NARROW = "wide", "narrow"
WIDTH = {WIDE: 860.0, NARROW: 340.0}
LETTER = {WIDE: 13.5, NARROW: 12.0}  # font size; a phone of 360 px shows a narrow drawing at 0.95 of this
LETTER_WIDTH = 0.6  # mean width of a letter over the font size, of common sans-serif fonts
PATTERNS = {  # marks on the areas of a stack, so that they differ in grey too
    "top": '<path d="M-2 2 2-2M0 8 8 0M6 10 10 6"/>',
    "bottom": '<path d="M2 2h.01M6 6h.01" class="dots"/>',
    "air": '<path d="M0 2H8M0 6H8"/>',
    "water-change": '<path d="M2 0V8M6 0V8"/>',
    "house": '<path d="M0 4H8M4 0V8"/>',
    "gains": '<path d="M0 0 8 8M-2 6 2 10M6-2 10 2"/>',
}
Points = Iterable[tuple[float, float]]


def number(value: float) -> str:
    """A coordinate as short text, to a tenth."""
    text = f"{value:.1f}"
    return "0" if text in ("-0.0", "0.0") else text.removesuffix(".0")


@dataclass(frozen=True)
class Plot:
    """The area of a chart between its axes, and the values at its edges.

    Attributes
    ----------
    left, right, top, bottom : float
        Edges in the drawing.
    x_low, x_high, y_low, y_high : float
        Values at the left, right, lower and upper edge.
    """

    left: float
    right: float
    top: float
    bottom: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        """Place of a value along the horizontal axis."""
        return self.left + (value - self.x_low) / (self.x_high - self.x_low) * (self.right - self.left)

    def y(self, value: float) -> float:
        """Place of a value along the vertical axis."""
        return self.bottom - (value - self.y_low) / (self.y_high - self.y_low) * (self.bottom - self.top)

    @property
    def scale(self) -> str:
        """Attributes for scripts: data-x and data-y hold place and value at both ends of each axis."""
        across = (self.left, self.x_low, self.right, self.x_high)
        upwards = (self.bottom, self.y_low, self.top, self.y_high)
        return "".join(
            f' data-{axis}="{" ".join(f"{value:.6g}" for value in ends)}"'
            for axis, ends in (("x", across), ("y", upwards))
        )


class Canvas:
    """One drawing under way: elements are added in the order in which they cover each other.

    Parameters
    ----------
    name : str
        Name of the chart.
    size : str
        `WIDE` or `NARROW`.
    height : float
        Its height.
    """

    def __init__(self, name: str, size: str, height: float) -> None:
        self.name, self.size, self.height = name, size, height
        self.width, self.letter = WIDTH[size], LETTER[size]
        self.parts: list[str] = []

    @property
    def narrow(self) -> bool:
        """Whether this is the drawing for a phone."""
        return self.size == NARROW

    def add(self, markup: str) -> None:
        """Add an element as it is."""
        self.parts.append(markup)

    def line(self, start: tuple[float, float], end: tuple[float, float], kind: str) -> None:
        """Add a straight line from start to end, with a class."""
        (x0, y0), (x1, y1) = start, end
        self.add(f'<path class="{kind}" d="M{number(x0)} {number(y0)}L{number(x1)} {number(y1)}"/>')

    def path(self, points: Points, kind: str) -> None:
        """Add a line through points, with a class."""
        self.add(f'<path class="{kind}" d="M{"L".join(f"{number(x)} {number(y)}" for x, y in points)}"/>')

    def rect(self, x: float, y: float, width: float, height: float, kind: str) -> None:
        """Add a rectangle.

        Parameters
        ----------
        x, y, width, height : float
            Its upper left corner and its size.
        kind : str
            Its class.
        """
        size = f'width="{number(width)}" height="{number(height)}"'
        self.add(f'<rect class="{kind}" x="{number(x)}" y="{number(y)}" {size}/>')

    def text(self, x: float, y: float, words: str, anchor: str = "start", kind: str = "") -> None:
        """Add a line of text.

        Parameters
        ----------
        x, y : float
            Where it stands: on the line y, and starting, ending or centred at x.
        words : str
            The text.
        anchor : str
            "start", "middle" or "end".
        kind : str
            Its class.
        """
        of_kind = f' class="{kind}"' if kind else ""
        at = "" if anchor == "start" else f' text-anchor="{anchor}"'
        self.add(f'<text{of_kind} x="{number(x)}" y="{number(y)}"{at}>{escape(words)}</text>')

    def fill(self, group: str) -> str:
        """Attribute that fills an area with the colour and the marks of a group of heat paths."""
        return f'fill="url(#{self.name}-{self.size}-{group.replace(" ", "-")})"'

    def add_patterns(self, groups: Iterable[str]) -> None:
        """Define the fill of each group of heat paths, for this drawing."""
        for group in groups:
            kind = group.replace(" ", "-")
            self.add(
                f'<pattern id="{self.name}-{self.size}-{kind}" class="pattern" width="8" height="8"'
                f' patternUnits="userSpaceOnUse"><rect class="group-{kind}" width="8" height="8"/>'
                f"{PATTERNS.get(kind, '')}</pattern>"
            )

    def axis(self, plot: Plot, ticks: Sequence[float], labels: Sequence[str] | None = None) -> None:
        """Add the vertical axis: a fine line across the plot at each tick, and its label.

        Parameters
        ----------
        plot : Plot
            The area.
        ticks : sequence of float
            Values with a line.
        labels : sequence of str, optional
            Their labels; the values where not given.
        """
        for value, label in zip(ticks, labels or [f"{tick:,.10g}".replace("-", "−") for tick in ticks], strict=True):
            y = plot.y(value)
            self.line((plot.left, y), (plot.right, y), "grid")
            self.text(plot.left - 6, y + self.letter * 0.35, label, "end", "soft")

    def svg(self, title: str, words: str, attributes: str = "") -> str:
        """The drawing as an element that a screen reader reads as one picture.

        Parameters
        ----------
        title, words : str
            Its title, and what it shows, with the figures.
        attributes : str
            Further attributes.
        """
        key = f"{self.name}-{self.size}"
        return (
            f'<svg class="{self.size}" role="img" aria-labelledby="{key}-title {key}-words"'
            f' viewBox="0 0 {number(self.width)} {number(self.height)}" font-size="{number(self.letter)}"{attributes}>'
            f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-words">{escape(words)}</desc>'
            f"{''.join(self.parts)}</svg>"
        )


def figure(name: str, drawings: Iterable[str], more: str = "") -> Markup:
    """Both drawings of a chart, of which the style sheet shows one.

    Parameters
    ----------
    name : str
        Name of the chart; its class is "chart-" and this name.
    drawings : iterable of str
        The drawings.
    more : str
        What else the figure holds.
    """
    return Markup(f'<div class="chart chart-{name}">{"".join(drawings)}{more}</div>')


def round_ticks(low: float, high: float, most: int) -> list[float]:
    """Round values from low to high, in steps of 1, 2 or 5 times a power of ten.

    Parameters
    ----------
    low, high : float
        Ends of the range.
    most : int
        Largest number of values.
    """
    span = max(high - low, 1e-9)
    step = 10.0 ** math.floor(math.log10(span / most))
    step *= next(factor for factor in (1, 2, 5, 10, 20) if span / (factor * step) <= most - 1 or factor == 20)
    first = math.ceil(low / step - 1e-9)
    return [round(i * step, 10) for i in range(first, math.floor(high / step + 1e-9) + 1)]


def padded_range(values: Iterable[float]) -> tuple[float, float]:
    """Lowest and highest of some values, with a little room beyond both."""
    listed = list(values)
    low, high = min(listed), max(listed)
    room = 0.04 * (high - low) or 1.0
    return low - room, high + room


def spread(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places of labels beside their lines, moved apart as little as needed, in the same order.

    Parameters
    ----------
    places : sequence of float
        Where the labels belong, in order of the drawing from top to bottom.
    gap : float
        Least distance of two labels.
    low, high : float
        Where labels may be.
    """
    moved = list(places)
    for _ in range(60):
        for i in range(len(moved) - 1):
            short = gap - (moved[i + 1] - moved[i])
            if short > 1e-6:
                moved[i], moved[i + 1] = moved[i] - short / 2, moved[i + 1] + short / 2
        moved = [min(max(place, low + i * gap), high - (len(moved) - 1 - i) * gap) for i, place in enumerate(moved)]
    return moved


def day_text(time: datetime, units: str) -> str:
    """A day without its year, in the order that readers of these units write it: "12 Jan", in US units "Jan 12"."""
    month = MONTHS[time.month - 1]
    return f"{month} {time.day}" if units == "us" else f"{time.day} {month}"


MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def month_starts(start: datetime, hours: int) -> list[tuple[int, str]]:
    """Hour and name of each month that begins in a span of time; its first hour counts too where little is missing.

    Parameters
    ----------
    start : datetime
        First hour.
    hours : int
        Number of hours.
    """
    times = ((hour, start + timedelta(hours=hour)) for hour in range(0, hours, 24))
    return [(hour, MONTHS[time.month - 1]) for hour, time in times if time.day == 1]


def text_width(words: str, letter: float) -> float:
    """About how wide a text is.

    Parameters
    ----------
    words : str
        The text.
    letter : float
        Font size.
    """
    return LETTER_WIDTH * letter * len(words)


def wrap(words: str, width: float, letter: float) -> list[str]:
    """A text in lines of a largest width.

    Parameters
    ----------
    words : str
        The text.
    width : float
        Largest width of a line.
    letter : float
        Font size.
    """
    return textwrap.wrap(words, max(int(width / (LETTER_WIDTH * letter)), 12)) or [""]
