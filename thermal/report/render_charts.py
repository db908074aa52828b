"""All pictures of a page as PNG. Nothing else reads the plotting library, which takes half a second."""

from __future__ import annotations

from thermal.analysis.assessment import Assessment
from thermal.analysis.comparison import Comparison
from thermal.plan.model import Plan
from thermal.report import charts, comparison_charts


def answer_pictures(assessment: Assessment) -> dict[str, bytes]:
    """The charts that the answer alone makes."""
    return {
        "winter": charts.png(charts.winter_chart(assessment)),
        "months": charts.png(charts.months_chart(assessment)),
        "design": charts.png(charts.design_chart(assessment)),
        "outage": charts.png(charts.outage_chart(assessment)),
    }


def option_pictures(plan: Plan, found: Comparison) -> dict[str, bytes]:
    """The charts of packages and minimum temperatures."""
    return {
        "packages": charts.png(comparison_charts.packages_chart(plan, found)),
        "floors": charts.png(comparison_charts.floors_chart(plan, found)),
    }
