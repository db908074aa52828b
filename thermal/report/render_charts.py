"""All charts of a page as PNG. matplotlib takes 0.3 s to import: here, while other processes simulate."""

from __future__ import annotations

from importlib import import_module

from thermal.analysis.assessment import Assessment
from thermal.analysis.comparison_results import Comparison
from thermal.analysis.many_winters import MANY
from thermal.plan.model import Plan
from thermal.report.html import environment


def import_ahead() -> None:
    """Import what charts and pages need, while this process waits for others."""
    import_module("thermal.report.comparison_charts")
    environment()


def assessment_charts(assessment: Assessment) -> dict[str, bytes]:
    """Charts of the coldest winter, the months and the hour of peak heat demand, as PNG by name.

    Of more than five winters there is a strip of all.
    """
    from thermal.report import charts
    from thermal.report.winters_chart import winters_chart

    many = {"winters": charts.png(winters_chart(assessment))} if len(assessment.unheated) > MANY else {}
    return {
        **many,
        "winter": charts.png(charts.winter_chart(assessment)),
        "months": charts.png(charts.months_chart(assessment)),
        "design": charts.png(charts.design_chart(assessment)),
    }


def outage_charts(assessment: Assessment) -> dict[str, bytes]:
    """Chart of a power cut, as PNG by its name, once power cuts are simulated."""
    from thermal.report import charts

    return {"outage": charts.png(charts.outage_chart(assessment))}


def comparison_charts(plan: Plan, comparison: Comparison) -> dict[str, bytes]:
    """Charts of the packages and of the minimum temperatures, as PNG by name.

    Parameters
    ----------
    plan : Plan
        The plan, for its units and currency.
    comparison : Comparison
        Result of `compare`.
    """
    from thermal.report.charts import png
    from thermal.report.comparison_charts import floors_chart, packages_chart

    return {"packages": png(packages_chart(plan, comparison)), "floors": png(floors_chart(plan, comparison))}
