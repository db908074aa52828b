"""All pictures of a page as PNG. Nothing else reads the plotting library, which takes half a second."""

from __future__ import annotations

from thermal.analysis.assessment import Answer
from thermal.analysis.comparison import Options
from thermal.plan.model import Plan
from thermal.report import charts, comparison_charts


def answer_pictures(answer: Answer) -> dict[str, bytes]:
    """The charts that the answer alone makes."""
    return {
        "winter": charts.png(charts.winter_chart(answer)),
        "months": charts.png(charts.months_chart(answer)),
        "design": charts.png(charts.design_chart(answer)),
        "outage": charts.png(charts.outage_chart(answer)),
    }


def option_pictures(plan: Plan, found: Options) -> dict[str, bytes]:
    """The charts of packages and floors."""
    return {
        "packages": charts.png(comparison_charts.packages_chart(plan, found)),
        "floors": charts.png(comparison_charts.floors_chart(plan, found)),
    }
